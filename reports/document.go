// Package reports draws results as tables and figures. One document model is
// read by every renderer, so that a number reads the same on the terminal, in
// Markdown, in a spreadsheet and on a printed page.
//
// Nothing here estimates: results come in finished, with their intervals and
// warnings, and leave as text.
package reports

import (
	"slices"
	"strconv"
	"strings"

	"clampodds/reports/figure"
)

// Document is what a command has to say, in reading order.
type Document struct {
	Title string
	// Running stands at the foot of every sheet; empty: nothing does but the number.
	Running string
	// Verdict is the answer as a table, with which CSV begins; other renderers have it in sentences.
	Verdict *Table
	Blocks  []Block
	// Attached are tables and figures for those who look closer: WriteFolder writes
	// each as a file of its own, and no renderer prints them.
	Attached []Block
}

// Block is one of Heading, Subheading, Paragraph, Code, List, *Table or *Figure.
type Block interface{ block() }

// Heading opens a section.
type Heading string

// Subheading opens a part of a section.
type Subheading string

// Paragraph is running text, one line however long.
type Paragraph string

// Code is a line to be copied as it stands: it is never broken.
type Code string

// List is a bulleted list.
type List []string

// Table is a table whose cells are ready to print: rounded, with no unit that
// the column's head does not state.
type Table struct {
	// Key names the table for programs ("percentiles").
	Key string
	// Number is what Document.Number gave, "A-1"; empty: not numbered.
	Number  string
	Caption string
	Columns []Column
	Rows    [][]string
	// Notes stand below the table.
	Notes []string
	// Together asks for no page break inside.
	Together bool
}

// Column is a table's column.
type Column struct {
	Head string
	// Number sets the column to the right.
	Number bool
}

// Figure is a drawing with its caption. Renderers that cannot show it leave it
// out; a terminal shows a distribution as text.
type Figure struct {
	// Key names the figure for programs and files ("temperature").
	Key string
	// Number is what Document.Number gave, "A-1"; empty: not numbered.
	Number  string
	Caption string
	// Alt tells a reader who cannot see the figure what it shows, numbers
	// included.
	Alt     string
	Drawing figure.Drawing
}

func (Heading) block()    {}
func (Subheading) block() {}
func (Paragraph) block()  {}
func (Code) block()       {}
func (List) block()       {}
func (*Table) block()     {}
func (*Figure) block()    {}

// Add appends blocks.
func (d *Document) Add(blocks ...Block) { d.Blocks = append(d.Blocks, blocks...) }

// AddFilled appends those that have something to say: no empty paragraph or list, no table without rows, none that is nil.
func (d *Document) AddFilled(blocks ...Block) {
	for _, b := range blocks {
		empty := false
		switch b := b.(type) {
		case Paragraph:
			empty = b == ""
		case List:
			empty = len(b) == 0
		case *Table:
			empty = b == nil || len(b.Rows) == 0
		case *Figure:
			empty = b == nil
		}
		if !empty {
			d.Add(b)
		}
	}
}

// addEnd appends what every result ends with.
func (d *Document) addEnd(warnings []Warning, provenance *Table) {
	d.Add(warningBlocks(warnings)...)
	d.Add(provenance, Heading("Cautions"), Cautions)
}

// Attach appends tables and figures that are not printed.
func (d *Document) Attach(blocks ...Block) { d.Attached = append(d.Attached, blocks...) }

// Number numbers the tables and the figures in reading order, each from 1: "A-1"
// for the prefix A, "1" for none. It changes the blocks of d.
func (d Document) Number(prefix string) {
	if prefix != "" {
		prefix += "-"
	}
	tables, figures := 0, 0
	for _, b := range d.Blocks {
		switch b := b.(type) {
		case *Table:
			tables++
			b.Number = prefix + strconv.Itoa(tables)
		case *Figure:
			figures++
			b.Number = prefix + strconv.Itoa(figures)
		}
	}
}

// label is "Table A-1", empty without a number.
func (t *Table) label() string { return label("Table ", t.Number) }

