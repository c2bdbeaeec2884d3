package main

import (
	"context"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/loosen"
)

const version, asWrittenName = question.Version, question.AsWritten

// Short names of what the commands that answer here share with package question.
var (
	band, ended, label, limitNamed        = question.Band, unanswered, reports.Label, question.Limit
	named, neededCount, pointRequirements = question.Named, question.NeededCount, question.PointRequirements
	comparable, decidedRun, difference    = question.Comparable, question.DecidedRun, question.Difference
	inputShare, position, provenance      = question.InputShare, question.Position, question.Provenance
	scenario, searched, shifts            = question.Scenario, question.Searched, question.Shifts
	shownUnit, singleCards, targeted      = question.ShownUnit, question.SingleCards, question.Targeted
	temperatureDistribution, twoDigits    = question.TemperatureDistribution, question.TwoDigits
	warningsOf                            = question.WarningsOf
)

// real keeps the call sites short.
func real(x float64) reports.Real { return reports.Real(x) }

// newSearch evaluates a scenario as it is.
func newSearch(ctx context.Context, run *sim.Run) (*loosen.Search, error) {
	search, err := loosen.New(ctx, *run)
	if err != nil {
		return nil, unanswered(err)
	}
	return search, nil
}
