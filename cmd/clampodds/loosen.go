package main

import (
	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/question"
)

func newLoosen() *cobra.Command {
	var d deciding
	var a question.Loosening
	cmd := &cobra.Command{
		Use:   "loosen STUDY",
		Short: "How far each tolerance may be loosened before a limit is missed",
		Long: `loosen moves one tolerance at a time, all others as written: its spread, the
limits it is cut at, its mean. It tells how far each may go before a limit is
missed in a condition of the mission, judged as run does, or what it would have to
become when one is missed now. Where what is not known alone leaves the study
open, it also tells how far each may go on average over that.`,
		Args: exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			read, err := d.load(args[0], cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			setup, show, clear := d.ofRecord(cmd, read, "tolerances")
			result, verdict, err := a.Ask(cmd.Context(), setup, read, show)
			clear()
			return d.answer(cmd, result, verdict, err)
		},
	}
	d.shared.flags(cmd)
	d.conditionFlag(cmd)
	d.recordFlags(cmd)
	cmd.Flags().StringSliceVar(&a.Limits, "limit", nil, "only these limits, by their `NAME` in the study: edge, screw_stress, component.cpu (default: all with a target)")
	cmd.Flags().StringSliceVar(&a.Inputs, "input", nil, "only these tolerances, by the `KEY` of the input (default: all that scatter and are not lack of knowledge)")
	return cmd
}
