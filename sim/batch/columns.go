package batch

// Columns allocates n columns of one length, all 0.
func Columns(n, length int) [][]float64 {
	c := make([][]float64, n)
	for i := range c {
		c[i] = make([]float64, length)
	}
	return c
}

// Rows returns rows low to high of the columns; both share their memory.
func Rows(columns [][]float64, low, high int) [][]float64 {
	rows := make([][]float64, len(columns))
	for i, c := range columns {
		rows[i] = c[low:high]
	}
	return rows
}

// Transpose returns the columns of rows, or the rows of columns. All must have one
// length and there must be at least one.
func Transpose(rows [][]float64) [][]float64 {
	t := Columns(len(rows[0]), len(rows))
	for r, row := range rows {
		for c, value := range row {
			t[c][r] = value
		}
	}
	return t
}
