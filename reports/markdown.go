package reports

import (
	"io"

	"github.com/olekukonko/tablewriter/renderer"
)

// WriteMarkdown writes d as Markdown with pipe tables. Figures are left out.
func WriteMarkdown(w io.Writer, d Document) error { return writeMarkdown(w, d, nil) }

// writeMarkdown refers to the file that a figure is in, where there is one.
func writeMarkdown(w io.Writer, d Document, file map[Block]string) error {
	p := &printer{w: w}
	p.line("# " + markdown(d.Title))
	for _, b := range d.Blocks {
		switch b := b.(type) {
		case Heading:
			p.line("\n## " + markdown(string(b)))
		case Subheading:
			p.line("\n### " + markdown(string(b)))
		case Paragraph:
			p.line("\n" + markdown(string(b)))
		case Code:
			p.line("\n```\n" + plain(string(b)) + "\n```")
		case List:
			p.line("")
			for _, item := range b {
				p.line("- " + markdown(item))
			}
		case *Table:
			p.line("")
			if b.Caption != "" {
				p.line("**" + markdown(titled(b.label(), b.Caption)) + "**\n")
			}
			if p.err == nil {
				p.err = renderTable(w, b, renderer.NewMarkdown(), markdown)
			}
			for _, n := range b.Notes {
				p.line("\n" + markdown(n))
			}
		case *Figure:
			if path := file[b]; path != "" {
				p.line("\n![" + markdown(b.Alt) + "](" + path + ")\n")
				p.line("**" + markdown(titled(b.label(), b.Caption)) + "**")
			}
		}
	}
	return p.err
}
