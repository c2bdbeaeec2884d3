package readings

import (
	"fmt"
	"strings"

	"clampodds/dist/sheet"
)

// header takes the first row; it is not done when the row is a reading already,
// because the file has no header.
func (r *reader) header(cells []string) (done bool) {
	if len(cells) > maxColumns {
		r.problems.add(Problem{Line: r.line(), Message: fmt.Sprintf("%d columns, at most %d are read", len(cells), maxColumns)})
		return false
	}
	for _, cell := range cells {
		r.columns = append(r.columns, r.bareUnit(takeApart(cell)))
	}
	other := r.Column == "" && r.Group != "" && len(cells) == 2 // the one that does not name the groups
	if r.Column == "" && len(cells) > 1 && !other {
		r.problems.add(Problem{
			Line: r.line(), Message: fmt.Sprintf("the file has %d columns: say which one holds the readings", len(cells)),
			Hint: "the columns are " + list(r.columns),
		})
		return false
	}
	r.at, r.groupAt = r.locate(r.Column, 0), r.locate(r.Group, -1)
	if other && r.groupAt >= 0 {
		r.at = 1 - r.groupAt
	}
	for _, at := range []int{r.at, r.groupAt} {
		if at < 0 || r.problems.err() != nil {
			continue
		}
		switch head := r.columns[at].full; {
		case strings.ContainsRune(head, '\r'):
			r.problems.add(Problem{Line: r.line(), Column: at + 1, Message: "the lines end in CR", Hint: "save it with LF or CRLF"})
		case strings.HasPrefix(head, "=") || strings.HasPrefix(head, "@"):
			r.refuse(at, head, "a formula", pasteValues)
		}
	}
	if r.problems.err() != nil {
		return false
	}
	if _, _, complaint, _ := number(cells[r.at], r.DecimalComma); complaint == "" {
		clear(r.columns) // no header: the cells are readings
		r.settleUnit("")
		return false
	}
	r.table.Column = r.columns[r.at].name
	for i, c := range r.columns {
		if r.groupAt < 0 && i != r.at && namesLots(c.name) {
			r.table.LotColumns = append(r.table.LotColumns, c.name)
		}
	}
	r.unit = r.columns[r.at].unit
	return true
}

func (r *reader) locate(wanted string, otherwise int) int {
	if wanted == "" {
		return otherwise
	}
	at, problem := find(r.columns, wanted)
	if problem != nil {
		problem.Line = r.line()
		r.problems.add(*problem)
	}
	return at
}

// settleUnit decides on the unit before the first reading is converted.
func (r *reader) settleUnit(inFile string) {
	unit, convert, problem := r.settle(inFile)
	if problem != nil {
		r.problems.add(*problem)
		convert = func(x float64) float64 { return x } // the rows are still looked at
	}
	r.table.Unit, r.convert = unit, convert
}

// row takes one row of readings, or the row of units.
func (r *reader) row(cells []string) {
	if r.tooMany(cells) {
		return
	}
	cell := ""
	if r.at < len(cells) {
		cell = cells[r.at]
	}
	if r.convert == nil {
		unit, isUnit := r.unitsCell(cell)
		if isUnit {
			r.settleUnit(unit)
			return
		}
		r.settleUnit(r.unit)
	}
	x, s, complaint, hint := number(cell, r.DecimalComma)
	if r.sheet != nil && complaint == "" {
		var note string
		if note, complaint, hint = r.sheet.judge(r.at); note != "" {
			r.table.Notes = append(r.table.Notes, sheet.Cell(r.at+1, r.line())+": "+note)
		}
	}
	if complaint != "" {
		r.refuse(r.at, cell, complaint, hint)
	}
	group, ok := r.group(cells)
	if complaint == "" && ok {
		r.keep(r.convert(x), s, group)
	}
}

// tooMany refuses a row with cells beyond the header, empty ones aside.
func (r *reader) tooMany(cells []string) bool {
	if len(cells) <= len(r.columns) || empty(cells[len(r.columns):]) {
		return false
	}
	hint := ""
	if !r.DecimalComma && r.Separator == ',' {
		hint = commasSplitThem
	}
	r.problems.add(Problem{
		Line: r.line(), Message: fmt.Sprintf("%d cells, the first row has %d", len(cells), len(r.columns)), Hint: hint,
	})
	return true
}

func (r *reader) refuse(at int, cell, complaint, hint string) {
	r.problems.add(Problem{
		Line: r.line(), Column: at + 1, Header: r.columns[at].full, Value: asText(cell), Message: complaint, Hint: hint,
	})
}

// group returns the number of the row's group, a new one if it was not seen.
func (r *reader) group(cells []string) (group int32, ok bool) {
	if r.groupAt < 0 {
		return 0, true
	}
	name := ""
	if r.groupAt < len(cells) {
		name = strings.TrimSpace(cells[r.groupAt])
	}
	if group, known := r.groups[name]; known {
		return group, true
	}
	const longest = 200
	complaint, hint := "", ""
	switch {
	case name == "":
		complaint = "the group is empty"
	case strings.IndexByte("=@", name[0]) >= 0:
		complaint, hint = "a formula", pasteValues
	case len(name) > longest:
		complaint = fmt.Sprintf("the name of a group has more than %d bytes", longest)
	case len(r.groups) == maxGroups:
		complaint = fmt.Sprintf("more than %d groups", maxGroups)
	}
	if complaint != "" {
		r.refuse(r.groupAt, name, complaint, hint)
		return 0, false
	}
	group = int32(len(r.groups))
	r.groups[strings.Clone(name)] = group
	r.table.GroupNames = append(r.table.GroupNames, asText(name))
	return group, true
}

func (r *reader) keep(x float64, s side, group int32) {
	if r.count%chunk == 0 {
		r.chunks = append(r.chunks, make([]float64, 0, chunk))
	}
	last := len(r.chunks) - 1
	r.chunks[last] = append(r.chunks[last], x)
	switch s {
	case below:
		r.table.Below = append(r.table.Below, r.count)
	case above:
		r.table.Above = append(r.table.Above, r.count)
	}
	if r.groupAt >= 0 {
		r.table.Groups = append(r.table.Groups, group)
	}
	line := r.line()
	if len(r.table.runs) == 0 || r.table.Line(r.count) != line {
		r.table.runs = append(r.table.runs, lineRun{r.count, line})
	}
	r.count++
}

// joined puts the chunks together, giving each one up as it is copied.
func (r *reader) joined() []float64 {
	values := make([]float64, 0, r.count)
	for i, c := range r.chunks {
		values = append(values, c...)
		r.chunks[i] = nil
	}
	return values
}
