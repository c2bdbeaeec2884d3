package main

import (
	"bufio"
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
unit, metric or inch-pound; a tolerance follows as in 11.60 mm +- 0.05 mm,
0.375 in +0.005/-0.000, 0.70 N*m +- 6 % or 140 degF +- 5 degF.`,
		Args: exactly(0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if output == "" {
				return usage(fmt.Errorf("usage: %s: the file is missing", cmd.UseLine()))
			}
			if err := new(inputFiles).MayWrite(output, force); err != nil {
				return ofFiles(err)
			}
			i := interview{in: bufio.NewReader(cmd.InOrStdin()), out: cmd.ErrOrStderr(), person: isPerson(cmd.InOrStdin())}
			answers, err := i.ask(func(name string) (string, bool) { return *given[name], cmd.Flags().Changed(name) })
			if err != nil {
				return err
			}
			text, err := answers.Study()
			if err != nil {
				return usage(err)
			}
			read, err := study.Parse(output, text, func(string) ([]byte, error) { return nil, os.ErrNotExist })
			if err != nil {
				return usage(fmt.Errorf("the answers do not make a study: %w", err))
			}
			if err := new(inputFiles).writeFile(output, force, func(w io.Writer) error { _, err := w.Write(text); return err }); err != nil {
				return err
			}
			inputs, shown := question.Inputs(read), visible(output)
			fmt.Fprintf(cmd.OutOrStdout(), "%s: %d answers, %d of %d inputs still assumed or the tool's own.\nNext: clampodds check %s; clampodds nominal %s; clampodds run %s; clampodds torque %s\n",
				shown, answers.Given(), inputs.Open(), len(inputs.Inputs), shown, shown, shown, shown)
			return nil
		},
	}
	cmd.Flags().StringVarP(&output, "output", "o", "", "write to `FILE`")
	cmd.Flags().BoolVar(&force, "force", false, "replace an existing file")
	for _, q := range question.NewQuestions {
		given[q.Name] = cmd.Flags().String(q.Name, "", fmt.Sprintf("`ANSWER` to: %s [%s]", q.Text, q.Usual))
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

// introduction is for a person who types.
const introduction = `Enter takes the value in brackets, which the study then calls assumed. Type units, and a tolerance
where there is one: 11.60 mm +- 0.05 mm, 0.375 in +0.005/-0, 6 in*lbf +- 5 %, 140 degF +- 5 degF.

`

func (i *interview) ask(flag func(name string) (string, bool)) (question.Answers, error) {
	all := question.Answers{}
	if i.person {
		fmt.Fprint(i.out, introduction)
	}
	for _, q := range question.NewQuestions {
		if text, ok := flag(q.Name); ok {
			a, err := q.Read(text)
			if err != nil {
				return nil, usage(fmt.Errorf("--%s %q: %w", q.Name, text, err))
			}
			all[q.Name] = a
			continue
		}
		for {
			text, err := i.line(q)
			if err != nil {
				return nil, err
			}
			a, err := q.Read(text)
			if err == nil {
				all[q.Name] = a
				break
			}
			if !i.person {
				return nil, usage(fmt.Errorf("%s, %q: %w", q.Text, text, err))
			}
			fmt.Fprintln(i.out, "  "+err.Error())
		}
	}
	return all, nil
}

// line reads one answer, empty after the end.
func (i *interview) line(q question.NewQuestion) (string, error) {
	if i.ended {
		return "", nil
	}
	if i.person {
		fmt.Fprintf(i.out, "%s [%s]: ", q.Text, q.Usual)
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
