package reports

import (
	"bytes"
	"strings"
	"testing"

	"github.com/olekukonko/tablewriter/pkg/twwidth"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "clampodds/testdata/fixedseed"
)

func printed(t require.TestingT, how Terminal, d Document) string {
	var b bytes.Buffer
	require.NoError(t, how.Write(&b, d))
	return b.String()
}

func TestPipedTextIsPlain(t *testing.T) {
	text := printed(t, Terminal{Width: 100, Colour: true}, appendix())
	assert.NotContains(t, text, "\x1b")
	assert.NotContains(t, text, "█", "no figures in a pipe")
	assert.NotContains(t, text, "Figure")
	for _, l := range strings.Split(text, "\n") {
		assert.LessOrEqual(t, twwidth.Width(l), 100, l)
	}
	text = printed(t, Terminal{}, appendix())
	assert.Regexp(t, "72.523 … 72.679 +73.810 … 73.919 +77.122 … 77.189 +80.756 … 80.900 +82.42 … 82.68 +84.23 … 84.89", text, "lines stay whole")
}

func TestColoursOnlyWhereWanted(t *testing.T) {
	text := printed(t, Terminal{Width: 100, Interactive: true, Colour: true}, appendix())
	assert.Contains(t, text, "\x1b[")
	assert.Contains(t, text, "█")
	text = printed(t, Terminal{Width: 100, Interactive: true}, appendix())
	assert.NotContains(t, text, "\x1b")
	assert.Contains(t, text, "limit 85 °C")

	none := func(string) string { return "" }
	assert.True(t, ColourWanted(none))
	assert.False(t, ColourWanted(func(name string) string { return map[string]string{"NO_COLOR": "1"}[name] }))
	assert.False(t, ColourWanted(func(name string) string { return map[string]string{"TERM": "dumb"}[name] }))
}

// On a terminal no line is wider than the terminal, down to 40 columns, and
// nothing is lost.
func TestNarrowTerminalKeepsEveryCell(t *testing.T) {
	for _, width := range []int{40, 60, 80, 120, 200} {
		text := printed(t, Terminal{Width: width, Interactive: true}, appendix())
		for _, l := range strings.Split(text, "\n") {
			assert.LessOrEqual(t, twwidth.Width(l), width, l)
		}
		for _, cell := range []string{"73.810 … 73.919", "84.23 … 84.89", "undecided", "16.746", "with bodies [W/K]"} {
			assert.Contains(t, text, cell, width)
		}
	}
}

// The verdict of a requirement is on its own line, in the first table that it is cut into.
func TestVerdictIsSeenAtEveryWidth(t *testing.T) {
	for _, width := range []int{60, 80, 120, 200} {
		text := printed(t, Terminal{Width: width}, appendix())
		_, text, _ = strings.Cut(text, "Probability of exceeding")
		table, _, _ := strings.Cut(text, "\n\n")
		assert.Regexp(t, `(?m)^ hotter edge.* (met|undecided)`, table, "%d columns", width)
		assert.Regexp(t, `(?m)^ screw,.* undecided`, table, "%d columns", width)
	}
}

func TestAnEndlessWordBreaksBehindAJoint(t *testing.T) {
	assert.Equal(t, []string{"low-noise_amplifier-of-", "the-left-chain"}, breakText("low-noise_amplifier-of-the-left-chain", 25))
	assert.Equal(t, []string{"a-bcdefghi", "jklmno"}, breakText("a-bcdefghijklmno", 10), "one near the start is no place")
	assert.Equal(t, `a/\allowbreak{}`+strings.Repeat("b", 16)+`\allowbreak{}`+strings.Repeat("b", 16)+`\allowbreak{} c`, breakingLatex("a/"+strings.Repeat("b", 32)+" c"))
	assert.Equal(t, "short-word", breakingLatex("short-word"))
}

