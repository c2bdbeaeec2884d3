package reports

import (
	"bytes"
	"context"
	_ "embed"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// look measures a page from inside.
//
//go:embed testdata/look.js
var look string

// looked evaluates an expression about a page with the functions of look.
func looked[T any](v *tab, expression string) T {
	v.t.Helper()
	return ask[T](v, "(() => {"+look+"return "+expression+"})()")
}

// command is a step that sends one command of the protocol.
func command[P any](c cdp.Command[P, cdp.Empty], params P) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, c, params)
		return err
	})
}

// scheme asks for a light or a dark screen.
func scheme(value string) chromedp.Action[chromedp.Void] {
	return command(emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: value}}})
}

var noScripts = command(emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})

// wholePage is a window that holds all of the page.
var wholePage = chromedp.EmulateViewport(1300, 14000)

func TestPageInABrowser(t *testing.T) {
	d := appendix()
	page := pageFile(t, d)
	with := open(t, page)

	t.Run("asks for nothing and complains of nothing", func(t *testing.T) {
		requests, problems := with.seen()
		assert.Equal(t, []string{"file://" + page}, requests)
		assert.Empty(t, problems)
	})

	t.Run("reads the same without scripts", func(t *testing.T) {
		var want [][][]string
		for _, b := range d.Blocks {
			if table, ok := b.(*Table); ok {
				want = append(want, append([][]string{table.heads()}, table.Rows...))
			}
		}
		without := open(t, page, noScripts)
		assert.Equal(t, want, looked[[][][]string](with, "look.cells()"))
		const all = "document.body.innerText"
		assert.Equal(t, ask[string](with, all), ask[string](without, all))
		assert.Zero(t, ask[int](without, "document.scripts.length"))
	})

	t.Run("drawings are whole", func(t *testing.T) {
		assert.Empty(t, looked[[]string](with, "look.drawings()"))
		assert.Empty(t, looked[[]string](with, "look.hidden()"), "on a wide screen all is in view")
		assert.Equal(t, 9, ask[int](with, `document.querySelectorAll("svg[role=img] > title + desc").length`))
	})

	t.Run("phone", func(t *testing.T) {
		v := open(t, page, chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile))
		assert.Zero(t, looked[int](v, "look.sideways()"), "only wide tables and figures scroll sideways, each by itself")
		assert.Empty(t, looked[[]string](v, "look.drawings()"))
		const lined = "[...document.querySelectorAll('main :is(th, td)')].filter(e => getComputedStyle(e).backgroundImage != 'none')"
		assert.Positive(t, ask[int](v, lined+".length"))
		assert.Empty(t, ask[[]string](v, lined+".filter(e => getComputedStyle(e).backgroundRepeat != 'no-repeat').map(e => e.textContent)"), "a line that comes again at the cell's other end")
		assert.Empty(t, ask[[]string](v, "[...document.querySelectorAll('main span')].filter(e => e.closest('tbody, .note') && e.getClientRects().length > 1).map(e => e.textContent)"), "no power of ten is on two lines")
	})

	for _, light := range []string{"light", "dark"} {
		t.Run("contrast, "+light, func(t *testing.T) {
			v := open(t, page, scheme(light), wholePage)
			found := looked[struct {
				Count int
				Wrong []string
			}](v, "look.faint(4.5)") // WCAG 2.2, 1.4.3, level AA
			assert.Empty(t, found.Wrong)
			assert.Greater(t, found.Count, 600, "texts looked at")
			dark := ask[string](v, "getComputedStyle(document.body).backgroundColor") != "rgb(255, 255, 255)"
			assert.Equal(t, light == "dark", dark)
		})
	}
}

// The words stay as they are, whatever a cell has in it.
func TestWhereACellBreaks(t *testing.T) {
	for text, want := range map[string]string{
		"face.direct.flatness_across *": "face.<wbr>direct.<wbr>flatness_<wbr>across *",
		"3.1e-5 … 1.02e+07, ≤ 4e-9":     "<span>3.1e-5</span> … <span>1.02e+07</span>, ≤ <span>4e-9</span>",
		"(+1.80e-4 to +2.91e-4)":        "(<span>+1.80e-4</span> to <span>+2.91e-4</span>)",
		`<b onclick="x">0.5 N·m & 12`:   "&lt;b onclick=&#34;x&#34;&gt;0.5 N·m &amp; 12",
	} {
		assert.Equal(t, want, string(breaks(text)))
	}
}

// ownWords is a table whose every cell has words that are nowhere else, in rows of
// one to four lines, every third one going on with the row above.
func ownWords(rows int) *Table {
	t := &Table{Key: "own", Caption: "Own words", Columns: []Column{{Head: "first"}, {Head: "second", Number: true}, {Head: "third"}}}
	for i := range rows {
		var text []string
		for k := range 3 + i*7%40 {
			text = append(text, fmt.Sprintf("w%dx%d", i, k))
		}
		first := fmt.Sprintf("w%da", i)
		if i%3 == 2 {
			first = ""
		}
		t.AddRow(first, fmt.Sprintf("w%db", i), strings.Join(text, " "))
	}
	t.Notes = []string{"wnote below it"}
	return t
}

var ownWord = regexp.MustCompile(`w\d+[abx]\d*|wnote`)