func (f *Figure) label() string { return label("Figure ", f.Number) }

func label(word, number string) string {
	if number == "" {
		return ""
	}
	return word + number
}

// titled is label and caption in one line.
func titled(label, caption string) string {
	if label == "" {
		return caption
	}
	return label + ". " + caption
}

// newTable is a table without rows.
func newTable(key, caption string, columns ...[]Column) *Table {
	return &Table{Key: key, Caption: caption, Columns: slices.Concat(columns...)}
}

// texts are columns of text.
func texts(heads ...string) (columns []Column) {
	for _, h := range heads {
		columns = append(columns, Column{Head: h})
	}
	return columns
}

// numbers are columns of numbers.
func numbers(heads ...string) []Column {
	columns := texts(heads...)
	for i := range columns {
		columns[i].Number = true
	}
	return columns
}

// note adds lines below the table.
func (t *Table) note(lines ...string) { t.Notes = append(t.Notes, lines...) }

// AddRow appends one row; it panics when the row does not fit the columns,
// which is a bug of the caller.
func (t *Table) AddRow(cells ...string) {
	if len(cells) != len(t.Columns) {
		panic("reports: table " + t.Key + ": row does not fit the columns")
	}
	t.Rows = append(t.Rows, cells)
}

// column is the place of the column with that head.
func (t *Table) column(head string) int {
	return slices.IndexFunc(t.Columns, func(c Column) bool { return c.Head == head })
}

// drop leaves out a column.
func (t *Table) drop(head string) {
	at := t.column(head)
	t.Columns = slices.Delete(t.Columns, at, at+1)
	for i := range t.Rows {
		t.Rows[i] = slices.Delete(t.Rows[i], at, at+1)
	}
}

// dropEmpty leaves out a column in which nothing stands, and reports whether something does.
func (t *Table) dropEmpty(head string) (kept bool) {
	at := t.column(head)
	if kept = slices.ContainsFunc(t.Rows, func(row []string) bool { return row[at] != "" }); !kept {
		t.drop(head)
	}
	return kept
}

// foldSlots joins the rows of the slots of a chassis that say the same.
func (t *Table) foldSlots() {
	place := map[string]int{}
	var rows [][]string
	for i, row := range t.Rows {
		kind, slot, of := strings.Cut(row[0], ", slot ")
		if alone := i+1 == len(t.Rows) || t.Rows[i+1][0] != ""; of && alone {
			key := strings.Join(append([]string{kind}, row[1:]...), "\x00")
			if at, ok := place[key]; ok {
				rows[at][0] = strings.Replace(rows[at][0], ", slot ", ", slots ", 1) + ", " + slot
				continue
			}
			place[key] = len(rows)
		}
		rows = append(rows, row)
	}
	t.Rows = rows
}

// addGiven appends a name with its value, unless that is empty.
func (t *Table) addGiven(name, value string) {
	if value != "" {
		t.AddRow(name, value)
	}
}

// filledIn reports whether people write into the table: it needs room.
func (t *Table) filledIn() bool { return t.Key == "signatures" || t.Key == "revisions" }

// afterSignatures reports whether a block follows what is signed, which is a page of its own.
func (d Document) afterSignatures(i int) bool {
	if i == 0 {
		return false
	}
	t, ok := d.Blocks[i-1].(*Table)
	return ok && t.filledIn()
}

// decisionKey names the table that a reviewer reads first: it is set in larger type, and its
// first rows, verdict, number of record and worst condition, are stressed.
const decisionKey = "decision"

func (t *Table) stressed(row int) bool { return t.Key == decisionKey && row < 3 }

// groups are the rows that belong together: a row whose first cell is empty goes
// on with the one above.
func (t *Table) groups() (groups [][][]string) {
	for i, row := range t.Rows {
		if i == 0 || row[0] != "" {
			groups = append(groups, nil)
		}
		last := len(groups) - 1
		groups[last] = append(groups[last], row)
	}
	return groups
}

func (t *Table) heads() []string {
	heads := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		heads[i] = c.Head
	}
	return heads
}
