package question

import (
	"math"
	"strconv"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/joint/force"
	"clampodds/joint/material"
	"clampodds/reports"
	"clampodds/reports/outside"
	"clampodds/testdata"
)

// Inputs lists every input of a study as understood.
func Inputs(s *study.Study) reports.Inputs {
	r := reports.Inputs{Schema: reports.InputsSchema, Provenance: Provenance(s), Rule: ruleOf(s, s.Run.Confidence), Capitals: s.Capitals, Limits: []reports.InputLimit{}, Conditions: []reports.InputCondition{}}
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
			low, high := whole.Quantile(0.01), whole.UpperQuantile(0.01)
			deviation := whole.StdDev()
			if deviation > high-low { // few lots leave a factor so open: nearly all of it lies beyond
				deviation = math.Inf(1)
			}
			shown.Level = in.Level.String()
			shown.StdDev = deviation
			shown.SpreadText = inDigits(3, deviation, in.Quantity().Difference(), in.Unit)
			shown.NominalText, shown.RangeText = rounded(in, high-low, in.Nominal), rangeText(in, low, high)
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
	if in := s.At(TorqueKey, 0); in != nil {
		for _, end := range []struct {
			key, name string
			limit     float64
		}{{leastKey, "least torque", s.Tool.Least}, {mostKey, "most torque", s.Tool.Most}} {
			if end.limit > 0 {
				r.Maker = append(r.Maker, reports.InputLimit{Label: end.name, Shown: in.Format(end.limit), Source: "the clamp maker's, " + end.key + " of the study"})
			}
		}
	}
	if s.Chassis != nil {
		for i, slot := range s.Chassis.Slots {
			r.Slots = append(r.Slots, reports.InputSlot{Name: slot.Name, Card: slot.Card, Title: slot.Title, Heat: s.SlotHeat(i)})
		}
	}
	if s.ConditionName == "" { // they change the study as written
		for i := range s.Conditions {
			r.Conditions = append(r.Conditions, newInputCondition(s, &s.Conditions[i]))
		}
		r.Offers = inputsOpen(s)
	}
	return r
}

// rangeText is a range with the unit once, rounded to a hundredth of its width.
func rangeText(in *study.Input, low, high float64) string {
	from, to := rounded(in, high-low, low), rounded(in, high-low, high)
	number, unit, found := strings.Cut(from, " ")
	if found && strings.HasSuffix(to, " "+unit) {
		from = number
	}
	return from + " … " + to
}

// rounded prints x, in the unit of the input, to a hundredth of a width, or to three
// digits where that is finer: a range over orders of magnitude keeps its lower end.
func rounded(in *study.Input, width, x float64) string {
	value, unit := units.Readable(x, in.Quantity(), in.Unit)
	other, _ := units.Readable(x+width, in.Quantity(), in.Unit)
	step := min(math.Abs(other-value), math.Abs(value)) / 100
	if step > 0 && !math.IsInf(step, 0) {
		decimals := max(0, -int(math.Floor(math.Log10(step))))
		value, _ = strconv.ParseFloat(strconv.FormatFloat(value, 'f', decimals, 64), 64) // its own text
	}
	return strings.TrimSpace(reports.Plain(value) + " " + unit)
}

// inDigits prints x with so many significant digits in a unit like the one given.
func inDigits(digits int, x float64, q units.Quantity, like string) string {
	value, unit := units.Readable(x, q, like)
	return strings.TrimSpace(reports.Plain(significant(value, digits)) + " " + unit)
}

func significant(x float64, digits int) float64 {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', digits, 64), 64)
	if err != nil {
		return x
	}
	return rounded
}

func inputsOpen(s *study.Study) (list []reports.InputOpen) {
	for i, open := range openParts(s) {
		shown := reports.InputOpen{Name: open.Name}
		for k, offered := range open.Choices {
			choice := reports.InputChoice{Offered: offered, Changes: []reports.InputChange{}}
			if i < len(s.Options) {
				for _, d := range s.Differs(i, k) {
					choice.Changes = append(choice.Changes, reports.InputChange{Key: d.Key, Before: d.Before, After: d.After})
				}
			} else {
				choice.Spread = &s.Costs[i-len(s.Options)].Steps[k].Spread
			}
			shown.Choices = append(shown.Choices, choice)
		}
		list = append(list, shown)
	}
	return list
}

// newInputCondition says what a condition changes: inputs as they stand in the study
// and as they are under the condition, with the numbers of what it drifts.
func newInputCondition(s *study.Study, c *study.Condition) reports.InputCondition {
	r := reports.InputCondition{Name: c.Name, Informative: c.Informative, Share: given(c.Share), Changes: []reports.InputChange{}, File: c.File, Line: c.Line}
	changed := dist.Must(s.Condition(c.Name)) // it was read with the study
	for _, d := range study.Differences(s, changed) {
		change := reports.InputChange{Key: d.Key, Before: d.Before, After: d.After}
		if d.Before == d.After { // moved, not typed anew
			in, moved := s.Input(d.Key), changed.Input(d.Key)
			change.After = "nominal " + in.Format(in.Nominal) + " becomes " + inDigits(4, moved.Nominal, in.Quantity(), in.Unit)
		}
		r.Changes = append(r.Changes, change)
	}
	return r
}

// given is a number for JSON, nil for an unset 0.
func given(x float64) *float64 {
	if x == 0 {
		return nil
	}
	v := x
	return &v
}

// Known lists what a study may name.
func Known() reports.Known {
	r := reports.Known{Schema: reports.KnownSchema, Version: Version}
	for _, name := range force.ThreadNames() {
		t := dist.Must(force.ThreadNamed(name)) // the names are the table's
		r.Threads = append(r.Threads, reports.KnownThread{Name: name, Pitch: t.Pitch, StressArea: t.StressArea, Standard: t.Standard})
	}
	for _, m := range material.All() {
		r.Materials = append(r.Materials, reports.KnownWord{Name: m.Name, Also: m.Aliases})
	}
	for _, f := range material.Finishes() {
		r.Finishes = append(r.Finishes, reports.KnownWord{Name: f.Name, Also: f.Aliases})
	}
	for _, k := range study.Keys() {
		r.Keys = append(r.Keys, reports.KnownKey{Key: k.Key, Unit: k.Unit, Meaning: k.Meaning})
	}
	for _, u := range units.Usual() {
		r.Units = append(r.Units, reports.KnownQuantity{Quantity: u.Name, Units: u.Units})
	}
	return r
}

// OutsideChecks is the table of the outside checks that the program carries.
func OutsideChecks() (reports.Validation, error) {
	table, err := outside.Read(testdata.Validation)
	return reports.Validation{Table: table}, err
}
