package reports

import (
	"io"
	"slices"
	"strings"

	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"
)

// Terminal is how a document is printed as plain text.
type Terminal struct {
	// Width in columns: running text is wrapped, wider tables are folded; 0: neither.
	Width int
	// Interactive says that a person's terminal shows it: distributions are drawn
	// with characters.
	Interactive bool
	// Colour allows colours on an interactive terminal; see ColourWanted.
	Colour bool
}

// ColourWanted reports whether the environment leaves colours on: NO_COLOR is
// not set or empty, and TERM is not "dumb".
func ColourWanted(getenv func(string) string) bool {
	return getenv("NO_COLOR") == "" && getenv("TERM") != "dumb"
}

// Write writes d as plain text.
func (t Terminal) Write(w io.Writer, d Document) error {
	p := &printer{w: w}
	if d.Title != "" {
		p.line(wrapText(plain(d.Title), t.Width))
	}
	for _, b := range d.Blocks {
		switch b := b.(type) {
		case Heading:
			p.line("\n" + strings.ToUpper(plain(string(b))))
		case Subheading:
			p.line("\n" + wrapText(plain(string(b)), t.Width))
		case Paragraph:
			p.line("\n" + wrapText(plain(string(b)), t.Width))
		case Code:
			p.line("\n" + plain(string(b)))
		case List:
			p.line("")
			for _, item := range b {
				p.line("- " + strings.ReplaceAll(wrapText(plain(item), t.Width-2), "\n", "\n  "))
			}
		case *Table:
			p.line("")
			t.table(p, b)
		case *Figure:
			t.figure(p, b)
		}
	}
	return p.err
}

func (t Terminal) table(p *printer, b *Table) {
	if b.Caption != "" {
		p.line(wrapText(plain(titled(b.label(), b.Caption)), t.Width))
	}
	parts := []*Table{b}
	if t.Width > 0 {
		if tableWidth(columnWidths(b)) > t.Width {
			b = b.saidOnce()
		}
		parts = fold(b, t.Width)
	}
	for i, part := range parts {
		if i > 0 {
			p.line("")
		}
		p.table(part)
	}
	if b.column("low") >= 0 && !slices.ContainsFunc(parts, func(part *Table) bool { return part.column("low") >= 0 }) {
		p.line(wrapText("Below each value: low"+intervalSign+"high.", t.Width))
	}
	for _, n := range b.Notes {
		p.line(wrapText(plain(n), t.Width))
	}
}

// figure shows what can be shown with characters.
func (t Terminal) figure(p *printer, f *Figure) {
	d, ok := f.Drawing.(interface{ Text(int, bool) []string })
	if !ok || !t.Interactive {
		return
	}
	lines := d.Text(t.Width, t.Colour)
	if len(lines) == 0 {
		return
	}
	p.line("\n" + wrapText(plain(titled(f.label(), f.Caption)), t.Width))
	for _, l := range lines {
		p.line(l)
	}
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

// wrapText breaks s at blanks so that no line is longer than width runes where
// a blank allows it.
func wrapText(s string, width int) string {
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
			b.WriteByte('\n')
			used = 0
		default:
			b.WriteByte(' ')
			used++
		}
		b.WriteString(word)
		used += n
	}
	return b.String()
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
