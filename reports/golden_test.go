package reports

import (
	"archive/zip"
	"bytes"
	"io"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports/validation"
	"clampodds/sim"
)

// shortReport is a small document with one block of each kind.
func shortReport() Document {
	d := Document{Title: "Correlator card & clamp"}
	d.Add(Heading("Result"), Paragraph("The hotter edge stays below 85 °C in all but 0.07 % of cards."), requirementsTable(),
		demoFigures()[0], demoFigures()[2], Subheading("In detail"), List{"one caution", "another"}, Heading("Inputs"), inputsTable(2))
	d.Number("A")
	return d
}

// docxPart reads one part of a word processor file.
func docxPart(t *testing.T, file []byte, name string) string {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	require.NoError(t, err)
	f, err := z.Open(name)
	require.NoError(t, err)
	text, err := io.ReadAll(f)
	require.NoError(t, err)
	return string(text)
}

// writeWhole writes a word processor file with its pictures.
func writeWhole(t *testing.T, w io.Writer, d Document) {
	t.Helper()
	drawn, err := drawAll(d.Blocks)
	require.NoError(t, err)
	require.NoError(t, writeDOCX(w, d, drawn))
}

// Fixed dates make the same bytes on every day.
func TestDOCXHasNoDateOfToday(t *testing.T) {
	var b bytes.Buffer
	writeWhole(t, &b, tinyReport(""))
	z, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	require.NoError(t, err)
	for _, f := range z.File {
		assert.Equal(t, 1980, f.Modified.UTC().Year(), f.Name)
	}
}

// rendered is the document in every form of text.
func rendered(t *testing.T, d Document) map[string]string {
	t.Helper()
	out := map[string]string{}
	write := func(name string, to func(w io.Writer) error) string {
		var b bytes.Buffer
		require.NoError(t, to(&b), name)
		out[name] = b.String()
		return b.String()
	}
	write("pipe.txt", func(w io.Writer) error { return Terminal{Width: 100}.Write(w, d) })
	write("whole.txt", func(w io.Writer) error { return Terminal{}.Write(w, d) })
	write("terminal-60.txt", func(w io.Writer) error { return Terminal{Width: 60, Interactive: true}.Write(w, d) })
	write("report.csv", func(w io.Writer) error { return WriteCSV(w, d) })
	write("index.html", func(w io.Writer) error { return WriteHTML(w, d) })
	names, files := fileNames(d), map[Block]string{}
	for _, b := range d.Blocks {
		switch b := b.(type) {
		case *Table:
			write("table-"+names[b]+".tex", func(w io.Writer) error { return WriteLatexTable(w, b, names[b]) })
		case *Figure:
			files[b] = "figures/" + names[b] + ".svg"
			write("figure-"+names[b]+".tex", func(w io.Writer) error { return WriteLatexFigure(w, b, names[b]) })
		}
	}
	write("report.md", func(w io.Writer) error { return writeMarkdown(w, d, files) })
	var docx bytes.Buffer
	writeWhole(t, &docx, d)
	out["document.xml"] = docxPart(t, docx.Bytes(), "word/document.xml")
	return out
}

// assertGolden compares a text with the one kept in testdata.
func assertGolden(t *testing.T, name, got string) {
	t.Helper()
	golden := filepath.Join("testdata", name)
	if validation.Updating() {
		require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
		return
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	assert.Equal(t, string(want), got, "%s: look at the change, then run the test with -update", name)
}

func TestOutputsAreAsLookedAt(t *testing.T) {
	for name, got := range rendered(t, shortReport()) {
		assertGolden(t, name, got)
	}
}

// Numbers are kept in full, what JSON cannot write is null.
func TestJSONIsAsLookedAt(t *testing.T) {
	edge := Estimate{Value: 357.0123456789, Interval: Interval{Low: 356.9, High: math.Inf(1)}, Level: 0.95, Achieved: 0.9502, Count: 99000, N: 100002, EffectiveN: 31456.25, Method: "order statistics"}
	rare := Estimate{Value: 7.2e-4, Interval: Interval{Low: 4.4e-4, High: 1.11e-3}, Level: 0.95, Achieved: 0.95, Count: 72, N: 100002, EffectiveN: 15728, Method: "Clopper-Pearson", Warnings: []Warning{{Code: "few", Text: "few <events>"}}}
	r := Run{
		Schema: RunSchema, Provenance: Provenance{Tool: "clampodds", Version: "0.1.0", Study: "a.toml", Title: "Demo", Digest: "b502", Seed: 0, Samples: 100002, Chassis: 16667, CardsPerChassis: 6, Plan: "random", Confidence: 0.95, Complete: true},
		Requirements: []Requirement{{Name: "edge", Label: "hotter edge", Quantity: "edge.hotter", Limit: 358.15, Unit: "K", Target: 2e-3, PerCard: rare, PerChassis: rare, Verdict: "met", Trace: []sim.TracePoint{{Rows: 1000, Value: 1e-3, Interval: Interval{Low: 2e-5, High: 6e-3}, Stretch: 1e-3}}}},
		Temperatures: []Quantity{{Name: "edge.hotter", Label: "hotter edge", Unit: "K", Percentiles: []Percentile{{0.99, edge}}}},
		Misfits:      []Event{{"event.no_entry", "the card does not go in", rare, rare}},
	}
	files, err := FolderFiles(tinyReport(""), r)
	require.NoError(t, err)
	assertGolden(t, "report.json", string(files["report.json"]))
}

func TestNumbersStandOnceInTheModel(t *testing.T) {
	d := shortReport()
	for name, text := range rendered(t, d) {
		if name == "report.csv" || filepath.Ext(name) == ".tex" {
			continue // no numbers there, or see the golden files
		}
		assert.Contains(t, text, "A-2", name)
		assert.NotContains(t, text, "A-3", name)
	}
	d.Number("")
	assert.Equal(t, "1", d.Blocks[2].(*Table).Number)
	assert.Equal(t, "Figure 2", d.Blocks[4].(*Figure).label())
}

func TestFileNamesAreSafeAndUnique(t *testing.T) {
	d := Document{}
	for _, key := range []string{"edges", "Edges", "edges", "../../etc/passwd", "", "a b/c", "\x00"} {
		d.Add(&Table{Key: key})
	}
	d.Add(&Figure{Key: "edges"})
	var got []string
	names := fileNames(d)
	for _, b := range d.Blocks {
		got = append(got, names[b])
	}
	assert.Equal(t, []string{"edges", "Edges-2", "edges-3", "etc-passwd", "unnamed", "a-b-c", "unnamed-2", "edges-4"}, got)
}
