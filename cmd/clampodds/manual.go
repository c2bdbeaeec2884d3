package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/manual"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/reports"
)

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