// assertWholeRows checks on the text of the sheets that no row of ownWords is
// split, that heads stand above rows and a note below.
func assertWholeRows(t *testing.T, own *Table, sheets []string) {
	t.Helper()
	on := map[string]int{} // sheet of each word
	for i, sheet := range sheets {
		words := ownWord.FindAllString(sheet, -1)
		for _, word := range words {
			_, before := on[word]
			assert.False(t, before, "%s is printed twice", word)
			on[word] = i
		}
		assert.Equal(t, len(words) > 0, regexp.MustCompile(`first +second +third`).MatchString(sheet), "heads where rows are, sheet %d", i+1)
	}
	for _, group := range own.groups() {
		for _, word := range strings.Fields(strings.Join(append(group[0], group[len(group)-1]...), " ")) {
			sheet, printed := on[word]
			require.True(t, printed, word)
			require.Equal(t, on[group[0][0]], sheet, "%s is on another sheet than %s", word, group[0][0])
		}
	}
	assert.Equal(t, on[own.Rows[len(own.Rows)-1][1]], on["wnote"], "a note stays with its table")
}

// longAppendix is the appendix with a long table at its end.
func longAppendix() (Document, *Table) {
	d, own := appendix(), ownWords(90)
	d.Add(own)
	return d, own
}

// tablesAlongTheSheet are tables, long ones and short ones, that begin further down a
// sheet from document to document.
func tablesAlongTheSheet() (documents []Document, tables []*Table) {
	for _, c := range []struct{ rows, lines int }{{shortTable + 20, 48}, {12, 38}} {
		own := ownWords(c.rows)
		lines := List(strings.Split(strings.Repeat("line,", c.lines), ","))
		for range 8 {
			lines = append(lines, "line")
			tables = append(tables, own)
			documents = append(documents, Document{Blocks: []Block{slices.Clone(lines), own}})
		}
	}
	return documents, tables
}

// onA4 are the sheets of the long appendix and of the tables along the sheet. All are
// printed at once, for the time it takes to print, by the first test that looks at them.
var onA4 struct {
	once   sync.Once
	sheets [][]string
}

func sheetsOnA4(t *testing.T) [][]string {
	t.Helper()
	sharedBrowser(t) // or skipped
	onA4.once.Do(func() {
		first, _ := longAppendix()
		others, _ := tablesAlongTheSheet()
		onA4.sheets = sheetsOfEach(t, chromedp.PaperA4, append([]Document{first}, others...))
	})
	require.NotEmpty(t, onA4.sheets, "the first test could not print")
	return onA4.sheets
}

func TestPagePrintsWholeRows(t *testing.T) {
	d, own := longAppendix()
	for _, paper := range []struct {
		name   string
		print  func(t *testing.T) [][]string
		sheets int
	}{
		{"A4", sheetsOnA4, 9},
		{"Letter", func(t *testing.T) [][]string { return sheetsOfEach(t, chromedp.PaperLetter, []Document{d}) }, 9},
	} {
		t.Run(paper.name, func(t *testing.T) {
			sheets := paper.print(t)[0]
			assert.Equal(t, paper.sheets, len(sheets), "with the fonts that the figures name first")
			for i, sheet := range sheets {
				assert.Greater(t, len(strings.Fields(sheet)), 20, "sheet %d is almost empty", i+1)
			}
			assertWholeRows(t, own, sheets)
			whole := strings.Join(sheets, "")
			assert.Equal(t, 6, strings.Count(whole, "100002 cards")-1, "the text of every figure that counts samples, and the provenance")
			for _, cell := range []string{"84.23 … 84.89", "≤ 1.80e-4", "pieces to the upper rail", "with bodies [W/K]", "digest (SHA-256)", "does not replace a test"} {
				assert.Contains(t, whole, cell)
			}
		})
	}
}

// Wherever the sheet ends: a long table begins on it with a row at least, a short
// one stays whole.
func TestPagePrintsWholeRowsWhereverTheSheetEnds(t *testing.T) {
	documents, tables := tablesAlongTheSheet()
	for i, sheets := range sheetsOnA4(t)[1:] {
		own := tables[i]
		assertWholeRows(t, own, sheets)
		assert.Equal(t, len(documents[i].Blocks[0].(List))-1, strings.Count(strings.Join(sheets, ""), "line"), "all of document %d", i+2)
		if len(own.Rows) <= shortTable {
			assert.Len(t, sheets, 2)
			assert.Len(t, ownWord.FindAllString(sheets[0]+sheets[1], -1), max(len(ownWord.FindAllString(sheets[0], -1)), len(ownWord.FindAllString(sheets[1], -1))), "on one sheet")
		}
	}
}

// sheetsOfEach prints documents from one page, numbered by their titles and by the
// sheet, and returns the sheets of each.
func sheetsOfEach(t *testing.T, paper chromedp.PaperSize, documents []Document) (printed [][]string) {
	t.Helper()
	var page, body string
	for i, d := range documents {
		d.Title = fmt.Sprintf("document %d", i+1)
		var html bytes.Buffer
		require.NoError(t, WriteHTML(&html, d))
		page = html.String()
		_, inside, _ := strings.Cut(page, "<body>")
		inside, _, _ = strings.Cut(inside, "</body>")
		body += `<div style="break-before:page">` + inside + "</div>"
	}
	head, _, _ := strings.Cut(page, "<body>")
	title := regexp.MustCompile(`(?m)^ *document \d+$`)
	all := open(t, textFile(t, head+"<body>"+body+"</body></html>"), noScripts).sheets(paper)
	for i, sheet := range all {
		assert.Regexp(t, fmt.Sprintf(`%d ?/ ?%d\s*$`, i+1, len(all)), sheet, "number of the sheet")
		if title.MatchString(sheet) {
			printed = append(printed, nil)
		}
		require.NotEmpty(t, printed, "the first sheet has a title")
		printed[len(printed)-1] = append(printed[len(printed)-1], sheet)
	}
	require.Len(t, printed, len(documents), "each document begins on a sheet")
	return printed
}
