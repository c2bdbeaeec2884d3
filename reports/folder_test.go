package reports

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFolderHasEverythingAndTheSameBytesEachTime(t *testing.T) {
	numbers := map[string]any{"schema": "x/1", "title": "<b>"}
	files, err := FolderFiles(shortReport(), numbers)
	require.NoError(t, err)
	again, err := FolderFiles(shortReport(), numbers)
	require.NoError(t, err)
	assert.Equal(t, files, again)
	assert.ElementsMatch(t, []string{
		"index.html", "report.md", "report.tex", "report.docx", "report.json",
		"figures/hotter_edge.svg", "figures/hotter_edge.png", "figures/drivers.svg", "figures/drivers.png",
		"tables/README.md", "tables/requirements.csv", "tables/inputs.csv",
		"latex/table-requirements.tex", "latex/table-inputs.tex", "latex/figure-hotter_edge.tex", "latex/figure-drivers.tex",
	}, slices.Collect(maps.Keys(files)))
	assert.Equal(t, "{\n  \"schema\": \"x/1\",\n  \"title\": \"<b>\"\n}\n", string(files["report.json"]))
	assert.Contains(t, string(files["report.md"]), "](figures/hotter_edge.svg)")
	assert.Contains(t, string(files["latex/figure-drivers.tex"]), `\begin{pgfpicture}`, "a drawing, not a picture")
	assert.Contains(t, string(files["latex/figure-drivers.tex"]), `\label{fig:drivers}`)
	for name := range files {
		if fragment, ok := strings.CutPrefix(name, "latex/"); ok {
			assert.Contains(t, string(files["report.tex"]), `\input{latex/`+strings.TrimSuffix(fragment, ".tex")+"}")
		}
	}
	assert.Contains(t, string(files[FolderPage]), FolderSign)
}

// tinyReport is a document whose report is made quickly.
func tinyReport(text string) Document {
	d := Document{Title: "Tiny"}
	d.Add(Paragraph(text))
	return d
}

func TestJSONThatCannotBeWrittenIsAnError(t *testing.T) {
	_, err := FolderFiles(tinyReport(""), func() {})
	assert.ErrorContains(t, err, "report.json")
}

func BenchmarkFolder(b *testing.B) {
	b.Run("document=appendix", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := FolderFiles(appendix(), nil); err != nil {
				b.Fatal(err)
			}
		}
	})
}
