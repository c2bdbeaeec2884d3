package study

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// dataColumn is a column of measured data.
type dataColumn struct {
	file, column string
	values       []float64 // in the order of the file
}

// mostRank stands for columns that rise and fall strictly together: sim.Inputs
// takes correlations short of 1.
const mostRank = 0.9999

// pairColumns adds the correlations of inputs whose readings stand side by side
// in one file: rows of two columns belong together. A correlation that the study
// states goes first.
func pairColumns(stated []Correlation, inputs []Input) []Correlation {
	list := stated
	for i := range inputs {
		for j := range inputs[:i] {
			a, b := &inputs[j], &inputs[i]
			if !sideBySide(a, b) || correlated(stated, a, b) {
				continue
			}
			rank := stat.Correlation(ranks(a.data.values), ranks(b.data.values), nil)
			if rank == rank { // NaN for a column of equal readings
				list = append(list, Correlation{A: a.Key, B: b.Key, Rank: min(max(rank, -mostRank), mostRank), File: b.File, Line: b.Line})
			}
		}
	}
	return list
}

// correlated reports whether a correlation is between two inputs.
func correlated(list []Correlation, a, b *Input) bool {
	return slices.ContainsFunc(list, func(c Correlation) bool {
		return c.A == a.Key && c.B == b.Key || c.A == b.Key && c.B == a.Key
	})
}

func sideBySide(a, b *Input) bool {
	return a.data != nil && b.data != nil && a.Dist != nil && b.Dist != nil && a.Level == b.Level &&
		a.data.file == b.data.file && a.data.column != b.data.column && len(a.data.values) == len(b.data.values)
}

// ranks returns the rank of each value, ties sharing their mean: Spearman's
// coefficient is the correlation of the ranks.
func ranks(values []float64) []float64 {
	order := make([]int, len(values))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int { return cmp.Compare(values[i], values[j]) })
	out := make([]float64, len(values))
	for start := 0; start < len(order); {
		end := start
		for end < len(order) && values[order[end]] == values[order[start]] {
			end++
		}
		for _, i := range order[start:end] {
			out[i] = float64(start+end-1) / 2
		}
		start = end
	}
	return out
}
