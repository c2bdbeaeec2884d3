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
	readings, rig := one, one
	readings.More, rig.Rig = 40, &NeededRig{Lots: 3, Cards: 2}
	assert.Equal(t, []string{"spread left", "more readings"}, heads(readings))
	assert.Equal(t, []string{"spread left", "rig, lots x cards"}, heads(rig))
}
