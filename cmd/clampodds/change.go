package main

import (
	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

func newChange() *cobra.Command {
	var d deciding
	var margin string
	var record recordFile
	cmd := &cobra.Command{
		Use:   "change BASE NEW",
		Short: "Is a change safe?",
		Long: `change evaluates the study before and after a change on the same draws and says
whether the change is safe: whether it raises the probability of exceeding any
limit by no more than the margin, in every condition and with what is not known
kept apart, and leaves every target met.

The margin is fixed before the run: a probability (5e-4), a share of the
probability before (50%), or "target", which asks for the targets alone. Without
--margin it is the study's.

--record writes the decision on one page, with room for signatures, to be attached to
the request for the change.

Exit codes: 0 safe, 3 not safe, 4 undecided.`,
		Args: exactly(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			before, err := d.load(args[0], cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			after, err := d.load(args[1], cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			if err := record.check(&d.read); err != nil {
				return err
			}
			answer, err := d.judgeChange(cmd, before, after, margin, nil)
			if err != nil {
				return err
			}
			if err := record.write(&d.read, answer.Result.Record()); err != nil {
				return err
			}
			return d.answer(cmd, answer.Result, answer.Safe, nil)
		},
	}
	d.flags(cmd)
	d.conditionFlag(cmd)
	cmd.Flags().StringVar(&margin, "margin", "", "what the change may do: a `PROBABILITY`, a share of the one before as in 50%, or target (default: the study's)")
	record.flags(cmd)
	return cmd
}

// judgeChange says whether a change is safe, with both designs compared at the limits along too.
func (d *deciding) judgeChange(cmd *cobra.Command, before, after *study.Study, margin string, along []sim.Requirement) (*question.ChangeAnswer, error) {
	change, err := question.NewChange(before, after, margin)
	if err != nil {
		return nil, usage(err)
	}
	change.Along = along
	var clear func()
	change.Setup, clear = d.setup(cmd, before)
	defer clear()
	answer, err := change.Ask(cmd.Context())
	if err != nil {
		return nil, unanswered(err)
	}
	return answer, nil
}
