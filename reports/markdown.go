package reports

import (
	"io"

	"github.com/olekukonko/tablewriter/renderer"
)

// WriteMarkdown writes d as Markdown with pipe tables.
func WriteMarkdown(w io.Writer, d Document) error {
	p := &printer{w: w}
	p.line("# " + markdown(d.Title))
	for _, b := range d.Blocks {
		p.line("")
		switch b := b.(type) {
		case Heading:
			p.line("## " + markdown(string(b)))
		case Paragraph:
			p.line(markdown(string(b)))
		case List:
			for _, item := range b {
				p.line("- " + markdown(item))
			}
		case *Table:
			if b.Caption != "" {
				p.line("**" + markdown(b.Caption) + "**\n")
			}
			if p.err == nil {
				p.err = renderTable(w, b, renderer.NewMarkdown(), markdown)
			}
			for _, n := range b.Notes {
				p.line("\n" + markdown(n))
			}
		}
	}
	return p.err
}
