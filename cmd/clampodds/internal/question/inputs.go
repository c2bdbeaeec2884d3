package question

import (
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/reports"
)

// Inputs lists every input of a study as understood.
func Inputs(s *study.Study) reports.Inputs {
	r := reports.Inputs{Schema: reports.InputsSchema, Provenance: Provenance(s), Limits: []reports.InputLimit{}, Conditions: []reports.InputCondition{}}
	for i := range s.Inputs {
		in := &s.Inputs[i]
		if in.Origin == study.Default && in.Nominal == 0 && in.Parameter.Zero != "" {
			continue // an input that is off
		}
		shown := reports.Input{
			Key: in.Key, Meaning: in.Parameter.Meaning, Typed: in.Typed, Unit: in.Parameter.Unit,
			Nominal: in.Nominal, NominalText: in.Format(in.Nominal),
			Knowledge: in.Knowledge, Source: in.Source, File: in.File, Line: in.Line,
		}
		if in.Dist != nil {
			whole := in.Averaged()
			deviation := whole.StdDev()
			shown.Level = study.LevelName(in.Level)
			shown.StdDev = deviation
			shown.SpreadText = units.Format(deviation, in.Quantity().Difference(), in.Unit)
			shown.RangeText = in.Format(whole.Quantile(0.01)) + " … " + in.Format(whole.UpperQuantile(0.01))
		}
		r.Inputs = append(r.Inputs, shown)
	}
	for _, c := range s.Correlations {
		r.Together = append(r.Together, reports.InputPair{Key: c.A, With: c.B, Rank: c.Rank, File: c.File, Line: c.Line})
	}
	for i := range s.Limits {
		l := &s.Limits[i]
		r.Limits = append(r.Limits, reports.InputLimit{
			Output: l.Output, Label: reports.Label(l.Output), Limit: l.Max, Unit: string(l.Quantity), Shown: l.Format(l.Max),
			Target: given(l.Target), Source: l.Source, File: l.File, Line: l.Line,
		})
	}
	if s.ConditionName == "" { // they change the study as written
		for i := range s.Conditions {
			r.Conditions = append(r.Conditions, newInputCondition(s, &s.Conditions[i]))
		}
	}
	return r
}

// newInputCondition says what a condition changes: inputs as they stand in the study
// and as they are under the condition, with the numbers of what it drifts.
func newInputCondition(s *study.Study, c *study.Condition) reports.InputCondition {
	r := reports.InputCondition{Name: c.Name, Share: given(c.Share), Changes: []reports.InputChange{}, File: c.File, Line: c.Line}
	changed, err := s.Condition(c.Name)
	if err != nil {
		panic("clampodds: " + err.Error()) // every condition was read with the study
	}
	for _, d := range study.Differences(s, changed) {
		change := reports.InputChange{Key: d.Key, Before: d.Before, After: d.After}
		if d.Before == d.After { // moved, not typed anew
			in, moved := s.Input(d.Key), changed.Input(d.Key)
			change.After = "nominal " + in.Format(in.Nominal) + " becomes " + in.Format(moved.Nominal)
		}
		r.Changes = append(r.Changes, change)
	}
	return r
}

// given is a number for JSON, nil for an unset 0.
func given(x float64) *reports.Real {
	if x == 0 {
		return nil
	}
	v := x
	return &v
}
