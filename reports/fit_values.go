package reports

import (
	"math"
	"strings"
)

// values is a table of what readings say. The ends of an interval, which follow the value in the list, stand beside it.
func (f Fit) values(key, caption string, values []NamedValue) *Table {
	t := newTable(key, caption, texts("quantity"), numbers("value", "low", "high"))
	for i := 0; i < len(values); i++ {
		v := values[i]
		if i+2 < len(values) && strings.HasSuffix(values[i+1].Name, ", low") && strings.HasSuffix(values[i+2].Name, ", high") {
			t.AddRow(append([]string{v.Name}, intervalCells(v.Value, values[i+1].Value, values[i+2].Value)...)...)
			i += 2
			continue
		}
		t.AddRow(v.Name, knownText(v.Value, v.Known), "", "")
	}
	if t.dropEmpty("low") {
		t.note("low, high: interval, level " + Plain(100*f.Level) + " %.")
	} else {
		t.drop("high")
	}
	return t
}

// intervalCells are a value and its ends, with the digits that the interval bears.
func intervalCells(value, low, high float64) []string {
	d := Digits(value, low, high)
	return []string{Number(value, d), Number(low, d), Number(high, d)}
}

// knownText is a value that is known to so much either way, 0 for one that is exact.
func knownText(value, known float64) string {
	if known > 0 && !math.IsInf(value, 0) {
		return Number(value, Digits(value, value-known, value+known))
	}
	if math.IsInf(value, 0) || math.IsNaN(value) || value == math.Trunc(value) && math.Abs(value) < 1e9 { // a count
		return Number(value, 0)
	}
	return Plain(value)
}

// StandardError is sd/sqrt(n), 0 where there is none: what a mean of n readings is known to, and with n twice the
// degrees of freedom what their standard deviation is (of normal readings, for many of them).
func StandardError(sd float64, n int) float64 {
	if n < 1 || math.IsNaN(sd) {
		return 0
	}
	return sd / math.Sqrt(float64(n))
}
