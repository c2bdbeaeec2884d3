package reports

import (
	"encoding/csv"
	"encoding/xml"
	"io"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports/figure"
	"clampodds/reports/internal/clean"
)

// hostile texts are what a study file can have in a title, a name or a source.
var hostile = []string{
	"<script>alert(1)</script>", `"><img src=http://x onerror=alert(1)>`, "a|b", "=cmd()", "+1+1", "@x", "-2+3", "\t=cmd()",
	"\x1b[31mred", "abc\u202edef\u200f", "line\nbreak", strings.Repeat("x", 10000), "`code` *b* [l](u) ![i](http://x)", "a & b &amp; c",
	`\input{/etc/passwd}`, `\write18{x}`, `$x$ %comment`, `{unbalanced`, "[t] options", "* star", "]]></w:t><w:p/>", "\x00\ufffe\xff", "{{.Title}}", "javascript:alert(1)",
}

// hostileDocument has every hostile text in every place.
func hostileDocument() Document {
	d := Document{Title: strings.Join(hostile[:11], " ")}
	t := &Table{Key: hostile[0], Caption: hostile[1], Columns: []Column{{Head: "text"}, {Head: hostile[0], Number: true}}, Notes: hostile}
	for _, h := range hostile {
		t.AddRow(h, "1")
		d.Add(Heading(h), Subheading(h), Paragraph(h))
	}
	d.Add(List(hostile), t)
	for i, h := range hostile {
		if i%4 != 0 { // what a figure writes is tested where it is drawn
			continue
		}
		d.Add(&Figure{Key: h, Caption: h, Alt: h, Drawing: figure.Drivers{Measure: h, Bars: []figure.Bar{{Name: h, Text: h, Value: 1}}}})
	}
	d.Number(hostile[0])
	return d
}

var (
	hostileOnce sync.Once
	hostileText map[string]string
)

// hostileOutputs renders the hostile document once for all tests.
func hostileOutputs(t *testing.T) map[string]string {
	t.Helper()
	hostileOnce.Do(func() { hostileText = rendered(t, hostileDocument()) })
	return hostileText
}

func TestHostileTextIsHarmless(t *testing.T) {
	for name, text := range hostileOutputs(t) {
		for _, sign := range []string{"\x1b", "\u202e", "\u200f", "\x00", "\ufffe", strings.Repeat("x", clean.MaxWord+1)} {
			assert.NotContains(t, text, sign, name)
		}
	}
}

func TestHostileHTML(t *testing.T) {
	text := hostileOutputs(t)["index.html"]
	assert.NotContains(t, text, "<script")
	assert.NotContains(t, text, "<img")
	assert.NotContains(t, text, "<image")
	assertLoadsNothing(t, text)
	// Every tag is one of ours.
	known := strings.Fields("!doctype html head meta title style body a header h1 nav details summary ul li main h2 h3 p figure div figcaption b table caption span thead tr th tbody td svg desc g path text")
	for _, m := range regexp.MustCompile(`<(?:/)?([!a-zA-Z0-9]+)`).FindAllStringSubmatch(text, -1) {
		assert.Contains(t, known, strings.ToLower(m[1]))
	}
}

// assertLoadsNothing checks that a page refers to nothing outside itself.
func assertLoadsNothing(t *testing.T, text string) {
	t.Helper()
	assert.Contains(t, text, `content="default-src 'none'; style-src 'unsafe-inline'"`)
	for _, m := range regexp.MustCompile(`<[a-zA-Z][^>]*>`).FindAllString(text, -1) {
		for _, a := range regexp.MustCompile(`\s([a-zA-Z:-]+)="([^"]*)"`).FindAllStringSubmatch(m, -1) {
			switch strings.ToLower(a[1]) {
			case "src", "srcset", "xlink:href", "data", "action", "background", "poster":
				assert.Fail(t, "loads", m)
			case "href":
				assert.True(t, strings.HasPrefix(a[2], "#"), m)
			case "xmlns":
				assert.Equal(t, "http://www.w3.org/2000/svg", a[2])
			default:
				assert.False(t, strings.HasPrefix(strings.ToLower(a[1]), "on"), m)
			}
		}
	}
	style := strings.Join(allMatches(`<style>(.*?)</style>`, text), "")
	for _, sign := range []string{"url(", "@import", "http"} {
		assert.NotContains(t, style, sign)
	}
}

func TestHostileMarkdown(t *testing.T) {
	text := hostileOutputs(t)["report.md"]
	assert.NotContains(t, text, "<script")
	assert.NotContains(t, text, "<img")
	rows := 0
	for _, l := range strings.Split(text, "\n") {
		if strings.HasPrefix(l, "|") {
			rows++
			assert.Equal(t, 3, strings.Count(strings.ReplaceAll(l, `\|`, ""), "|"), l)
		}
	}
	assert.Equal(t, 2+len(hostile), rows)
	// The only links are to our figures.
	for _, link := range regexp.MustCompile(`(?:^|[^\\])\]\(([^)]*)\)`).FindAllStringSubmatch(text, -1) {
		assert.Regexp(t, `^figures/[\w-]+\.svg$`, link[1])
	}
}

func TestHostileCSV(t *testing.T) {
	text := hostileOutputs(t)["report.csv"]
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord = -1 // the first has key and caption
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), len(hostile))
	for _, row := range rows {
		for _, cell := range row {
			assert.NotRegexp(t, `^\s*[=+@-]`, cell)
		}
	}
}

func TestHostileLatex(t *testing.T) {
	for name, text := range hostileOutputs(t) {
		if !strings.HasSuffix(name, ".tex") {
			continue
		}
		// Every command is one that the renderer or the escaping writes.
		for _, m := range regexp.MustCompile(`\\([a-zA-Z]+)`).FindAllStringSubmatch(text, -1) {
			if strings.HasPrefix(m[1], "pgf") {
				continue
			}
			assert.Contains(t, strings.Fields("label resizebox color fontsize selectfont sffamily tiny par begingroup endgroup small footnotesize scriptsize setlength tabcolsep LTleft LTright LTcapwidth allowbreak smallskip noalign hrule nobreak vskip begin end caption toprule midrule bottomrule endfirsthead endhead endfoot noindent raggedright arraybackslash linewidth renewcommand thetable thefigure addtocounter centering textbackslash textasciicircum textasciitilde textless textgreater textbar char ldots medskip makeatletter makeatother def bfseries extracolsep fill"), m[1], name)
		}
		open := 0
		for i := 0; i < len(text); i++ {
			switch text[i] {
			case '\\':
				i++ // an escaped brace does not count
			case '{':
				open++
			case '}':
				open--
			case '%', '$', '#':
				assert.Fail(t, "unescaped", "%s: %s", name, text[max(0, i-20):i+1])
			}
			require.GreaterOrEqual(t, open, 0, name)
		}
		assert.Zero(t, open, name)
		assert.NotRegexp(t, `\\\\\n[\[*]`, text, "an option of the row's end")
	}
}

func TestHostileDOCX(t *testing.T) {
	text := hostileOutputs(t)["document.xml"]
	d := xml.NewDecoder(strings.NewReader(text))
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		if e, ok := token.(xml.StartElement); ok {
			assert.NotContains(t, []string{"script", "img", "image"}, e.Name.Local)
		}
	}
	assert.Equal(t, strings.Count(text, "<w:p>"), strings.Count(text, "</w:p>"))
	assert.NotContains(t, text, "<w:p/>")
}
