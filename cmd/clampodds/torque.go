package main

import (
	"context"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

func newTorque() *cobra.Command {
	var d deciding
	var from, to string
	cmd := &cobra.Command{
		Use:   "torque STUDY",
		Short: "Which torque goes on the drawing?",
		Args:  exactly(1),
		RunE: d.asking(func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
			answer, err := d.as().Window(ctx, s[0], from, to)
			if err != nil {
				return nil, 0, err
			}
			return answer.Result, sim.All(answer.Window, answer.Inside), nil
		}),
	}
	d.flags(cmd)
	d.conditionFlag(cmd)
	cmd.Flags().StringVar(&from, "from", "", "lowest nominal `TORQUE` looked at (default: a third of the study's)")
	cmd.Flags().StringVar(&to, "to", "", "highest nominal `TORQUE` looked at (default: three times the study's)")
	return cmd
}
