package reports

import "unicode/utf8"

// longText is the width in characters from which a text column may be broken
// over several lines.
const longText = 26

// columnCharacters is the width of each column in characters, a gap of two
// included, and their sum.
func columnCharacters(t *Table) (widths []int, total int) {
	for i, c := range t.Columns {
		widest := utf8.RuneCountInString(plain(c.Head))
		for _, row := range t.Rows {
			widest = max(widest, utf8.RuneCountInString(plain(row[i])))
		}
		widths = append(widths, widest+2)
		total += widest + 2
	}
	return widths, total
}

// fitColumns is the width of each column in characters so that together they do
// not exceed line, where the long text columns can give that much: these share
// what the others leave. broken marks them.
func fitColumns(t *Table, line int) (widths []int, broken []bool) {
	widths, total := columnCharacters(t)
	broken = make([]bool, len(widths))
	long := 0
	for i, w := range widths {
		if !t.Columns[i].Number && w > longText {
			long += w
		}
	}
	if total <= line || long == 0 {
		return widths, broken
	}
	rest := line - (total - long)
	for i, w := range widths {
		if !t.Columns[i].Number && w > longText {
			widths[i], broken[i] = max(rest*w/long, longText/2), true
		}
	}
	return widths, broken
}
