package reports

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// program finds one of the programs or skips the test.
func program(t *testing.T, names ...string) string {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	t.Skipf("none of %v is installed: the page is not looked at in a browser", names)
	return ""
}

// browse runs a browser without window, network services or a profile of its own.
func browse(t *testing.T, browser, page string, arguments ...string) string {
	t.Helper()
	arguments = append(
		strings.Fields("--headless --no-sandbox --disable-gpu --disable-background-networking --disable-component-update --disable-sync --disable-quic --no-first-run --no-pdf-header-footer"),
		append(arguments, "--user-data-dir="+t.TempDir(), "file://"+page)...)
	command := exec.CommandContext(t.Context(), browser, arguments...)
	var problems bytes.Buffer
	command.Stderr = &problems
	out, err := command.Output()
	require.NoError(t, err, problems.String())
	assert.NotContains(t, problems.String(), "Content Security Policy", "the page breaks its own policy")
	return string(out)
}

// printedPages prints a page on the given paper and returns the text of each sheet.
func printedPages(t *testing.T, browser, page string) []string {
	t.Helper()
	pdf := filepath.Join(t.TempDir(), "out.pdf")
	browse(t, browser, page, "--print-to-pdf="+pdf)
	text, err := exec.CommandContext(t.Context(), program(t, "pdftotext"), "-layout", pdf, "-").Output()
	require.NoError(t, err)
	sheets := strings.Split(string(text), "\f")
	return sheets[:len(sheets)-1]
}

func TestPagePrintsWholeRows(t *testing.T) {
	browser := program(t, "chromium", "chromium-browser")
	program(t, "pdftotext")
	var html bytes.Buffer
	d := appendix()
	require.NoError(t, WriteHTML(&html, d))
	for _, paper := range []string{"A4", "letter"} {
		t.Run(paper, func(t *testing.T) {
			t.Parallel()
			page := filepath.Join(t.TempDir(), "index.html")
			text := strings.Replace(html.String(), "@page{", "@page{size:"+paper+";", 1)
			require.NoError(t, os.WriteFile(page, []byte(text), 0o644))
			sheets := printedPages(t, browser, page)
			require.Greater(t, len(sheets), 4)
			rows := 0
			for i, sheet := range sheets {
				// A row of the inputs begins with its name and ends, some lines below,
				// with "common practice".
				starts := strings.Count(sheet, "face.direct.crown_")
				assert.Equal(t, starts, strings.Count(sheet, "common practice"), "a row is split at sheet %d", i+1)
				if starts > 0 {
					assert.Contains(t, sheet, "one draw per", "heads are repeated")
				}
				rows += starts
			}
			assert.Equal(t, 45, rows)
			whole := strings.Join(sheets, "")
			assert.Equal(t, 6, strings.Count(whole, "100002 cards")-1, "the text of every figure that counts samples, and the provenance")
			for _, cell := range []string{"84.23 … 84.89", "≤ 1.80e-04", "pieces to the upper rail", "with bodies [W/K]", "digest (SHA-256)", "does not replace a test"} {
				assert.Contains(t, whole, cell)
			}
		})
	}
}

func TestPageOpensFromAFile(t *testing.T) {
	browser := program(t, "chromium", "chromium-browser")
	page := filepath.Join(t.TempDir(), "index.html")
	var html bytes.Buffer
	require.NoError(t, WriteHTML(&html, appendix()))
	assertLoadsNothing(t, html.String())
	require.NoError(t, os.WriteFile(page, html.Bytes(), 0o644))
	dom := browse(t, browser, page, "--dump-dom")
	assert.Equal(t, 9, strings.Count(dom, "<svg "))
	assert.Equal(t, 9, strings.Count(dom, `role="img"`))
	assert.Equal(t, 5, strings.Count(dom, "<table "))
	assert.Equal(t, 5, strings.Count(dom, "<caption>"))
}
