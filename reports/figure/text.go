package figure

import (
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"clampodds/reports/internal/clean"
)

// Rows of bars in a text figure, each eight steps high, and its widest.
const (
	textRows    = 7
	widestText  = 76
	slimmest    = 24
	textIndent  = 1
	colourHeat  = "\x1b[31m"
	colourLimit = "\x1b[1m"
	colourEnd   = "\x1b[0m"
)

var eighths = []rune(" ▁▂▃▄▅▆▇█")

// Text draws the distribution for a terminal of the given width in columns:
// bars, the limit as an upright line, an axis, the sample count. It is nil where
// there is no room or nothing to show. With colour, what lies beyond the limit is red.
func (d Distribution) Text(width int, colour bool) []string {
	width = min(width-textIndent, widestText)
	if width < slimmest || len(d.Bins.Counts) == 0 {
		return nil
	}
	covered := d.Bins.Edges
	if d.Limit != nil {
		covered = append([]float64{d.Limit.At}, covered...)
	}
	t := textPlot{axis: linear(d.Quantity, covered...), width: width, colour: colour, limit: -1}
	if d.Limit != nil {
		t.limit = t.column(d.Limit.At)
	}
	lines := t.bars(t.levels(d.Bins))
	if d.Limit != nil {
		label := clean.Line(d.Limit.text())
		lines = append([]string{t.paint(place(t.limit, label, width), colourLimit)}, lines...)
	}
	lines = append(append(lines, t.scale()...), clean.Line(d.Quantity)+", "+clean.Line(d.Basis.text()))
	for i := range lines {
		lines[i] = strings.Repeat(" ", textIndent) + lines[i]
	}
	return lines
}

// textPlot is a plot in character cells.
type textPlot struct {
	axis   axis
	width  int
	colour bool
	limit  int // column, -1 for none
}

// position is where x lies, in columns from the left.
func (t textPlot) position(x float64) float64 {
	return float64(t.width) * (x - t.axis.min) / (t.axis.max - t.axis.min)
}

func (t textPlot) column(x float64) int { return min(max(int(t.position(x)), 0), t.width-1) }

// levels spreads the counts over the columns, in eighths of a row, each bin
// evenly over its width. A column with anything in it shows.
func (t textPlot) levels(b Bins) []int {
	sums := make([]float64, t.width)
	for i, n := range b.Counts {
		from, to := t.position(b.Edges[i]), t.position(b.Edges[i+1])
		for c := t.column(b.Edges[i]); c <= t.column(b.Edges[i+1]); c++ {
			sums[c] += n * max(min(to, float64(c+1))-max(from, float64(c)), 0) / (to - from)
		}
	}
	highest := slices.Max(sums)
	levels := make([]int, t.width)
	for c, n := range sums {
		if n > 0 {
			levels[c] = max(int(math.Round(n/highest*textRows*8)), 1)
		}
	}
	return levels
}

func (t textPlot) bars(levels []int) []string {
	var lines []string
	for row := textRows - 1; row >= 0; row-- {
		var b strings.Builder
		for c, level := range levels {
			cell := string(eighths[min(max(level-8*row, 0), 8)])
			switch {
			case c == t.limit:
				cell = t.paint("│", colourLimit)
			case cell != " " && t.limit >= 0 && c > t.limit:
				cell = t.paint(cell, colourHeat)
			}
			b.WriteString(cell)
		}
		lines = append(lines, strings.TrimRight(b.String(), " "))
	}
	return lines
}

// scale is the axis: a rule with ticks and the numbers under it.
func (t textPlot) scale() []string {
	rule, numbers := []rune(strings.Repeat("─", t.width)), ""
	for _, k := range t.axis.ticks() {
		c := t.column(k.Value)
		rule[c] = '┴'
		if start := c - len(k.Label)/2; start > len(numbers) || numbers == "" && start >= 0 {
			if start+len(k.Label) <= t.width {
				numbers += strings.Repeat(" ", start-len(numbers)) + k.Label
			}
		}
	}
	return []string{string(rule), numbers}
}

// place centres a text on a column as far as the width allows.
func place(column int, s string, width int) string {
	n := utf8.RuneCountInString(s)
	return strings.Repeat(" ", max(min(column-n/2, width-n), 0)) + s
}

func (t textPlot) paint(s, with string) string {
	if !t.colour {
		return s
	}
	return with + s + colourEnd
}
