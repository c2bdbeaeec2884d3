// Package reports draws results as tables and figures. One document model is
// read by every renderer, so that a number reads the same on the terminal, in
// Markdown, in a spreadsheet and on a printed page.
//
// Nothing here estimates: results come in finished, with their intervals and
// warnings, and leave as text.
package reports

// Document is what a command has to say, in reading order.
type Document struct {
	Title  string
	Blocks []Block
}

// Block is one of Heading, Paragraph, List or *Table.
type Block interface{ block() }

// Heading opens a section.
type Heading string

// Paragraph is running text, one line however long.
type Paragraph string

// List is a bulleted list.
type List []string

// Table is a table whose cells are ready to print: rounded, with no unit that
// the column's head does not state.
type Table struct {
	// Key names the table for programs ("percentiles").
	Key     string
	Caption string
	Columns []Column
	Rows    [][]string
	// Notes stand below the table.
	Notes []string
}

// Column is a table's column.
type Column struct {
	Head string
	// Number sets the column to the right.
	Number bool
}

func (Heading) block()   {}
func (Paragraph) block() {}
func (List) block()      {}
func (*Table) block()    {}

// Add appends blocks.
func (d *Document) Add(blocks ...Block) { d.Blocks = append(d.Blocks, blocks...) }

// AddRow appends one row; it panics when the row does not fit the columns,
// which is a bug of the caller.
func (t *Table) AddRow(cells ...string) {
	if len(cells) != len(t.Columns) {
		panic("reports: table " + t.Key + ": row does not fit the columns")
	}
	t.Rows = append(t.Rows, cells)
}

// heads lists the column heads.
func (t *Table) heads() []string {
	heads := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		heads[i] = c.Head
	}
	return heads
}
