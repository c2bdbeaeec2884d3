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
