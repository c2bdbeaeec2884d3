package sim

// Formula is a model of one output, computed card by card: the shortest way to a model of
// one's own.
type Formula struct {
	Output
	// Of returns the output of one row; x has the variables in the order of the inputs.
	// It must be safe for concurrent use and must not keep x.
	Of func(x []float64) float64
}

func (f Formula) Outputs() []Output { return []Output{f.Output} }

func (f Formula) Evaluate(x, y [][]float64) {
	row := make([]float64, len(x))
	for r := range y[0] {
		for i, column := range x {
			row[i] = column[r]
		}
		y[0][r] = f.Of(row)
	}
}
