package reports

import (
	"io"
	"strings"

	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"
)

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
