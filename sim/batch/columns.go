package batch

// Columns allocates n columns of one length, all 0, side by side in memory.
func Columns(n, length int) [][]float64 {
	values, c := make([]float64, n*length), make([][]float64, n)
	for i := range c {
		c[i] = values[i*length : (i+1)*length : (i+1)*length]
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
