package main

import (
	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim/decide"
)

// deciding holds the flags of every command that decides something: those of the
// sampling and of the tail methods behind it.
type deciding struct {
	shared
	sampling
	evaluations count
}

func (d *deciding) flags(cmd *cobra.Command) {
	d.shared.flags(cmd)
	d.sampling.flags(cmd)
	d.evaluations = tailEvaluations
	cmd.Flags().Var(&d.evaluations, "evaluations", "largest number of model evaluations of each estimate by the tail methods")
}

// tailEvaluations bounds those of each estimate by the tail methods.
const tailEvaluations = 20000

// setup is how the probabilities of a study are found, with a function that clears
// the progress.
func (d *deciding) setup(cmd *cobra.Command, s *study.Study) (setup decide.Setup, clear func()) {
	run := d.run(s)
	run.Progress, clear = progress(cmd.ErrOrStderr(), d.quiet, "cards")
	return decide.Setup{Run: *run, Events: question.Events(s), Evaluations: int(d.evaluations)}, clear
}

// ofRecord is the setup of a question that many numbers of record answer, with its own
// progress and a function that clears it.
func (d *deciding) ofRecord(cmd *cobra.Command, s *study.Study, what string) (setup decide.Setup, show func(done, total int64), clear func()) {
	show, clear = progress(cmd.ErrOrStderr(), d.quiet, what)
	return decide.Setup{Run: *d.run(s), Events: question.Events(s), Evaluations: tailEvaluations}, show, clear
}
