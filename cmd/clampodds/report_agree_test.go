package main

import (
	"archive/zip"
	"encoding/csv"
	"encoding/xml"
	"fmt"
	"html"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// matches are the first groups of all matches.
func matches(pattern, text string) (found []string) {
	for _, m := range regexp.MustCompile(`(?s)`+pattern).FindAllStringSubmatch(text, -1) {
		found = append(found, m[1])
	}
	return found
}

// breaksOf are the marks of where a cell breaks, and where not.
var breaksOf = regexp.MustCompile(`<wbr>|</?span>`)

// assertTablesAgree compares every table of a report, cell by cell, as a reader of
// each format finds it.
func assertTablesAgree(t *testing.T, files map[string]string) {
	t.Helper()
	page := files["index.html"]
	names := matches(`<table id="table-([^"]*)"`, page)
	require.Greater(t, len(names), 14)
	pageTables, wordTables, markdownTables := pageTables(page), wordTables(t, files["report.docx"]), markdownTables(files["report.md"])
	require.Len(t, pageTables, len(names))
	require.Len(t, wordTables, len(names))
	require.Len(t, markdownTables, len(names))
	cells := 0
	for i, name := range names {
		want := pageTables[i]
		assertNumbersOf(t, want, csvTable(t, files["tables/"+name+".csv"]), name)
		assert.Equal(t, want, wordTables[i], "DOCX, %s", name)
		assert.Equal(t, want, markdownTables[i], "Markdown, %s", name)
		assert.Equal(t, want, latexTable(files["latex/table-"+name+".tex"]), "LaTeX, %s", name)
		assert.NotContains(t, want[0], "", "a column without a head, %s", name)
		cells += len(want) * len(want[0])
	}
	assert.Greater(t, cells, 700)
}

// assertNumbersOf looks for the numbers of a tidy table in the cells of the printed one.
func assertNumbersOf(t *testing.T, printed, tidy [][]string, name string) {
	t.Helper()
	var cells strings.Builder
	for _, row := range printed {
		cells.WriteString(strings.Join(row, " ") + " ")
	}
	require.NotEmpty(t, tidy, name)
	for _, row := range tidy[1:] {
		require.Len(t, row, len(tidy[0]), name)
		for i, head := range tidy[0] {
			if slices.Contains([]string{"value", "low", "high"}, head) && row[i] != "0" { // none of so many
				assert.Contains(t, cells.String(), row[i], "CSV, %s", name)
			}
		}
	}
}

func csvTable(t *testing.T, text string) [][]string {
	t.Helper()
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	require.NoError(t, err)
	for _, row := range rows {
		for i, cell := range row {
			if len(cell) > 1 && strings.ContainsRune("=+-@", rune(cell[1])) {
				row[i] = strings.TrimPrefix(cell, "'") // that no spreadsheet reads a formula
			}
		}
	}
	return rows
}

func pageTables(text string) (tables [][][]string) {
	for _, table := range matches(`<table id="table-[^>]*>(.*?)</table>`, text) {
		var rows [][]string
		for _, row := range matches(`<tr>(.*?)</tr>`, table) {
			var cells []string
			for _, cell := range matches(`<t[hd][^>]*>(.*?)</t[hd]>`, row) {
				cells = append(cells, html.UnescapeString(breaksOf.ReplaceAllString(cell, "")))
			}
			rows = append(rows, cells)
		}
		tables = append(tables, rows)
	}
	return tables
}

func wordTables(t *testing.T, file string) (tables [][][]string) {
	t.Helper()
	z, err := zip.NewReader(strings.NewReader(file), int64(len(file)))
	require.NoError(t, err)
	part, err := z.Open("word/document.xml")
	require.NoError(t, err)
	var document struct {
		Tables []struct {
			Rows []struct {
				Cells []struct {
					Text string `xml:"p>r>t"`
				} `xml:"tc"`
			} `xml:"tr"`
		} `xml:"body>tbl"`
	}
	require.NoError(t, xml.NewDecoder(part).Decode(&document))
	for _, table := range document.Tables {
		var rows [][]string
		for _, row := range table.Rows {
			var cells []string
			for _, cell := range row.Cells {
				cells = append(cells, cell.Text)
			}
			rows = append(rows, cells)
		}
		tables = append(tables, rows)
	}
	return tables
}

// markdownTables reads pipe tables: heads, a line of dashes, rows.
func markdownTables(text string) (tables [][][]string) {
	inside := false
	for _, line := range strings.Split(text, "\n") {
		switch {
		case !strings.HasPrefix(line, "|"):
			inside = false
			continue
		case !inside:
			tables, inside = append(tables, nil), true
		}
		var cells []string
		for _, cell := range regexp.MustCompile(`(?:[^|\\]|\\.)*\|`).FindAllString(line[1:], -1) {
			cell = strings.TrimSpace(strings.TrimSuffix(cell, "|"))
			cells = append(cells, html.UnescapeString(regexp.MustCompile(`\\(.)`).ReplaceAllString(cell, "$1")))
		}
		last := len(tables) - 1
		tables[last] = append(tables[last], cells)
	}
	for i, rows := range tables {
		tables[i] = append(rows[:1:1], rows[2:]...)
	}
	return tables
}

// printedBy has what LaTeX prints for the commands of our fragments.
var printedBy = strings.NewReplacer(
	`\allowbreak{}`, "", `\ensuremath{\leq}`, "≤", `\ensuremath{\rightarrow}`, "→", `\ensuremath{\infty}`, "∞", `\textdegree{}`, "°", `\textmu{}`, "µ", `\textperiodcentered{}`, "·", `\ldots{}`, "…",
	`\textsuperscript{2}`, "²", `\textless{}`, "<", `\textgreater{}`, ">", `-{}-{}`, "--", `\%`, "%", `\_`, "_", `\&`, "&", `{\char34}`, `"`,
	`\textasciicircum{}`, "^", `\textbar{}`, "|", `\textbackslash{}`, `\`, `\{`, "{", `\}`, "}", `\$`, "$",
)

func latexTable(text string) (rows [][]string) {
	_, body, _ := strings.Cut(text, `\endfirsthead`)
	for _, line := range strings.Split(body, "\n") {
		if cells, ok := strings.CutSuffix(strings.TrimSuffix(strings.TrimSuffix(line, "[2.3mm]"), "*"), ` \\`); ok {
			var row []string
			for _, cell := range strings.Split(cells, " & ") {
				row = append(row, printedBy.Replace(strings.TrimPrefix(cell, `\bfseries `)))
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// assertNumbersAreOf compares the tables of exceedance and percentiles with the
// JSON of a run: each cell is the number there, rounded to the digits shown.
func assertNumbersAreOf(t *testing.T, run runNumbers, files map[string]string) {
	t.Helper()
	var rows [][]string // requirement, per, verdict, quantity, value, low, high, flag, unit
	for _, row := range csvTable(t, files["tables/requirements.csv"])[1:] {
		if row[3] == "probability" {
			rows = append(rows, row)
		}
	}
	require.Len(t, rows, 2*len(run.Requirements))
	for i, q := range run.Requirements {
		assertRounded(t, q.PerCard, 0, rows[2*i][4:])
		assertRounded(t, q.PerChassis, 0, rows[2*i+1][4:])
		assert.Equal(t, q.Verdict, rows[2*i][2])
	}
	for name, quantities := range map[string][]quantityNumbers{
		"temperatures": run.Temperatures, "heat_shares": run.HeatShares, "resistances": run.Resistances, "forces": run.Forces, "utilisations": run.Utilisations,
	} {
		rows := csvTable(t, files["tables/"+name+".csv"])[1:] // label, quantity, value, low, high, flag, unit
		for _, q := range quantities {
			for _, p := range q.Percentiles {
				require.NotEmpty(t, rows, name)
				zero := 0.0
				if rows[0][6] == "°C" {
					zero = 273.15 // of the Celsius scale, by its definition
				}
				assertRounded(t, p.estimateNumbers, zero, rows[0][2:])
				rows = rows[1:]
			}
		}
		assert.Empty(t, rows, name)
	}
}

// assertRounded compares value, low, high and flag of an estimate with its numbers less zero.
func assertRounded(t *testing.T, e estimateNumbers, zero float64, cells []string) {
	t.Helper()
	if *e.Value == 0 && zero == 0 {
		assert.Equal(t, []string{"0", "0", rounded(*e.High, cells[2]), fmt.Sprint("none of ", e.N)}, cells[:4])
		return
	}
	for i, value := range []*float64{e.Value, e.Low, e.High} {
		if value == nil { // JSON has no infinity
			assert.Empty(t, cells[i])
			assert.Contains(t, cells[3], []string{"n/a", "-∞", "∞"}[i])
			continue
		}
		assert.Equal(t, rounded(*value-zero, cells[i]), cells[i])
	}
}

// rounded is a number with the digits of a text.
func rounded(value float64, like string) string {
	if mantissa, _, ok := strings.Cut(like, "e"); ok {
		return strings.Replace(fmt.Sprintf("%.*e", max(0, len(mantissa)-len("1.")), value), "e-0", "e-", 1)
	}
	_, decimals, _ := strings.Cut(like, ".")
	return strconv.FormatFloat(value, 'f', len(decimals), 64)
}

// runNumbers is what the test reads of the JSON of run.
type runNumbers struct {
	Requirements []struct {
		PerCard    estimateNumbers `json:"per_card"`
		PerChassis estimateNumbers `json:"per_chassis"`
		Verdict    string
	}
	Temperatures []quantityNumbers
	HeatShares   []quantityNumbers `json:"heat_shares"`
	Resistances  []quantityNumbers
	Forces       []quantityNumbers
	Utilisations []quantityNumbers
}

type estimateNumbers struct {
	Value, Low, High *float64
	N                int64
}

type quantityNumbers struct {
	Percentiles []struct{ estimateNumbers }
}
