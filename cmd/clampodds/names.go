package main

import (
	"context"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/loosen"
)

// Short names of what the commands that answer here share with package question.
var (
	temperatureDistribution, twoDigits      = question.TemperatureDistribution, question.TwoDigits
	scenario, singleCards, targeted         = question.Scenario, question.SingleCards, question.Targeted
	comparable                              = question.Comparable
	limitNamed, rareEvents                  = question.Limit, question.RareEvents
	provenance, shownUnit, typedUnit, label = question.Provenance, question.ShownUnit, question.TypedUnit, reports.Label
	neededCount, difference, shifts         = question.NeededCount, question.Difference, question.Shifts
	differenceUnit, inputShare, named       = question.DifferenceUnit, question.InputShare, question.Named
	warningsOf, conditionsWarning           = question.WarningsOf, question.ConditionsWarning
	decidedRun, newRunResult                = question.DecidedRun, question.Run
	quantityNamed, mainOutput               = question.QuantityNamed, question.MainOutput
	searched, pointRequirements             = question.Searched, question.PointRequirements
	band, position, ended                   = question.Band, question.Position, unanswered
)

const version, asWrittenName = question.Version, question.AsWritten

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
