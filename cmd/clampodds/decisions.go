package main

import (
	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/question"
)

// deciding holds the flags of every command that decides something: those of the
// sampling and of the tail methods behind it.
type deciding struct {
	shared
	sampling
	evaluations flags.Count
}

func (d *deciding) flags(cmd *cobra.Command) {
	d.shared.flags(cmd)
	d.sampling.flags(cmd)
	d.evaluations = question.TailEvaluations
	cmd.Flags().Var(&d.evaluations, "evaluations", "largest number of model evaluations of each estimate by the tail methods")
}

// ofRecord are the flags of a question that many numbers of record answer.
func (d *deciding) ofRecord(cmd *cobra.Command) {
	d.shared.flags(cmd)
	d.recordFlags(cmd)
}

// as says how a question is answered.
func (d *deciding) as() question.Asking {
	return question.Asking{Sampling: d.asked(), Evaluations: int(d.evaluations), Progress: d.progress}
}
