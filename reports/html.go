package reports

import (
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"html/template"
	"io"
	"regexp"
	"slices"
	"strings"

	"clampodds/reports/figure"
)

//go:embed page.html.tmpl
var pageTemplate string

//go:embed page.css
var pageStyle string

// exploreScript moves the sliders of an Explore; a page without one has no script.
//
//go:embed explore.js
var exploreScript string

// generator marks our pages.
const generator = "clampodds report"

// WriteHTML writes d as one page that stands alone: nothing loaded from elsewhere, which
// its content security policy forbids besides, and no script but the one of an Explore,
// which the policy knows by its hash. Figures are
// drawn in the page. It follows the reader's choice of a light or dark screen and
// prints light, on A4 or Letter.
func WriteHTML(w io.Writer, d Document) error {
	t, err := template.New("page").Funcs(template.FuncMap{"breaks": breaks}).Parse(pageTemplate)
	if err != nil {
		panic("reports: page template: " + err.Error())
	}
	return t.Execute(w, newPage(d))
}

// page is a document cut to what the template prints.
type page struct {
	Title, Generator   string
	Running            string
	Light, Dark, Style template.CSS
	Script             template.JS
	ScriptHash         string
	Contents           []pageLink
	Blocks             []pageBlock
}

type pageLink struct{ Kind, ID, Text string }

// pageBlock has one of Heading, Subheading, Paragraph, Items, SVG set, or is a table.
type pageBlock struct {
	ID, Heading, Subheading, Paragraph string
	Items                              []string
	SVG                                template.HTML
	Explore                            *pageExplore

	// Name is what assistive technology calls a table or figure.
	Name, Label, Caption string
	Short, Wide          bool
	Heads                []pageCell
	// Groups are the rows that a page break leaves together.
	Groups [][][]pageCell
	Notes  []string
}

// pageCell has a Scope where it is the head of what is beside it.
type pageCell struct{ Text, Class, Scope string }

// newCell sets numbers to the right and lets an endless word break, which else
// would push the table off a printed page.
func newCell(text string, column Column) pageCell {
	c := pageCell{Text: plain(text)}
	switch {
	case slices.ContainsFunc(strings.Fields(c.Text), func(word string) bool { return len(word) > longestWord }):
		c.Class = "long"
	case column.Number:
		c.Class = "n"
	}
	return c
}

// In a narrow line a key breaks behind its dots and underscores, and a power of ten not at all: 3.1e-5.
var (
	joints = regexp.MustCompile(`([a-z][._])([a-z])`)
	powers = regexp.MustCompile(`[-+]?[0-9][0-9.]*e[-+][0-9]+`)
)

// breaks is a text with the places where a line may end.
func breaks(text string) template.HTML {
	text = joints.ReplaceAllString(template.HTMLEscapeString(text), "$1<wbr>$2")
	return template.HTML(powers.ReplaceAllString(text, "<span>$0</span>"))
}

// shortTable is the number of rows that a page break leaves together.
const shortTable = 12

// longestWord still fits beside other columns, widestNumbers is the width in
// characters of number columns that fit a printed line in normal type.
const (
	longestWord   = 40
	widestNumbers = 115
)

// verdictClass stays in sight beside the name of the row while a narrow screen scrolls the rest.
const verdictClass = "v"

// fewestContents is the number of entries that make a table of contents useful.
const fewestContents = 4

func newPage(d Document) page {
	p := page{
		Title: plain(d.Title), Generator: generator, Running: plain(d.Running),
		Light: template.CSS(figure.LightVariables()), Dark: template.CSS(figure.DarkVariables()), Style: template.CSS(pageStyle),
	}
	names := fileNames(d)
	headings := 0
	for _, b := range d.Blocks {
		var out pageBlock
		kind := "item"
		switch b := b.(type) {
		case Heading:
			headings++
			kind = "heading"
			out = pageBlock{ID: label("section-", Number(float64(headings), 0)), Heading: plain(string(b)), Name: plain(string(b))}
		case Subheading:
			out = pageBlock{Subheading: plain(string(b))}
		case Paragraph:
			out = pageBlock{Paragraph: plain(string(b))}
		case Code:
			out = pageBlock{Paragraph: plain(string(b))}
		case List:
			out = pageBlock{Items: escapeAll(b, plain)}
		case *Explore:
			out = pageBlock{Explore: newPageExplore(b)}
			p.Script = template.JS(exploreScript)
			hash := sha256.Sum256([]byte(exploreScript))
			p.ScriptHash = base64.StdEncoding.EncodeToString(hash[:])
		case *Table:
			out = pageTable(b, "table-"+names[b])
		case *Figure:
			out = pageFigure(b, "figure-"+names[b])
		}
		if out.ID != "" {
			p.Contents = append(p.Contents, pageLink{kind, out.ID, out.Name})
		}
		p.Blocks = append(p.Blocks, out)
	}
	if len(p.Contents) < fewestContents {
		p.Contents = nil
	}
	return p
}

func pageFigure(f *Figure, id string) pageBlock {
	title := titled(f.label(), f.Caption)
	return pageBlock{
		ID: id, Name: plain(title), Label: plain(f.label()), Caption: plain(f.Caption),
		// The figure package escapes every text.
		SVG: template.HTML(figure.InlineSVG(f.Drawing, figure.Description{ID: id + "-svg", Title: title, Text: f.Alt})),
	}
}

func pageTable(t *Table, id string) pageBlock {
	out := pageBlock{ID: id, Name: plain(titled(t.label(), t.Caption)), Label: plain(t.label()), Caption: plain(t.Caption), Notes: escapeAll(t.Notes, plain)}
	widths, _ := columnCharacters(t)
	numbers := 0
	verdict := len(t.Columns) - 1
	if t.Columns[verdict].Head != "verdict" {
		verdict = -1
	}
	for i, c := range t.Columns {
		out.Heads = append(out.Heads, newCell(c.Head, c))
		if i == verdict {
			out.Heads[i].Class = verdictClass
		}
		if c.Number {
			numbers += widths[i]
		}
	}
	out.Wide, out.Short = numbers > widestNumbers, t.Together || len(t.Rows) <= shortTable
	for _, group := range t.groups() {
		var rows [][]pageCell
		for _, row := range group {
			cells := make([]pageCell, len(row))
			for i, text := range row {
				cells[i] = newCell(text, t.Columns[i])
				if i == verdict {
					cells[i].Class = verdictClass
				}
			}
			rows = append(rows, cells)
		}
		// The first column names the rows.
		rows[0][0].Scope = "row"
		if len(rows) > 1 {
			rows[0][0].Scope = "rowgroup"
		}
		out.Groups = append(out.Groups, rows)
	}
	return out
}
