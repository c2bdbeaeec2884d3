package reports

import (
	"io"
	"strings"

	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"
)

// WriteTerminal writes d as plain text for a terminal of the given width in
// columns (0: no wrapping of running text). Tables are never wrapped.
func WriteTerminal(w io.Writer, d Document, width int) error {
	p := &printer{w: w}
	p.line(plain(d.Title))
	for _, b := range d.Blocks {
		p.line("")
		switch b := b.(type) {
		case Heading:
			p.line(strings.ToUpper(plain(string(b))))
		case Paragraph:
			p.line(wrapText(plain(string(b)), width, ""))
		case List:
			for _, item := range b {
				p.line("- " + wrapText(plain(item), width, "  "))
			}
		case *Table:
			if b.Caption != "" {
				p.line(wrapText(plain(b.Caption), width, ""))
			}
			p.table(b)
			for _, n := range b.Notes {
				p.line(wrapText(plain(n), width, ""))
			}
		}
	}
	return p.err
}

// printer keeps the first write error, so that callers need not look at each.
type printer struct {
	w   io.Writer
	err error
}

func (p *printer) line(s string) {
	if p.err == nil {
		_, p.err = io.WriteString(p.w, s+"\n")
	}
}

func (p *printer) table(t *Table) {
	if p.err != nil {
		return
	}
	var b strings.Builder
	if p.err = renderTable(&b, t, renderer.NewBlueprint(quiet()), plain); p.err != nil {
		return
	}
	// The renderer pads the last column; a terminal needs no trailing blanks.
	for _, l := range strings.Split(strings.TrimRight(b.String(), "\n"), "\n") {
		p.line(strings.TrimRight(l, " "))
	}
}

// quiet is the look of our tables on a terminal: one rule under the heads.
func quiet() tw.Rendition {
	return tw.Rendition{
		Borders: tw.BorderNone,
		Symbols: tw.NewSymbols(tw.StyleLight),
		Settings: tw.Settings{
			Lines:      tw.Lines{ShowTop: tw.Off, ShowBottom: tw.Off, ShowHeaderLine: tw.On, ShowFooterLine: tw.Off},
			Separators: tw.Separators{BetweenColumns: tw.Off, BetweenRows: tw.Off},
		},
	}
}

// renderTable hands t to a renderer of the table library, each cell escaped.
func renderTable(w io.Writer, t *Table, r tw.Renderer, escape func(string) string) error {
	aligns := make(tw.Alignment, len(t.Columns))
	for i, c := range t.Columns {
		aligns[i] = tw.AlignLeft
		if c.Number {
			aligns[i] = tw.AlignRight
		}
	}
	table := tablewriter.NewTable(w,
		tablewriter.WithRenderer(r),
		// Automatic formatting would turn "T_case [°C]" into "T CASE [° C ]".
		tablewriter.WithHeaderAutoFormat(tw.Off),
		tablewriter.WithHeaderAutoWrap(tw.WrapNone),
		tablewriter.WithRowAutoWrap(tw.WrapNone),
		tablewriter.WithAlignment(aligns),
		tablewriter.WithHeaderAlignmentConfig(tw.CellAlignment{PerColumn: aligns}),
	)
	table.Header(escapeAll(t.heads(), escape))
	for _, row := range t.Rows {
		if err := table.Append(escapeAll(row, escape)); err != nil {
			return err
		}
	}
	return table.Render()
}

func escapeAll(cells []string, escape func(string) string) []string {
	out := make([]string, len(cells))
	for i, c := range cells {
		out[i] = escape(c)
	}
	return out
}

// wrapText breaks s at blanks so that no line is longer than width runes where
// a blank allows it; further lines start with indent.
func wrapText(s string, width int, indent string) string {
	if width <= 0 {
		return s
	}
	var b strings.Builder
	used := 0
	for i, word := range strings.Fields(s) {
		n := len([]rune(word))
		switch {
		case i == 0:
		case used+1+n > width:
			b.WriteString("\n" + indent)
			used = len(indent)
		default:
			b.WriteByte(' ')
			used++
		}
		b.WriteString(word)
		used += n
	}
	return b.String()
}