// A table of limits stays one at 80 columns, verdict and target beside the probability, its interval below it.
func TestIntervalsGoBelowBeforeColumnsGoElsewhere(t *testing.T) {
	table := newTable("", "", texts("requirement"), numbers("limit"), texts("per"), numbers("probability", "low", "high", "target"), texts("verdict"))
	table.AddRow("thread force over stripping strength", "1", "card", "none of 32768", "0", "≤ 1.13e-4", "1e-3", "met")
	table.AddRow("", "", "chassis", "1.70e-3", "1.18e-3", "2.37e-3", "", "")
	parts := fold(table, 80)
	require.Len(t, parts, 1)
	assert.Equal(t, []string{"requirement", "limit", "per", "probability", "target", "verdict"}, parts[0].heads())
	assert.Equal(t, [][]string{
		{"thread force over", "1", "card", "none of 32768", "1e-3", "met"},
		{"stripping strength", "", "", "≤ 1.13e-4", "", ""},
		{"", "", "chassis", "1.70e-3", "", ""},
		{"", "", "", "1.18e-3 … 2.37e-3", "", ""},
	}, parts[0].Rows)
}

// In a table that is too wide a long text that stands in most rows is a note; a wide terminal and a short text leave the table as it is.
func TestOneTextInMostRowsIsANote(t *testing.T) {
	table := newTable("", "", texts("tolerance", "loosen", "beyond it"))
	for _, name := range []string{"slot.width", "clamp.height", "screw.torque, limits alone, and what is long"} {
		table.AddRow(name, "undecided", "spot, re-used screw: undecided (knowledge)")
	}
	table.note("loosen: may it be.")
	var narrow, wide strings.Builder
	d := Document{Blocks: []Block{table}}
	require.NoError(t, Terminal{Width: 80}.Write(&narrow, d))
	require.NoError(t, Terminal{Width: 120}.Write(&wide, d))
	assert.Equal(t, 1, strings.Count(narrow.String(), "(knowledge)"))
	assert.Contains(t, narrow.String(), "\nbeyond it, unless it says otherwise: spot, re-used screw: undecided (knowledge).\nloosen: may it be.\n")
	assert.Equal(t, 3, strings.Count(wide.String(), "(knowledge)"))
	assert.Equal(t, table.Rows[1][2], table.Rows[0][2], "the table of other forms is the same")
	table.Rows[2][2] = "another one that is as long as the others are"
	narrow.Reset()
	require.NoError(t, Terminal{Width: 80}.Write(&narrow, d))
	assert.NotContains(t, narrow.String(), "below")
}

func TestFoldKeepsNumbersWholeAndTextsComplete(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := &Table{Columns: []Column{{Head: "name"}}}
		for range rapid.IntRange(0, 8).Draw(t, "columns") {
			table.Columns = append(table.Columns, Column{Head: rapid.StringMatching(`[a-z]{1,8}`).Draw(t, "head"), Number: rapid.Bool().Draw(t, "number")})
		}
		for range rapid.IntRange(1, 5).Draw(t, "rows") {
			var row []string
			for _, c := range table.Columns {
				cell := rapid.StringMatching(`[a-zµ]{1,12}( [a-z]{1,30}){0,4}`).Draw(t, "text")
				if c.Number {
					cell = rapid.StringMatching(`[0-9]{1,20}`).Draw(t, "value")
				}
				row = append(row, cell)
			}
			table.AddRow(row...)
		}
		width := rapid.IntRange(40, 120).Draw(t, "width")
		seen := make([]string, 0)
		for _, part := range fold(table, width) {
			if got := tableWidth(columnWidths(part)); got > width {
				t.Fatalf("%d columns in a terminal of %d", got, width)
			}
			for _, row := range part.Rows {
				seen = append(seen, row...)
			}
		}
		together := strings.Join(seen, " ")
		for _, row := range table.Rows {
			for i, cell := range row {
				if table.Columns[i].Number && !strings.Contains(together, cell) {
					t.Fatalf("number %q is broken", cell)
				}
			}
		}
	})
}
