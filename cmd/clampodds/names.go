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
	named, neededCount                 = question.Named, question.NeededCount
	decided                            = unanswered
	scenario, shifts, shownUnit        = question.Scenario, question.Shifts, question.ShownUnit
	temperatureDistribution            = question.TemperatureDistribution
	warningsOf                         = question.WarningsOf
)
