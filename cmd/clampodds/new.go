package main

import (
	"bufio"
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
)

func newNew() *cobra.Command {
	var output string
	var force bool
	given := map[string]*string{}
	cmd := &cobra.Command{
		Use:   "new -o FILE",
		Short: "Ask what is on the drawings and write a commented study of your own",
		Long: `new asks what is on the drawings, line by line, and writes a commented study. An
empty line takes the value in brackets, and so does everything after the end of
a pipe; the study then says "assumed" of it, and check lists what is left to
replace. A flag answers its question beforehand. Quantities are typed with their
unit; a tolerance follows as in 11.60 mm +- 0.05 mm or 0.70 N*m +- 6 %.`,
		Args: exactly(0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if output == "" {
				return usage(fmt.Errorf("usage: %s: the file is missing", cmd.UseLine()))
			}
			if _, err := os.Lstat(output); err == nil && !force {
				return usage(fmt.Errorf("%s exists already; give --force to replace it", output))
			}
			i := interview{in: bufio.NewReader(cmd.InOrStdin()), out: cmd.ErrOrStderr(), person: isPerson(cmd.InOrStdin())}
			answers, err := i.ask(func(name string) (string, bool) { return *given[name], cmd.Flags().Changed(name) })
			if err != nil {
				return err
			}
			text, err := answers.study()
			if err != nil {
				return err
			}
			read, err := study.Parse(output, text, func(string) ([]byte, error) { return nil, os.ErrNotExist })
			if err != nil {
				return usage(fmt.Errorf("the answers do not make a study: %w", err))
			}
			if err := new(inputFiles).writeFile(output, force, func(w io.Writer) error { _, err := w.Write(text); return err }); err != nil {
				return err
			}
			inputs := question.Inputs(read)
			fmt.Fprintf(cmd.OutOrStdout(), "%s: %d answers, %d of %d inputs still assumed or the tool's own.\nNext: clampodds check %s; clampodds nominal %s; clampodds run %s; clampodds torque %s\n",
				output, answers.given(), inputs.Open(), len(inputs.Inputs), output, output, output, output)
			return nil
		},
	}
	cmd.Flags().StringVarP(&output, "output", "o", "", "write to `FILE`")
	cmd.Flags().BoolVar(&force, "force", false, "replace an existing file")
	for _, q := range newQuestions {
		given[q.name] = cmd.Flags().String(q.name, "", fmt.Sprintf("`ANSWER` to: %s [%s]", q.text, q.usual))
	}
	return cmd
}

// isPerson says that somebody types.
func isPerson(in io.Reader) bool {
	f, ok := in.(*os.File)
	return ok && isTerminal(f)
}

// interview asks the questions, of a person again after a wrong answer.
type interview struct {
	in     *bufio.Reader
	out    io.Writer
	person bool
	ended  bool
}

func (i *interview) ask(flag func(name string) (string, bool)) (drawn, error) {
	all := drawn{}
	for _, q := range newQuestions {
		if text, ok := flag(q.name); ok {
			a, err := q.read(text)
			if err != nil {
				return nil, usage(fmt.Errorf("--%s %q: %w", q.name, text, err))
			}
			all[q.name] = a
			continue
		}
		for {
			text, err := i.line(q)
			if err != nil {
				return nil, err
			}
			a, err := q.read(text)
			if err == nil {
				all[q.name] = a
				break
			}
			if !i.person {
				return nil, usage(fmt.Errorf("%s, %q: %w", q.text, text, err))
			}
			fmt.Fprintln(i.out, "  "+err.Error())
		}
	}
	return all, nil
}

// line reads one answer, empty after the end.
func (i *interview) line(q newQuestion) (string, error) {
	if i.ended {
		return "", nil
	}
	if i.person {
		fmt.Fprintf(i.out, "%s [%s]: ", q.text, q.usual)
	}
	text, err := i.in.ReadString('\n')
	if errors.Is(err, io.EOF) {
		i.ended, err = true, nil
	}
	if err != nil {
		return "", failure(err)
	}
	return strings.TrimSpace(strings.TrimPrefix(text, "\ufeff")), nil
}

//go:embed new.toml.tmpl
var newTemplate string

// study is the text of the study.
func (d drawn) study() ([]byte, error) {
	t, err := newStudyTemplate()
	if err != nil {
		panic("clampodds: study template: " + err.Error())
	}
	values, err := d.values()
	if err != nil {
		return nil, usage(err)
	}
	var b bytes.Buffer
	if err := t.Execute(&b, values); err != nil {
		return nil, failure(err)
	}
	return b.Bytes(), nil
}
