package main

import (
	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/question"
)

func newLoosen() *cobra.Command {
	var s shared
	var m sampling
	var a question.Loosening
	cmd := &cobra.Command{
		Use:   "loosen STUDY",
		Short: "How far each tolerance may be loosened before a limit is missed",
		Long: `loosen moves one tolerance at a time, all others as written: its spread, the
limits it is cut at, its mean. It tells how far each may go before a limit is
missed, or what it would have to become when one is missed now. With [[cost]] in
the study it also finds the cheapest set of tolerances that meets every limit.`,
		Args: exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			read, err := s.load(args[0], cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			result, verdict, err := a.Ask(cmd.Context(), read, m.asked(), s.progress(cmd))
			return s.answer(cmd, result, verdict, err)
		},
	}
	s.flags(cmd)
	s.conditionFlag(cmd)
	m.flags(cmd)
	cmd.Flags().StringSliceVar(&a.Limits, "limit", nil, "only these limits, by their `NAME` in the study: edge, screw_stress, component.cpu (default: all with a target)")
	cmd.Flags().StringSliceVar(&a.Inputs, "input", nil, "only these tolerances, by the `KEY` of the input (default: all that scatter and are not lack of knowledge)")
	return cmd
}
