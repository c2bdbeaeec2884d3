// Package sheet reads a sheet of a workbook (.xlsx) as rows of texts, for package readings.
//
// A number comes as it is stored, not as it is shown. What only looks like a number comes as it is
// shown, so that a reader of numbers refuses it: dates, percentages, truth values, errors. So
// does a formula that was never computed, or that runs over a range of other cells and is a mean or a sum of readings.
//
// Rows above the table with a single text are titles and left out. Headers over several
// columns or rows are put together. A merged cell below them has its text in every
// cell it covers, and each is marked.
package sheet

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// Bounds on what a workbook may unpack to, bytes.
const (
	mostUnpacked = 1 << 30
	mostOfASheet = 1 << 28
)

// Sheet is one sheet of a workbook.
type Sheet struct {
	Name string
	Rows []Row // without empty ones; the first is the header
}

// Row is a row of a sheet.
type Row struct {
	Number int // in the sheet, from 1
	Cells  []string
	Hidden bool
	Merged map[int]bool   // columns, from 0, of cells that are part of a merged one
	Notes  map[int]string // comments by column, from 0
}

// Cell is the address of a cell, column and row from 1: "C7".
func Cell(column, row int) string {
	name, err := excelize.CoordinatesToCellName(column, row)
	if err != nil {
		return fmt.Sprintf("column %d, row %d", column, row)
	}
	return name
}

// Read reads the sheet of that name, without regard to case; without a name the only one that is not empty.
func Read(file []byte, name string) (*Sheet, error) {
	book, err := excelize.OpenReader(bytes.NewReader(file), excelize.Options{
		RawCellValue: true, UnzipSizeLimit: mostUnpacked, UnzipXMLSizeLimit: mostOfASheet,
	})
	if err != nil {
		return nil, fmt.Errorf("no workbook that can be read: %w", err)
	}
	defer book.Close()
	name, err = pick(book, name)
	if err != nil {
		return nil, err
	}
	cells, err := book.GetRows(name)
	if err != nil {
		return nil, fmt.Errorf("sheet %q: %w", name, err)
	}
	r := &reader{book: book, sheet: name, dressed: map[int]bool{}}
	s := &Sheet{Name: name}
	for i, row := range cells {
		if err := r.texts(row, i+1); err != nil {
			return nil, err
		}
	}
	if err := r.arrange(s, cells); err != nil {
		return nil, err
	}
	return s, nil
}

// pick chooses the sheet.
func pick(book *excelize.File, wanted string) (string, error) {
	var filled, all []string
	for _, name := range book.GetSheetList() {
		all = append(all, strconv.Quote(name))
		if wanted != "" && strings.EqualFold(strings.TrimSpace(wanted), strings.TrimSpace(name)) {
			return name, nil
		}
		if rows, err := book.GetRows(name); err == nil && len(rows) > 0 { // a sheet of a chart alone has none
			filled = append(filled, name)
		}
	}
	switch {
	case wanted != "":
		return "", fmt.Errorf("there is no sheet %q: the sheets are %s", wanted, strings.Join(all, ", "))
	case len(filled) == 0:
		return "", fmt.Errorf("the workbook is empty")
	case len(filled) > 1:
		return "", fmt.Errorf("the workbook has %d sheets with cells: say which one; the sheets are %s", len(filled), strings.Join(all, ", "))
	}
	return filled[0], nil
}

type reader struct {
	book    *excelize.File
	sheet   string
	dressed map[int]bool // styles by number: shown as no plain number
}

// texts puts what is shown in the place of what is stored where a number is not meant as one.
func (r *reader) texts(row []string, number int) error {
	for i, text := range row {
		cell := Cell(i+1, number)
		formula, err := r.book.GetCellFormula(r.sheet, cell)
		if err != nil {
			return fmt.Errorf("cell %s: %w", cell, err)
		}
		if formula != "" && (text == "" || strings.Contains(formula, ":")) {
			row[i] = "=" + strings.TrimPrefix(formula, "=")
			continue
		}
		if text == "" {
			continue
		}
		plain, err := r.plain(cell)
		if err != nil {
			return fmt.Errorf("cell %s: %w", cell, err)
		}
		if plain {
			continue
		}
		if row[i], err = r.book.GetCellValue(r.sheet, cell, excelize.Options{RawCellValue: false}); err != nil {
			return fmt.Errorf("cell %s: %w", cell, err)
		}
	}
	return nil
}

// plain reports whether a cell holds a number or a text.
func (r *reader) plain(cell string) (bool, error) {
	kind, err := r.book.GetCellType(r.sheet, cell)
	if err != nil {
		return false, err
	}
	switch kind {
	case excelize.CellTypeBool, excelize.CellTypeDate, excelize.CellTypeError:
		return false, nil
	case excelize.CellTypeSharedString, excelize.CellTypeInlineString:
		return true, nil
	}
	id, err := r.book.GetCellStyle(r.sheet, cell)
	if err != nil {
		return false, err
	}
	dressed, known := r.dressed[id]
	if !known {
		style, err := r.book.GetStyle(id)
		if err != nil {
			return false, err
		}
		dressed = isDressed(style)
		r.dressed[id] = dressed
	}
	return !dressed, nil
}

// isDressed reports whether a style shows a number as a date, a time or a percentage.
func isDressed(style *excelize.Style) bool {
	switch n := style.NumFmt; {
	case n == 9 || n == 10, n >= 14 && n <= 22, n >= 27 && n <= 36, n >= 45 && n <= 47, n >= 50 && n <= 58: // ECMA-376 part 1, 18.8.30
		return true
	}
	if style.CustomNumFmt == nil {
		return false
	}
	quoted, bracket, escaped := false, false, false
	for _, c := range *style.CustomNumFmt {
		switch {
		case escaped:
			escaped = false
		case c == '\\' || c == '_':
			escaped = true
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '[' || c == ']':
			bracket = c == '['
		case !bracket && strings.ContainsRune("%ymdhsYMDHS", c):
			return !strings.EqualFold(*style.CustomNumFmt, "standard")
		}
	}
	return false
}
