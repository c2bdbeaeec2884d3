package main

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/cmd/clampodds/internal/manual"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/terminal"
	"clampodds/reports"
	studies "clampodds/testdata/studies"
)

func newExample() *cobra.Command {
	var o output
	cmd := &cobra.Command{
		Use:   "example [NAME] [-o FILE]",
		Short: "List or write the commented example studies",
		Args:  between(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				_, err := io.WriteString(cmd.OutOrStdout(), studies.List())
				return err
			}
			text, err := studies.Read(args[0])
			if err != nil {
				return err
			}
			if o.name == "" {
				_, err := cmd.OutOrStdout().Write(text)
				return err
			}
			if err := new(files.Inputs).WriteText(o.name, o.force, text); err != nil {
				return err
			}
			if beside := studies.Needs(text); len(beside) > 0 {
				fmt.Fprintf(cmd.ErrOrStderr(), "note: it reads %s; write them beside it with example NAME -o FILE\n", strings.Join(beside, ", "))
			}
			return nil
		},
	}
	o.flags(cmd, "write to `FILE` in place of the terminal", "replace an existing file")
	return cmd
}

func newManual() *cobra.Command {
	return &cobra.Command{
		Use:   "manual [COMMAND]",
		Short: "Print the manual page of a command, for man",
		Args:  between(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			about, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return fmt.Errorf("%s: there is no such command", strings.Join(args, " "))
			}
			_, err = io.WriteString(cmd.OutOrStdout(), manual.Page(about, question.Version, strings.Join(reports.Cautions, " ")))
			return err
		},
	}
}

func newNew() *cobra.Command {
	var o output
	given, quiet := map[string]*string{}, false
	cmd := &cobra.Command{
		Use:   "new -o FILE",
		Short: "Ask what is on the drawings and write a commented study of your own",
		Args:  exactly(0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if o.name == "" {
				return fmt.Errorf("usage: %s: the file is missing", cmd.UseLine())
			}
			if err := new(files.Inputs).MayWrite(o.name, o.force); err != nil {
				return err
			}
			in, _ := cmd.InOrStdin().(*os.File) // somebody types, if it is a terminal
			i := question.Interview{In: bufio.NewReader(cmd.InOrStdin()), Out: cmd.ErrOrStderr(), Person: in != nil && terminal.Is(in)}
			answers, err := i.Ask(func(name string) (string, bool) { return *given[name], cmd.Flags().Changed(name) })
			if err != nil {
				return err
			}
			text, read, err := answers.Study(o.name)
			if err != nil {
				return err
			}
			if err := new(files.Inputs).WriteText(o.name, o.force, text); err != nil {
				return err
			}
			for _, w := range read.Warnings {
				if w.Code == study.TorqueWithoutScatter {
					fmt.Fprintln(cmd.ErrOrStderr(), "CAUTION: "+w.String())
				}
			}
			inputs, shown := question.Inputs(read), terminal.Visible(o.name)
			fmt.Fprintf(cmd.OutOrStdout(), "%s: %s, %d of %d inputs still assumed or the tool's own.\n",
				shown, reports.Counted(answers.Given(), "answer"), inputs.Open(), len(inputs.Inputs))
			if !quiet {
				fmt.Fprintf(cmd.OutOrStdout(), "Next: clampodds check %[1]s; clampodds nominal %[1]s; clampodds run %[1]s; clampodds torque %[1]s\n", shown)
			}
			return nil
		},
	}
	o.flags(cmd, "write to `FILE`", "replace an existing file")
	cmd.Flags().BoolVar(&quiet, "quiet", false, "only the file's name and what is still assumed; cautions stay")
	for _, q := range question.NewQuestions {
		given[q.Name] = cmd.Flags().String(q.Name, "", fmt.Sprintf("`ANSWER` to: %s [%s]", q.Text, q.Usual))
	}
	return cmd
}
