package reports

import (
	"fmt"
	"math"

	"clampodds/sim/result"
)

// Difference is that of two probabilities on common draws, other minus first.
type Difference result.Difference

// cells prints value, low and high with their signs.
func (d Difference) cells() []string {
	var cells []string
	for _, x := range []float64{d.Value, d.Low, d.High} {
		cells = append(cells, d.text(x))
	}
	return cells
}

// text prints a number of the size of the difference, with its sign.
func (d Difference) text(x float64) string {
	value := x
	switch {
	case value == 0:
		return "0"
	case value < 0:
		return "-" + probabilityLike(math.Abs(d.Value), -value, d.Low, d.High)
	}
	return "+" + probabilityLike(math.Abs(d.Value), value, d.Low, d.High)
}

// Shift is the difference of a statistic of an output on common draws, in SI units.
type Shift struct {
	Name  string `json:"name"`
	Label string `json:"label"`
	Unit  string `json:"unit"`
	// Shown is the unit of the statistic, Step that of its difference.
	Shown     Unit    `json:"-"`
	Step      Unit    `json:"-"`
	Statistic string  `json:"statistic"` // mean, P50, P95, P99
	First     float64 `json:"first"`
	Other     float64 `json:"other"`
	Value     float64 `json:"difference"`
	Interval
	Level float64 `json:"level"`
	// Replicates is the number of independent parts of the run that the interval
	// rests on.
	Replicates int `json:"replicates"`
	// WidthRatio is how many times as wide the interval would be for independent
	// draws; null where the difference never varies.
	WidthRatio float64 `json:"width_ratio"`
}

func (s Shift) cells() []string {
	value, low, high := s.Step.Of(s.Value), s.Step.Of(s.Low), s.Step.Of(s.High)
	d := estimateDigits(value, low, high)
	if low == 0 && high == 0 {
		d = 0
	}
	var cells []string
	for _, x := range []float64{value, low, high} {
		text := Number(x, d)
		if x > 0 && text != Number(0, d) {
			text = "+" + text
		}
		cells = append(cells, text)
	}
	return cells
}

// statistics prints the two values with the digits of the interval of their
// difference and one less, for they are known less well.
func (s Shift) statistics() []string {
	low, high := s.Step.Of(s.Low), s.Step.Of(s.High)
	first, other := s.Shown.Of(s.First), s.Shown.Of(s.Other)
	d := 3
	if low < high {
		d = max(0, estimateDigits(first, low, high)-1)
	}
	return []string{Number(first, d), Number(other, d)}
}

// widthRatio prints a ratio of widths.
func widthRatio(x float64) string {
	ratio := x
	switch {
	case math.IsInf(ratio, 1):
		return "exact"
	case !(ratio > 0):
		return ""
	case ratio < 10:
		return Number(ratio, 1)
	}
	return Number(ratio, 0)
}

// movedShifts leaves out the quantities that are the same in every card.
func movedShifts(shifts []Shift) (moved []Shift) {
	for _, s := range shifts {
		if s.Value != 0 || s.Low != 0 || s.High != 0 {
			moved = append(moved, s)
		}
	}
	return moved
}

// shiftTable has the differences of statistics; without names of the two designs
// the differences alone.
func shiftTable(shifts []Shift, designs ...string) *Table {
	t := newTable("shifts", "Change of each quantity", texts("quantity", "statistic"))
	for _, name := range append(designs, "change", "low", "high", "narrower") {
		t.Columns = append(t.Columns, numbers(name)...)
	}
	last := ""
	for _, s := range shifts {
		row := []string{s.Shown.Head(s.Label), s.Statistic}
		if row[0] == last {
			row[0] = ""
		} else {
			last = row[0]
		}
		if len(designs) > 0 {
			row = append(row, s.statistics()...)
		}
		t.AddRow(append(append(row, s.cells()...), widthRatio(s.WidthRatio))...)
	}
	if len(shifts) > 0 {
		t.Notes = []string{fmt.Sprintf("Interval of the change at %s %%: Student's t on %d independent parts of the run, each on common draws. "+
			"narrower: how many times narrower than from as many independent draws. Quantities that are the same in every card are left out.", Plain(100*shifts[0].Level), shifts[0].Replicates)}
	}
	return t
}

// intervalText is "0.0025 (0.0021 to 0.0028)".
func (d Difference) intervalText() string {
	c := d.cells()
	return c[0] + " (" + c[1] + " to " + c[2] + ")"
}

// estimateText is a probability in running text, one never seen as its bound.
func estimateText(e Estimate) string {
	c := probabilityCells(e)
	if e.Value == 0 {
		return c[2]
	}
	return c[0]
}
