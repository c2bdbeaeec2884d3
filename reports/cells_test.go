package reports

import (
	"html"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The cells of every table read the same in every form.
func TestCellsReadTheSameEverywhere(t *testing.T) {
	d := appendix()
	text := rendered(t, d)
	var want [][]string
	names := fileNames(d)
	for _, b := range d.Blocks {
		if table, ok := b.(*Table); ok {
			rows := append([][]string{table.heads()}, table.Rows...)
			want = append(want, rows...)
			assert.Equal(t, rows, latexCells(text["table-"+names[b]+".tex"]), table.Key)
		}
	}
	require.Greater(t, len(want), 60)
	assert.Equal(t, want, htmlCells(text["index.html"]), "HTML")
	assert.Equal(t, want, docxCells(text["document.xml"]), "DOCX")
	assert.Equal(t, want, markdownCells(text["report.md"]), "Markdown")
	assert.Equal(t, withoutBlanks(want), terminalCells(text["whole.txt"], want), "terminal")
}

func allMatches(pattern, text string) (found []string) {
	for _, m := range regexp.MustCompile(`(?s)`+pattern).FindAllStringSubmatch(text, -1) {
		found = append(found, m[1])
	}
	return found
}

// breaksOf are the marks of where a cell breaks, and where not.
var breaksOf = regexp.MustCompile(`<wbr>|</?span>`)

func htmlCells(text string) (rows [][]string) {
	for _, row := range allMatches(`<tr>(.*?)</tr>`, text) {
		var cells []string
		for _, c := range allMatches(`<t[hd][^>]*>(.*?)</t[hd]>`, row) {
			cells = append(cells, html.UnescapeString(breaksOf.ReplaceAllString(c, "")))
		}
		rows = append(rows, cells)
	}
	return rows
}

func docxCells(text string) (rows [][]string) {
	for _, row := range allMatches(`<w:tr>(.*?)</w:tr>`, text) {
		var cells []string
		for _, c := range allMatches(`<w:tc>.*?<w:t xml:space="preserve">(.*?)</w:t>`, row) {
			cells = append(cells, html.UnescapeString(breaksOf.ReplaceAllString(c, "")))
		}
		rows = append(rows, cells)
	}
	return rows
}

func markdownCells(text string) (rows [][]string) {
	for _, line := range strings.Split(text, "\n") {
		if !strings.HasPrefix(line, "|") || strings.Contains(line, "---") || strings.HasPrefix(line, "|:") {
			continue
		}
		var cells []string
		for _, c := range strings.Split(strings.Trim(line, "|"), "|") {
			cells = append(cells, html.UnescapeString(strings.NewReplacer(`\_`, "_", `\[`, "[", `\]`, "]").Replace(strings.TrimSpace(c))))
		}
		rows = append(rows, cells)
	}
	return rows
}

func latexCells(text string) (rows [][]string) {
	plain := strings.NewReplacer(`\ensuremath{\leq}`, "≤", `\textdegree{}`, "°", `\ldots{}`, "…", `\allowbreak{}`, "", `\textmu{}`, "µ", `\%`, "%", `\_`, "_", `{\char34}`, `"`, `\textsuperscript{2}`, "²")
	_, body, _ := strings.Cut(text, `\endfirsthead`)
	for _, line := range strings.Split(body, "\n") {
		if cells, ok := strings.CutSuffix(strings.TrimSuffix(line, "*"), ` \\`); ok {
			rows = append(rows, strings.Split(plain.Replace(cells), " & "))
		}
	}
	return rows
}

// A terminal's columns stand apart by blanks, and an empty cell is only blanks:
// the cells are looked for in their order.
func withoutBlanks(rows [][]string) (lines []string) {
	for _, row := range rows {
		lines = append(lines, strings.Join(strings.Fields(strings.Join(row, " ")), " "))
	}
	return lines
}

func terminalCells(text string, want [][]string) (lines []string) {
	wanted := map[string]bool{}
	for _, l := range withoutBlanks(want) {
		wanted[l] = true
	}
	for _, l := range strings.Split(text, "\n") {
		if l = strings.Join(strings.Fields(l), " "); wanted[l] {
			lines = append(lines, l)
		}
	}
	return lines
}

// A way to know more has a column only where it serves one of the inputs.
func TestWhatWouldDecideHasNoEmptyColumn(t *testing.T) {
	left := 0.2
	one := Needed{Inputs: []string{"friction.ramp"}, SpreadLeft: &left}
	heads := func(n Needed) []string { return neededTable("", "", []Needed{one, n}, 0.9).heads()[3:] }
	assert.Equal(t, []string{"spread left"}, heads(one))
	none := 0.004
	assert.Equal(t, "friction.ramp known exactly", Needed{Inputs: one.Inputs, SpreadLeft: &none}.way())
	readings, rig := one, one
	readings.More, rig.Rig = 40, &NeededRig{Lots: 3, Cards: 2}
	assert.Equal(t, []string{"spread left", "more readings"}, heads(readings))
	assert.Equal(t, []string{"spread left", "rig, lots x cards"}, heads(rig))
	for words, test := range map[string]NeededRig{"1 card": {Lots: 1, Cards: 1}, "6 cards": {Lots: 1, Cards: 6}, "1 card of each of 4 lots": {Lots: 4, Cards: 1}, "3 lots of 2 cards": *rig.Rig} {
		assert.Equal(t, words, test.words())
	}
}

func TestSlotsThatSayTheSameAreOneRow(t *testing.T) {
	table := newTable("by_limit", "", texts("requirement"), numbers("per card"), texts("verdict"))
	for _, row := range [][]string{{"spot, slot a", "none seen", "met"}, {"screw, slot a", "none seen", "met"}, {"spot, slot b", "none seen", "met"}, {"spot, slot c", "2e-4", "met"}, {"spot, slot d", "none seen", "met"}, {"", "1e-5", "met"}, {"spot, slot e", "none seen", "met"}} {
		table.AddRow(row...)
	}
	table.foldSlots()
	assert.Equal(t, [][]string{{"spot, slots a, b, e", "none seen", "met"}, {"screw, slot a", "none seen", "met"}, {"spot, slot c", "2e-4", "met"}, {"spot, slot d", "none seen", "met"}, {"", "1e-5", "met"}}, table.Rows, "one that goes on below stays")
}

// What holds at every torque is told in a note where it would be most of the table.
func TestWhatHoldsThroughoutIsANoteWhereItIsMuch(t *testing.T) {
	of := func(n int) *Table {
		table := newTable("ends", "", texts("requirement", "target", "bound"))
		table.AddRow("screw", "1e-3", "at most")
		for range n {
			table.AddRow("spot", "1e-3", heldThroughout)
		}
		table.foldHeld()
		return table
	}
	assert.Len(t, of(mostHeld).Rows, mostHeld+1)
	assert.Equal(t, [][]string{{"screw", "1e-3", "at most"}}, of(mostHeld+1).Rows)
	assert.Contains(t, of(mostHeld + 1).Notes[0], "9 more hold throughout: spot; spot")
}

// Two edges share a row of a comparison where they agree in every design.
func TestAComparisonFoldsEdgesThatAgree(t *testing.T) {
	quantity := func(name, label string, at float64) Quantity {
		return Quantity{Name: name, Label: label, Percentiles: []Percentile{{0.5, Estimate{Value: at, Interval: Interval{Low: at - 0.1, High: at + 0.1}}}}}
	}
	design := func(left, right float64) CompareDesign {
		return CompareDesign{Results: Run{Temperatures: []Quantity{quantity("edge.left", "left edge, mean", left), quantity("edge.right", "right edge, mean", right)}}}
	}
	temperatures := func(r Run) []Quantity { return r.Temperatures }
	assert.Equal(t, map[string]string{"edge.left": "either edge, mean"}, Compare{Designs: []CompareDesign{design(70, 70.1), design(60, 60)}}.edgesFolded(temperatures))
	apart := map[string]string{"edge.left": "left edge, mean", "edge.right": "right edge, mean"}
	assert.Equal(t, apart, Compare{Designs: []CompareDesign{design(70, 70.1), design(60, 61)}}.edgesFolded(temperatures))
	assert.Equal(t, apart, Compare{Designs: []CompareDesign{design(60, 61), design(70, 70.1)}}.edgesFolded(temperatures))
}
