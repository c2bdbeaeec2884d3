package reports

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/olekukonko/tablewriter/pkg/twwidth"
)

// fold makes a table fit a terminal of the given width: where it is too wide, long
// texts run on in further rows; where it is still too wide, the ends of intervals stand below their values, and then its columns are
// spread over several tables, the first column repeated in each. Numbers are never
// broken. A verdict then stands in the first table, beside what it is of. A terminal too narrow for the first column and one other gets a table
// that is too wide.
func fold(t *Table, width int) []*Table {
	if tableWidth(columnWidths(t)) <= width {
		return []*Table{t}
	}
	below := t.intervalsBelow()
	for _, least := range []int{width / 6, narrowText} {
		for _, form := range []*Table{t, below} {
			broken := shrinkTo(form, columnWidths(form), width, least)
			if tableWidth(broken) <= width && (least > narrowText || tallest(form, broken) <= tallText) {
				return []*Table{wrapCells(form, broken)}
			}
		}
	}
	t = below.verdictFirst()
	widths := shrink(t, columnWidths(t), width)
	var parts []*Table
	for first := 1; first < len(widths); {
		next := first + 1
		for next < len(widths) && tableWidth(append([]int{widths[0]}, widths[first:next+1]...)) <= width {
			next++
		}
		parts = append(parts, t.only(first, next))
		first = next
	}
	if len(parts) == 0 { // one column
		parts = []*Table{t}
	}
	parts = slices.DeleteFunc(parts, func(part *Table) bool { return len(part.Rows) == 0 })
	for i, part := range parts {
		parts[i] = wrapCells(part, shrink(part, columnWidths(part), width))
	}
	return parts
}

// asBelow stands where a note has the text.
const asBelow = "as below"

// saidOnce is the table with a note in place of a long text that stands in most rows of a column: in a table that is too wide it would
// run over many lines in each.
func (t *Table) saidOnce() *Table {
	const fewest, long = 3, 24
	out := *t
	out.Rows, out.Notes = nil, nil
	for _, row := range t.Rows {
		out.Rows = append(out.Rows, slices.Clone(row))
	}
	for i, c := range t.Columns {
		rows := map[string]int{}
		often := ""
		for _, row := range t.Rows {
			if rows[row[i]]++; rows[row[i]] > rows[often] {
				often = row[i]
			}
		}
		if i == 0 || c.Number || len(often) <= long || rows[often] < max(fewest, (len(t.Rows)+1)/2) {
			continue
		}
		for _, row := range out.Rows {
			if row[i] == often {
				row[i] = asBelow
			}
		}
		out.note(fmt.Sprintf("%s, unless it says otherwise: %s.", c.Head, often))
	}
	out.note(t.Notes...)
	return &out
}

// verdictFirst is the table with the column of its verdicts behind the first.
func (t *Table) verdictFirst() *Table {
	at := t.column("verdict")
	if at < 2 {
		return t
	}
	out := *t
	out.Columns = moved(t.Columns, at)
	out.Rows = make([][]string, len(t.Rows))
	for i, row := range t.Rows {
		out.Rows[i] = moved(row, at)
	}
	return &out
}

// moved is the list with one of its members behind the first.
func moved[T any](list []T, at int) []T {
	out := slices.Clone(list[:1])
	out = append(out, list[at])
	out = append(out, list[1:at]...)
	return append(out, list[at+1:]...)
}

// tableWidth is that of a printed table: a blank on both sides of each column.
func tableWidth(columns []int) int {
	sum := 0
	for _, w := range columns {
		sum += w + 2
	}
	return sum
}

// columnWidths is the widest text of each column, in columns of the terminal.
func columnWidths(t *Table) []int {
	widths := make([]int, len(t.Columns))
	for i, c := range t.Columns {
		widths[i] = twwidth.Width(plain(c.Head))
		for _, row := range t.Rows {
			widths[i] = max(widths[i], twwidth.Width(plain(row[i])))
		}
	}
	return widths
}

// only is the table of the first column and those from first up to next.
func (t *Table) only(first, next int) *Table {
	pick := func(cells []string) []string { return append([]string{cells[0]}, cells[first:next]...) }
	part := &Table{Columns: append([]Column{t.Columns[0]}, t.Columns[first:next]...)}
	for _, row := range t.Rows {
		picked := pick(row)
		said := slices.ContainsFunc(picked[1:], func(cell string) bool { return cell != asBelow })
		if said && strings.Join(picked, "") != "" {
			part.Rows = append(part.Rows, picked)
		}
	}
	return part
}

