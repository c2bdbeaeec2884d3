package main

import (
	"context"
	"errors"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim/drivers"
	"clampodds/sim/rare"
	"clampodds/sim/sensitivity"
	"clampodds/sim/tail"
)

// driversPercentile is the percentile whose moves are shown.
const driversPercentile = 0.99

func newDrivers() *cobra.Command {
	var s shared
	var q exceedance
	rows := count(2000)
	cmd := &cobra.Command{
		Use:   "drivers STUDY",
		Short: "Which inputs make the spread and the exceedance, and what changing each would bring",
		Long: `drivers ranks the inputs by what they make of the spread of a limit's quantity
and of the probability of exceeding it, and says what each of them would bring if
it did not scatter, scattered half as much, or had another mean.`,
		Args: exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			read, err := s.load(args[0], cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			result, limit, found, err := q.analyse(cmd.Context(), read, int(rows))
			if err != nil {
				return err
			}
			if err := emit(cmd.OutOrStdout(), s.form, result); err != nil {
				return err
			}
			return tailOutcome(limit, found)
		},
	}
	s.flags(cmd)
	s.conditionFlag(cmd)
	q.flags(cmd)
	cmd.Flags().Var(&rows, "samples", "cards in each sample; a change of an input takes two samples")
	return cmd
}

// analyse estimates the probability of exceeding the limit asked for and finds what
// drives it.
func (q *exceedance) analyse(ctx context.Context, s *study.Study, rows int) (result reports.Drivers, limit *study.Limit, found rare.Result, err error) {
	limit, state, err := q.state(s)
	if err != nil {
		return result, nil, found, usage(err)
	}
	err = untilInterrupted(ctx, func() (err error) {
		if found, err = estimate(state, q.options(s, limit)); err != nil {
			return err
		}
		result, err = q.drivers(s, limit, state, found, rows)
		return err
	})
	return result, limit, found, err
}

// drivers analyses a limit of which found is known.
func (q *exceedance) drivers(s *study.Study, l *study.Limit, state *tail.State, found rare.Result, rows int) (reports.Drivers, error) {
	one, err := scenario(s, s.Title)
	if err != nil {
		return reports.Drivers{}, usage(err)
	}
	a, err := drivers.New(one, drivers.Options{Output: l.Output, Rows: rows, Seed: q.seedOf(s), Workers: q.workers, Level: s.Run.Confidence})
	if err != nil {
		return reports.Drivers{}, usage(err)
	}
	r := newDriversResult(s, l, a, found)
	spread, err := a.Spread()
	var withoutValue *sensitivity.NotFiniteError
	switch {
	case errors.As(err, &withoutValue):
		r.Warnings = append(r.Warnings, reports.Warning{Code: "without-value", Text: "shares of the spread are left out: " + err.Error()})
	case err != nil:
		return reports.Drivers{}, usage(err)
	default:
		addSpread(&r, a, spread)
	}
	moved, err := a.Percentiles(driversPercentile)
	if err != nil {
		return reports.Drivers{}, usage(err)
	}
	addPercentiles(&r, moved)
	if !r.Established || found.Probability.Value == 0 {
		r.Warnings = append(r.Warnings, reports.Warning{Code: "no-exceedance", Text: "what drives the exceedance is left out: " + string(found.Evidence)})
		return r, nil
	}
	e, err := a.Exceedance(state.Events(), found)
	if err != nil {
		return reports.Drivers{}, usage(err)
	}
	addExceedance(&r, a, e)
	return r, nil
}
