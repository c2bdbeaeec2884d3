package reports

import (
	"fmt"
	"math"
	"slices"
)

// percentiles has two rows for each quantity, the percentiles and below them
// their intervals; for programs, a row for each percentile.
func (r Run) percentiles(key, caption string, quantities []Quantity, long bool) *Table {
	if long {
		return longPercentiles(key, caption, quantities)
	}
	t := newTable(key, caption, texts("quantity"))
	if len(quantities) == 0 {
		return t
	}
	var probabilities []float64
	for _, p := range quantities[0].Percentiles {
		probabilities = append(probabilities, p.Probability)
	}
	t.addPercentiles(quantities, probabilities)
	t.Notes = []string{fmt.Sprintf("Below each percentile: its interval (order statistics), level asked %s %%, achieved %s %% or more.",
		Plain(100*r.Provenance.Confidence), Number(100*leastAchieved(quantities), 2))}
	if beyondReach(quantities) {
		t.note("∞: so far out that this many cards set no bound there; take more of them (--samples) before you use the percentile.")
	}
	return t
}

// addPercentiles adds a column for each probability, and two rows for each quantity: the percentiles and below them their
// intervals, empty for one that it does not have.
func (t *Table) addPercentiles(quantities []Quantity, probabilities []float64) {
	for _, p := range probabilities {
		t.Columns = append(t.Columns, numbers(PercentileName(p))...)
	}
	for _, q := range quantities {
		values, intervals := []string{q.Shown.Head(q.Label)}, []string{""}
		for _, p := range probabilities {
			value, interval := "", ""
			if i := slices.IndexFunc(q.Percentiles, func(x Percentile) bool { return x.Probability == p }); i >= 0 {
				c := estimateCells(q.Percentiles[i].Estimate, q.Shown)
				value, interval = c[0], c[1]+" … "+c[2]
			}
			values, intervals = append(values, value), append(intervals, interval)
		}
		t.AddRow(values...)
		t.AddRow(intervals...)
	}
}

// beyondReach reports whether the sample has no bound for one of the percentiles.
func beyondReach(quantities []Quantity) bool {
	for _, q := range quantities {
		for _, p := range q.Percentiles {
			if math.IsInf(p.High, 0) || math.IsInf(p.Low, 0) {
				return true
			}
		}
	}
	return false
}

// leastAchieved is the lowest level that an interval of a table achieves: ranks
// are whole numbers, so most have a little more than asked.
func leastAchieved(quantities []Quantity) float64 {
	least := 1.0
	for _, q := range quantities {
		for _, p := range q.Percentiles {
			least = min(least, p.Achieved)
		}
	}
	return least
}

func longPercentiles(key, caption string, quantities []Quantity) *Table {
	t := newTable(key, caption, texts("quantity", "unit", "percentile"), numbers("value", "low", "high"))
	for _, q := range quantities {
		for _, p := range q.Percentiles {
			t.AddRow(append([]string{q.Name, q.Shown.Label, PercentileName(p.Probability)}, estimateCells(p.Estimate, q.Shown)...)...)
		}
	}
	return t
}

// PercentileName is "P50", "P99.9".
func PercentileName(p float64) string { return "P" + Plain(100*p) }
