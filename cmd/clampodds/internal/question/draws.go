package question

import (
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/joint/card"
	"clampodds/reports"
	"clampodds/sim"
)

// DrawnSchema is the form of DrawnAs in JSON.
const DrawnSchema = "clampodds.draws/1"

// DrawnAs says what a table of draws is: all that its cards do not tell themselves.
type DrawnAs struct {
	Schema     string             `json:"schema"`
	Provenance reports.Provenance `json:"provenance"`
	// CardsPerChassis cards in a row share a chassis.
	CardsPerChassis int `json:"cards_per_chassis"`
	// Layout is that of the card; Slots those of the slots of a chassis, whose columns begin with its name.
	Layout  *DrawnLayout  `json:"layout,omitempty"`
	Slots   []DrawnSlot   `json:"slots,omitempty"`
	Columns []DrawnColumn `json:"columns"`
	// Constants are the inputs that are the same for all cards.
	Constants []DrawnConstant `json:"constants"`
	Limits    []DrawnLimit    `json:"limits"`
}

// DrawnLayout is what does not scatter.
type DrawnLayout struct {
	Family     string   `json:"family"`
	Anchor     string   `json:"anchor"`
	Pieces     int      `json:"pieces"`
	Thread     string   `json:"thread"`
	Gas        string   `json:"gas"`
	Components []string `json:"components"`
}

// DrawnSlot is a slot of a chassis with its card.
type DrawnSlot struct {
	Name string `json:"name"`
	Card string `json:"card"`
	DrawnLayout
}

// What a column is of.
const (
	DrawnCard   = "card" // a whole number
	DrawnInput  = "input"
	DrawnOutput = "output"
)

// DrawnColumn is a column with its SI unit, "1" for a plain number.
type DrawnColumn struct {
	Name  string `json:"name"`
	Of    string `json:"of"`
	Input string `json:"input,omitempty"` // the study's key
	Unit  string `json:"unit"`
}

// DrawnConstant is an input that is the same for all cards.
type DrawnConstant struct {
	Input string  `json:"input"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// DrawnLimit is a limit: a card exceeds it where the output is above Max, or has no value (+Inf).
type DrawnLimit struct {
	Name   string  `json:"name"`
	Output string  `json:"output"`
	Max    float64 `json:"max"`
	Unit   string  `json:"unit"`
	Target float64 `json:"target,omitempty"`
}

// Drawn describes the draws of a run of a study.
func Drawn(s *study.Study, run *sim.Run) DrawnAs {
	one := run.Scenarios[0]
	d := DrawnAs{
		Schema: DrawnSchema, Provenance: Provenance(s), CardsPerChassis: one.Inputs.RowsPerGroup(),
		Columns: []DrawnColumn{{Name: "card", Of: DrawnCard, Unit: "1"}, {Name: "chassis", Of: DrawnCard, Unit: "1"}},
	}
	layout := func(l *card.Layout) DrawnLayout {
		return DrawnLayout{l.Family.String(), l.Anchor.String(), l.Pieces, l.Thread.Designation, l.Gas.String(), l.Components}
	}
	if s.Chassis == nil {
		l := layout(&s.Layout)
		d.Layout = &l
	} else {
		for i := range s.Chassis.Slots {
			slot := &s.Chassis.Slots[i]
			d.Slots = append(d.Slots, DrawnSlot{slot.Name, slot.Card, layout(&slot.Layout)})
		}
	}
	d.Provenance.Seed, d.Provenance.Samples, d.Provenance.Plan, d.Provenance.Confidence = run.Seed, run.Samples, run.Sampler.Name(), run.Confidence
	for _, v := range one.Inputs.Variables() {
		c := DrawnColumn{Name: v.Name, Of: DrawnInput, Input: v.Input, Unit: "1"}
		if in := s.Input(v.Input); in != nil {
			c.Unit = in.Parameter.Unit
		}
		d.Columns = append(d.Columns, c)
	}
	for _, o := range one.Model.Outputs() {
		d.Columns = append(d.Columns, DrawnColumn{Name: o.Name, Of: DrawnOutput, Unit: o.Unit})
	}
	for i := range s.Inputs {
		if in := &s.Inputs[i]; in.Dist == nil {
			d.Constants = append(d.Constants, DrawnConstant{in.Key, in.Nominal, in.Parameter.Unit})
		}
	}
	for i := range s.Limits {
		l := &s.Limits[i]
		d.Limits = append(d.Limits, DrawnLimit{l.Name, l.Output, l.Max, string(l.Quantity), l.Target})
	}
	return d
}
