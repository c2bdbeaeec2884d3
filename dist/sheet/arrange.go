package sheet

import (
	"fmt"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"
)

// area is a merged cell; columns and rows from 0, ends included.
type area struct{ left, top, right, bottom int }

// arrange finds the header and puts rows, merged cells and notes together.
func (r *reader) arrange(s *Sheet, cells [][]string) error {
	areas, err := r.areas()
	if err != nil {
		return err
	}
	first := afterTitles(cells)
	last := first
	for _, a := range areas {
		if a.top == first {
			last = max(last, a.bottom)
			if a.right > a.left { // what its columns are stands below
				last = max(last, first+1)
			}
		}
	}
	for _, a := range areas {
		cells = spread(cells, a)
	}
	if first < len(cells) {
		last = min(last, len(cells)-1)
		s.Rows = append(s.Rows, Row{Number: last + 1, Cells: header(cells[first : last+1])})
	}
	for i := last + 1; i < len(cells); i++ {
		if !slices.ContainsFunc(cells[i], filled) {
			continue
		}
		visible, err := r.book.GetRowVisible(r.sheet, i+1)
		if err != nil {
			return fmt.Errorf("row %d: %w", i+1, err)
		}
		row := Row{Number: i + 1, Cells: cells[i], Hidden: !visible}
		for _, a := range areas {
			for c := a.left; a.top <= i && i <= a.bottom && c <= a.right; c++ {
				row.Merged = set(row.Merged, c, true)
			}
		}
		s.Rows = append(s.Rows, row)
	}
	return r.notes(s)
}

func filled(cell string) bool { return strings.TrimSpace(cell) != "" }

// afterTitles is the row of the header: behind rows of one text, as long as a row with more follows.
func afterTitles(cells [][]string) int {
	count := func(row []string) (n int) {
		for _, c := range row {
			if filled(c) {
				n++
			}
		}
		return n
	}
	first := slices.IndexFunc(cells, func(row []string) bool { return count(row) > 0 })
	if first < 0 {
		return len(cells)
	}
	if count(cells[first]) > 1 {
		return first
	}
	if wide := slices.IndexFunc(cells, func(row []string) bool { return count(row) > 1 }); wide > 0 {
		return wide
	}
	return first
}

// spread gives the text of a merged cell to every cell that it covers.
func spread(cells [][]string, a area) [][]string {
	if a.top >= len(cells) || a.left >= len(cells[a.top]) {
		return cells // without a text
	}
	text := cells[a.top][a.left]
	for i := a.top; i <= a.bottom && i < len(cells); i++ {
		if n := a.right + 1 - len(cells[i]); n > 0 {
			cells[i] = append(cells[i], make([]string, n)...)
		}
		for c := a.left; c <= a.right; c++ {
			cells[i][c] = text
		}
	}
	return cells
}

// header puts the texts of a column together, each once.
func header(rows [][]string) []string {
	width := 0
	for _, row := range rows {
		width = max(width, len(row))
	}
	names := make([]string, width)
	for c := range names {
		var parts []string
		for _, row := range rows {
			if c < len(row) && filled(row[c]) && !slices.Contains(parts, row[c]) {
				parts = append(parts, row[c])
			}
		}
		names[c] = strings.Join(parts, " ")
	}
	return names
}

func (r *reader) areas() ([]area, error) {
	merged, err := r.book.GetMergeCells(r.sheet)
	if err != nil {
		return nil, err
	}
	var list []area
	for _, m := range merged {
		left, top, err := excelize.CellNameToCoordinates(m.GetStartAxis())
		if err != nil {
			return nil, err
		}
		right, bottom, err := excelize.CellNameToCoordinates(m.GetEndAxis())
		if err != nil {
			return nil, err
		}
		list = append(list, area{left - 1, top - 1, right - 1, bottom - 1})
	}
	return list, nil
}

func (r *reader) notes(s *Sheet) error {
	comments, err := r.book.GetComments(r.sheet)
	if err != nil {
		return err
	}
	for _, c := range comments {
		column, row, err := excelize.CellNameToCoordinates(c.Cell)
		if err != nil {
			return err
		}
		i, found := slices.BinarySearchFunc(s.Rows, row, func(r Row, number int) int { return r.Number - number })
		if !found {
			continue
		}
		text := c.Text
		for _, run := range c.Paragraph {
			text += run.Text
		}
		s.Rows[i].Notes = set(s.Rows[i].Notes, column-1, strings.Join(strings.Fields(text), " "))
	}
	return nil
}

func set[T any](m map[int]T, key int, value T) map[int]T {
	if m == nil {
		m = map[int]T{}
	}
	m[key] = value
	return m
}
