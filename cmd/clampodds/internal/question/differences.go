package question

import (
	"fmt"
	"math"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// NeededCount is a number of samples; what is out of reach is infinite.
func NeededCount(n int64) float64 {
	if n == math.MaxInt64 {
		return math.Inf(1)
	}
	return float64(n)
}

func Difference(d decide.Difference) reports.Difference {
	return reports.Difference{Value: d.Value, Interval: d.Interval, Level: d.Level, Tail: d.Tail, Rows: d.Rows}
}

// Shifts converts the differences of statistics for the reports.
func Shifts(s *study.Study, list []decide.OutputChange) (all []reports.Shift) {
	for _, c := range list {
		unit := c.Output.Unit
		like := typedUnit(s, unit)
		all = append(all, reports.Shift{
			Name: c.Output.Name, Label: reports.Label(c.Output.Name), Unit: unit, Statistic: c.Statistic,
			Shown: ShownUnit(c.First, unit, like), Step: differenceUnit(c.First, unit, like),
			First: c.First, Other: c.Other, Value: c.Difference.Mean,
			Interval: c.Difference.Interval, Level: c.Difference.Level,
			Replicates: c.Difference.Count, WidthRatio: c.WidthRatio,
		})
	}
	return all
}

// differenceUnit is the unit of a difference of values that are shown in the unit
// chosen for a typical one.
func differenceUnit(typical float64, unit, like string) reports.Unit {
	q := units.Quantity(unit)
	if q != units.Temperature {
		return ShownUnit(typical, unit, like)
	}
	if fahrenheit, _ := units.Shown(typical, q, like); fahrenheit == "°F" {
		like = "ddegF"
	} else {
		like = "dK"
	}
	return ShownUnit(1, string(q.Difference()), like)
}

// DecidedRun is the provenance of what a run decided.
func DecidedRun(s *study.Study, found *sim.Result) reports.Provenance {
	p := sampled(s, found)
	p.Complete = true
	return p
}

// InputShare is an input in words with its share of the way to an exceedance.
func InputShare(s *study.Study, share decide.Share) reports.InputShare {
	r := reports.InputShare{Key: share.Input, Share: share.Value}
	if in := s.Input(share.Input); in != nil {
		r.Meaning, r.Words, r.Source = in.Parameter.Meaning, in.InWords(), in.Source
	}
	return r
}

// Named is a study by its name.
func Named(s *study.Study) reports.Named {
	return reports.Named{Study: s.Name, Title: s.Title, Digest: s.Digest}
}

// WarningsOf gathers the warnings of estimates by their requirement.
func WarningsOf(label string, estimates ...sim.Estimate) (all []reports.Warning) {
	for _, e := range estimates {
		for _, w := range e.Warnings {
			switch w.Code {
			case decide.NotEstablished, decide.StricterLimit, sim.FewClusters:
				all = append(all, reports.Warning{Code: w.Code, Text: fmt.Sprintf("%s: %s", label, w.Text)})
			}
		}
	}
	return all
}

// conditionsWarning says that a decision looks at the study as written only.
func conditionsWarning(s *study.Study) []reports.Warning {
	if len(s.Conditions) == 0 || s.ConditionName != "" {
		return nil
	}
	var names []string
	for _, c := range s.Conditions {
		names = append(names, c.Name)
	}
	return []reports.Warning{{Code: "conditions-not-looked-at", Text: "the study as written is judged, averaged over what is not known; its conditions are not looked at (" + strings.Join(names, ", ") + "); run looks at them, --condition NAME at one"}}
}
