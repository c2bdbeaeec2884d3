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
		Long: `torque looks for the window of nominal torque in which every requirement that has
a target holds it: hot edges, hot components and sliding at the lower end, screw,
thread and bearing pressure at the upper end. The scatter of the tool moves along
with the torque, as [torque] scatter in the study says. The window of the study as
written, averaged over what is not known, is found first; inside it the torques at which
every condition holds with what is not known kept apart, to one per cent of the
study's torque. What is recommended lies in the middle of it, with a tolerance of at most
10 % of the torque, or what [torque] largest_tolerance in the study says, and is judged at
its nominal and both its ends.

Exit codes: 0 there is a window and the study's torque is inside, 3 there is none
or it is outside, 4 undecided.`,
		Args: exactly(1),
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
