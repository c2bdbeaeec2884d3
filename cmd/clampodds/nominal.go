package main

import (
	"context"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

func newNominal() *cobra.Command {
	var s shared
	cmd := &cobra.Command{
		Use:   "nominal STUDY",
		Short: "One evaluation at nominal values: forces, conductances, heat by path, margins",
		Args:  exactly(1),
		RunE: s.asking(func(_ context.Context, read []*study.Study) (result, sim.Verdict, error) {
			return question.Nominal(read[0])
		}),
	}
	s.flags(cmd)
	s.conditionFlag(cmd)
	return cmd
}
