package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/cmd/clampodds/internal/manual"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/reports"
	studies "clampodds/testdata/studies"
)

func newExample() *cobra.Command {
	var o output
	cmd := &cobra.Command{
		Use:   "example [NAME] [-o FILE]",
		Short: "List or write the commented example studies",
		Args:  cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return list(cmd.OutOrStdout())
			}
			text, err := studies.Read(args[0])
			if err != nil {
				return err
			}
			if o.name == "" {
				_, err := cmd.OutOrStdout().Write(text)
				return err
			}
			if err := o.write(new(files.Inputs), text); err != nil {
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

// list prints each example with what it is.
func list(w io.Writer) error {
	for _, name := range studies.Names() {
		if _, err := fmt.Fprintf(w, "%-24s %s\n", name, studies.About(name)); err != nil {
			return failure(err)
		}
	}
	return nil
}

func newManual() *cobra.Command {
	return &cobra.Command{
		Use:   "manual [COMMAND]",
		Short: "Print the manual page of a command, for man",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return exactly(1)(cmd, args)
			}
			return nil
		},
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
