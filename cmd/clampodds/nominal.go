package main

import (
	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/question"
)

func newNominal() *cobra.Command {
	var s shared
	cmd := &cobra.Command{
		Use:   "nominal STUDY",
		Short: "One evaluation at nominal values: forces, conductances, heat by path, margins",
		Args:  exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			read, err := s.load(args[0], cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			result, verdict, err := question.Nominal(read)
			return s.answer(cmd, result, verdict, err)
		},
	}
	s.flags(cmd)
	s.conditionFlag(cmd)
	return cmd
}
