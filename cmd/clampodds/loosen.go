package main

import (
	"context"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

func newLoosen() *cobra.Command {
	var d deciding
	var a question.Loosening
	cmd := &cobra.Command{
		Use:   "loosen STUDY",
		Short: "How far each tolerance may be loosened before a limit is missed",
		Args:  exactly(1),
		RunE: d.asking(func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
			return question.AskOfRecord(ctx, d.as(), s[0], "tolerances", a.Ask)
		}),
	}
	d.ofRecord(cmd)
	d.conditionFlag(cmd)
	cmd.Flags().StringSliceVar(&a.Limits, "limit", nil, "only these limits, by their `NAME` in the study: edge, screw_stress, component.cpu (default: all with a target)")
	cmd.Flags().StringSliceVar(&a.Inputs, "input", nil, "only these tolerances, by the `KEY` of the input (default: all that scatter and are not lack of knowledge)")
	return cmd
}
