package reports

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
