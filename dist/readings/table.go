package readings

import (
	"slices"
	"sort"
)

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
