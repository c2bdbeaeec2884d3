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

// Gather copies some rows of the columns, in the order given, to the heads of other columns and returns these.
func Gather(to, columns [][]float64, rows []int) [][]float64 {
	for i, c := range columns {
		for k, r := range rows {
			to[i][k] = c[r]
		}
	}
	return Rows(to[:len(columns)], 0, len(rows))
}
