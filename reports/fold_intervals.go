package reports

import (
	"slices"
	"strings"
)

// intervalSign is between the ends of an interval in a row below its value.
const intervalSign = " … "

// intervalsBelow is the table with the ends of each interval in a row below the value, in place of the columns low and high behind
// it; the table itself where it has none.
func (t *Table) intervalsBelow() *Table {
	var values, kept []int
	for i, c := range t.Columns {
		switch {
		case c.Head == "low" && i > 0 && i+1 < len(t.Columns) && t.Columns[i+1].Head == "high":
			values = append(values, i-1)
		case c.Head == "high" && len(values) > 0 && values[len(values)-1] == i-2:
		default:
			kept = append(kept, i)
		}
	}
	if len(values) == 0 {
		return t
	}
	out := *t
	out.Columns, out.Rows = nil, nil
	for _, i := range kept {
		out.Columns = append(out.Columns, t.Columns[i])
	}
	for _, row := range t.Rows {
		var above, below []string
		for _, i := range kept {
			interval := ""
			if slices.Contains(values, i) {
				interval = endsInOne(row[i+1], row[i+2])
			}
			above, below = append(above, row[i]), append(below, interval)
		}
		out.Rows = append(out.Rows, above)
		if ofIntervals(below) {
			out.Rows = append(out.Rows, below)
		}
	}
	return &out
}

// endsInOne are the ends of an interval in one cell: "4.4e-4 … 1.11e-3"; a bound, "≤ 1.80e-4", by itself.
func endsInOne(low, high string) string {
	if low == "" || high == "" || strings.HasPrefix(high, "≤") {
		return strings.TrimSpace(high)
	}
	return low + intervalSign + high
}

// ofIntervals says that a row has nothing but intervals, of the row above it.
func ofIntervals(row []string) bool {
	some := false
	for i, cell := range row {
		switch {
		case cell == "":
		case i > 0 && (strings.Contains(cell, intervalSign) || strings.HasPrefix(cell, "≤ ")):
			some = true
		default:
			return false
		}
	}
	return some
}