// shrink takes from the widest text columns what the width demands, down to a
// sixth of it or their longest word, if that is no longer than a third.
func shrink(t *Table, widths []int, width int) []int { return shrinkTo(t, widths, width, width/6) }

// narrowText is what a column of texts keeps where that saves a table from falling into two and no text then runs over
// more than tallText rows: names do not, sources do.
const (
	narrowText = 8
	tallText   = 5
)

// tallest is the number of rows that the longest text runs over.
func tallest(t *Table, widths []int) (rows int) {
	for _, row := range t.Rows {
		rows = max(rows, len(wrapRow(row, widths)))
	}
	return rows
}

// shrinkTo is shrink with another least width than a sixth.
func shrinkTo(t *Table, widths []int, width, narrowest int) []int {
	widths = slices.Clone(widths)
	least := make([]int, len(widths))
	for i, c := range t.Columns {
		least[i] = max(min(longestWordOf(t, i), width/3), narrowest, twwidth.Width(plain(c.Head)), narrowText)
	}
	for tableWidth(widths) > width {
		widest := -1
		for i, c := range t.Columns {
			if !c.Number && widths[i] > least[i] && (widest < 0 || widths[i] > widths[widest]) {
				widest = i
			}
		}
		if widest < 0 {
			break
		}
		widths[widest]--
	}
	return widths
}

// longestWordOf is the width of the longest word in a column.
func longestWordOf(t *Table, column int) (longest int) {
	for _, row := range t.Rows {
		for _, word := range strings.Fields(plain(row[column])) {
			longest = max(longest, twwidth.Width(word))
		}
	}
	return longest
}

// wrapCells breaks the texts of t to the widths, over further rows; a row of intervals stands beside the first of these.
func wrapCells(t *Table, widths []int) *Table {
	out := &Table{Columns: t.Columns}
	further := 0 // rows of the last that was broken
	for _, row := range t.Rows {
		if further > 0 && ofIntervals(row) {
			beside := out.Rows[len(out.Rows)-further]
			for i, cell := range row {
				beside[i] += cell
			}
			further = 0
			continue
		}
		broken := wrapRow(row, widths)
		out.Rows, further = append(out.Rows, broken...), len(broken)-1
	}
	return out
}

// wrapRow breaks a row's cells into as many rows as the longest needs.
func wrapRow(row []string, limits []int) [][]string {
	var rows [][]string
	for i, cell := range row {
		for k, piece := range breakText(plain(cell), limits[i]) {
			if k == len(rows) {
				rows = append(rows, make([]string, len(row)))
			}
			rows[k][i] = piece
		}
	}
	return rows
}

// breakText breaks s at blanks, and inside words that are too long, behind a joint if one is near the
// end, into lines of at most width columns.
func breakText(s string, width int) []string {
	if twwidth.Width(s) <= width {
		return []string{s}
	}
	var lines []string
	for _, line := range strings.Split(wrapText(s, width), "\n") {
		for twwidth.Width(line) > width {
			runes := []rune(line)
			n := len(runes)
			for n > 1 && twwidth.Width(string(runes[:n])) > width {
				n--
			}
			if at := strings.LastIndexAny(string(runes[:n]), "-_./"); at > n/2 {
				n = utf8.RuneCountInString(string(runes[:n])[:at+1])
			}
			lines, line = append(lines, string(runes[:n])), string(runes[n:])
		}
		lines = append(lines, line)
	}
	return lines
}

// columnCharacters is the width of each column in characters, a gap of two
// included, and their sum.
func columnCharacters(t *Table) (widths []int, total int) {
	for _, w := range columnWidths(t) {
		widths = append(widths, w+2)
		total += w + 2
	}
	return widths, total
}

// fitColumns is the width of each column in characters so that together they do
// not exceed line, where the text columns can give that much; broken marks those
// that do.
func fitColumns(t *Table, line int) (widths []int, broken []bool) {
	whole := columnWidths(t)
	for i, w := range shrink(t, whole, line) {
		widths, broken = append(widths, w+2), append(broken, w < whole[i])
	}
	return widths, broken
}
