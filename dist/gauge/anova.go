package gauge

import (
	"errors"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat"
)

// The sources of variation.
const (
	Part          = "part"
	Operator      = "operator"
	Interaction   = "operator x part"
	Repeatability = "repeatability"
)

// Row is a line of an analysis of variance. F and P are 0 for the repeatability.
type Row struct {
	Source     string  `json:"source"`
	SumSquares float64 `json:"sum_of_squares"`
	Freedom    int     `json:"degrees_of_freedom"`
	MeanSquare float64 `json:"mean_square"`
	F          float64 `json:"f,omitempty"` // 0 where there is no test
	P          float64 `json:"p,omitempty"` // that a source without effect gives a larger F
}

func row(source string, squares float64, freedom int) Row {
	return Row{Source: source, SumSquares: squares, Freedom: freedom, MeanSquare: squares / float64(freedom)}
}

// against adds the F test over the mean square that is expected without an effect.
func (r Row) against(other Row) Row {
	r.F = r.MeanSquare / other.MeanSquare
	n, m := float64(r.Freedom), float64(other.Freedom)
	r.P = mathext.RegIncBeta(m/2, n/2, m/(m+n*r.F)) // not 1 less a probability: p may be tiny
	return r
}

// analysis returns the rows with the interaction, nil for one operator, and without it.
func (t *table) analysis() (with, without []Row, mean float64, err error) {
	p, o, n := len(t.parts), len(t.operators), t.repeats
	parts, operators, interaction, repeatability, mean := t.squares()
	if !(repeatability > 0) {
		return nil, nil, 0, errors.New("all repeats are equal: the steps of the gauge hide its repeatability; give its resolution as its error instead")
	}
	rest := row(Repeatability, repeatability, p*o*(n-1))
	partRow := row(Part, parts, p-1)
	if o == 1 {
		return nil, []Row{partRow.against(rest), rest}, mean, nil
	}
	operatorRow, crossed := row(Operator, operators, o-1), row(Interaction, interaction, (p-1)*(o-1))
	pooled := row(Repeatability, interaction+repeatability, crossed.Freedom+rest.Freedom)
	with = []Row{partRow.against(crossed), operatorRow.against(crossed), crossed.against(rest), rest}
	without = []Row{partRow.against(pooled), operatorRow.against(pooled), pooled}
	return with, without, mean, nil
}

// squares are sums of squares, taken about means, so that leading digits that all readings share
// do not hurt.
func (t *table) squares() (parts, operators, interaction, repeatability, mean float64) {
	p, o, n := float64(len(t.parts)), float64(len(t.operators)), float64(t.repeats)
	cell, part, operator := make([][]float64, len(t.parts)), make([]float64, len(t.parts)), make([]float64, len(t.operators))
	for i, row := range t.cells {
		for j, readings := range row {
			values := make([]float64, len(readings))
			for k, r := range readings {
				values[k] = r.Value
			}
			m := stat.Mean(values, nil)
			for _, x := range values {
				repeatability += (x - m) * (x - m)
			}
			cell[i] = append(cell[i], m)
			operator[j] += m / p
		}
		part[i] = stat.Mean(cell[i], nil)
	}
	mean = stat.Mean(part, nil)
	for i := range part {
		parts += o * n * (part[i] - mean) * (part[i] - mean)
		for j := range operator {
			d := cell[i][j] - part[i] - operator[j] + mean
			interaction += n * d * d
		}
	}
	for j := range operator {
		operators += p * n * (operator[j] - mean) * (operator[j] - mean)
	}
	return parts, operators, interaction, repeatability, mean
}
