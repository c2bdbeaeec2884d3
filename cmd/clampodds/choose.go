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
		Args:  exactly(1),
		RunE: d.asking(func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
			return question.AskOfRecord(ctx, d.as(), s[0], "combinations", question.Choose)
		}),
	}
	d.ofRecord(cmd)
	return cmd
}
