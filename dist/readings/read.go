// Package readings reads a column of measured readings from a table exported by
// a spreadsheet, a data logger or a torque analyser.
//
// It takes files as they come: a workbook (.xlsx), or text in UTF-8, UTF-16 or Latin-1 with comma,
// semicolon, tab or bar between the cells, decimal commas when told so, a byte order
// mark, quotes, blank lines, comment lines that start with # and a blank, a "sep=;"
// line, LF and CRLF; units in the header or in a row of their own. A reading below or above what the gauge can show may
// be written "<0.05" or ">2.5".
//
// It refuses what it cannot be sure of: every bad cell is named with its line
// and column, or its address in the sheet, all of them at once. Memory is bounded by the number of readings,
// whatever the file holds.
package readings

import (
	"fmt"
	"io"
	"slices"
	"sort"
	"strings"
)

const commentMark = '#'

// Read reads the column of readings that the options ask for.
//
// An empty cell in a row that is not empty is a problem, as is anything else
// that is not a bare number, an unknown column or unit, a row with more cells
// than the header, a cell that is a formula, more than 20 million readings, a
// row of more than 256 KiB and a column without readings; in a workbook also a hidden row
// and a merged cell among the readings. The error then is a
// *Problems with all of them; it is the source's own error where reading fails.
func Read(source io.Reader, o Options) (*Table, error) {
	return (&reader{Options: o, groups: map[string]int32{}, most: maxReadings}).read(source)
}

func (r *reader) read(source io.Reader) (*Table, error) {
	if err := r.open(source); err != nil {
		return nil, err
	}
	if err := r.rows(); err != nil && err != error(&r.problems) {
		return nil, err
	}
	if r.guard != nil {
		r.problems.merge(r.guard.hidden)
	}
	r.problems.countCommas()
	if r.count == 0 {
		r.problems.blankColumn()
	}
	if len(r.problems.Listed) == 0 && r.count == 0 {
		r.problems.add(Problem{Message: "there are no readings"})
	}
	if err := r.problems.err(); err != nil {
		return nil, err
	}
	r.table.Values = r.joined()
	return &r.table, nil
}

// chunk is how many readings are stored together, so that growing does not copy.
const chunk = 1 << 16

type reader struct {
	Options
	source   rowSource
	guard    *guard     // of a text file
	sheet    *sheetRows // of a workbook
	columns  []headed
	at       int // index of the column of readings
	groupAt  int // of the grouping column, -1 without
	unit     string
	convert  func(float64) float64
	groups   map[string]int32
	table    Table
	chunks   [][]float64
	count    int
	most     int // readings
	problems Problems
}

func (r *reader) rows() error {
	for header := true; ; {
		cells, err := r.source.Read()
		if err != nil {
			done, failure := r.failed(err, header)
			if done {
				return failure
			}
			continue
		}
		if empty(cells) {
			continue
		}
		if header {
			header = false
			if done := r.header(cells); done {
				continue
			}
			if r.problems.err() != nil {
				return r.problems.err()
			}
		}
		r.row(cells)
		if r.count > r.most {
			return r.stop(Problem{Line: r.line(), Message: fmt.Sprintf("more than %d readings", r.most)})
		}
	}
}

func empty(cells []string) bool {
	return !slices.ContainsFunc(cells, func(cell string) bool { return strings.TrimSpace(cell) != "" })
}

func (r *reader) line() int { return r.source.line() }

// Options say how to read a file. The zero value reads the only column of a
// comma-, semicolon- or tab-separated file as plain numbers.
type Options struct {
	// Sheet is the name of the sheet of a workbook. Empty: its only one with cells.
	Sheet string
	// Column is the header of the column, with or without the unit that stands
	// there, or its number from 1. Empty: the file has one column.
	Column string
	// Group is the header or the number of a column that says which lot, tool,
	// supplier or operator a reading belongs to. Empty: none.
	Group string
	// Unit is the unit of the cells. Empty: the one in the header, "torque [N*m]",
	// "torque (N*m)" or, where Convert knows it, "torque / N*m", "torque in N*m" or "torque, N*m"; or in a row of
	// units below it. Where both are given they have to mean the same.
	Unit string
	// Separator is the character between cells. 0: whichever of tab, semicolon,
	// comma and bar the first line has most of.
	Separator rune
	// DecimalComma says that 2,48 is two and 48 hundredths.
	DecimalComma bool
	// Convert returns the function that turns a number in the given unit (empty
	// where the file and Unit give none) into the value wanted, or an error for a
	// unit that will not do. nil: numbers stay as they are, any unit will do.
	Convert func(unit string) (func(number float64) float64, error)
}

func (o Options) conversion(unit string) (func(float64) float64, error) {
	if o.Convert == nil {
		return func(x float64) float64 { return x }, nil
	}
	return o.Convert(unit)
}

// Table is a column of readings, in the order of the file.
type Table struct {
	Column string    // header of the column, without its unit; empty in a file without a header
	Unit   string    // unit the cells were read in
	Values []float64 // converted
	// Below and Above are the indexes of the readings written "<x" and ">x": the
	// true value lies beyond Values, which holds x.
	Below, Above []int
	// Groups holds for each reading the index of its group in GroupNames, which
	// are in the order of their first appearance; both nil without a grouping
	// column.
	Groups     []int32
	GroupNames []string
	// LotColumns are the headers of columns that look as if they told lots apart, by
	// their names, where no grouping column was asked for.
	LotColumns []string
	// Notes are the comments on cells of readings in a workbook, "C7: gauge slipped".
	Notes []string

	runs []lineRun
}

// lineRun says that from reading number first on every line holds a reading.
type lineRun struct{ first, line int }

// Line returns the line of the file that reading i (from 0) stands on, from 1.
func (t *Table) Line(i int) int {
	run := t.runs[sort.Search(len(t.runs), func(r int) bool { return t.runs[r].first > i })-1]
	return run.line + i - run.first
}

// ByGroup returns the readings of each group in the order of GroupNames, one
// slice without a grouping column. Values are copied.
func (t *Table) ByGroup() [][]float64 {
	if t.Groups == nil {
		return [][]float64{slices.Clone(t.Values)}
	}
	counts := make([]int, len(t.GroupNames))
	for _, g := range t.Groups {
		counts[g]++
	}
	groups := make([][]float64, len(counts))
	for g, n := range counts {
		groups[g] = make([]float64, 0, n)
	}
	for i, x := range t.Values {
		groups[t.Groups[i]] = append(groups[t.Groups[i]], x)
	}
	return groups
}
