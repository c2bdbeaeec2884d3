package main

import (
	"context"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

func newChoose() *cobra.Command {
	var d deciding
	cmd := &cobra.Command{
		Use:   "choose STUDY",
		Short: "The cheapest combination of options that meets every limit in every condition",
		Long: `choose goes through the combinations of what is open in a study: the choices of
its [[option]] tables (finish, clamp, screw, tool) and the steps of its [[cost]]
tables (tolerances), by rising cost. Each is judged as run would judge it, in every
condition and with what is not known kept apart; the first that is met is the
answer. What is cheaper and falls short is listed with the place where it does.

Exit codes: 0 the cheapest is found, 3 none meets every limit, 4 of a cheaper
one it is open.`,
		Args: exactly(1),
		RunE: d.asking(func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
			return question.AskOfRecord(ctx, d.as(), s[0], "combinations", question.Choose)
		}),
	}
	d.ofRecord(cmd)
	return cmd
}
