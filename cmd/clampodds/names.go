package main

import (
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/reports"
)

const version, asWrittenName = question.Version, question.AsWritten

// Short names of what the commands that answer here share with package question.
var (
	comparable, decidedRun, difference = question.Comparable, question.DecidedRun, question.Difference
	inputShare, label, limitNamed      = question.InputShare, reports.Label, question.Limit
	named, neededCount, provenance     = question.Named, question.NeededCount, question.Provenance
	decided                            = unanswered
	scenario, shifts, shownUnit        = question.Scenario, question.Shifts, question.ShownUnit
	temperatureDistribution            = question.TemperatureDistribution
	warningsOf                         = question.WarningsOf
)

// real keeps the call sites short.
func real(x float64) reports.Real { return x }
