package sim

import (
	"runtime"
	"sync"
)

// Evaluate runs the model of a plan's variables on points of the caller's own:
// from[i][r] is the coordinate of variable i in row r, y[j][r] receives output j.
// turn makes values of coordinates: (*Plan).Transform for the unit cube,
// (*Plan).FromNormal for normal scores. The rows, whole groups of the plan, are
// split among workers goroutines (0 for one per processor); what y receives does
// not depend on how many. from is not changed. Safe for concurrent use.
func Evaluate(plan *Plan, model Model, turn func(plan *Plan, from, x [][]float64), from, y [][]float64, workers int) {
	if len(y) == 0 {
		return
	}
	rows, group := len(y[0]), plan.rowsPerGroup
	if workers == 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	groups := (rows + group - 1) / group
	workers = min(workers, groups)
	var wait sync.WaitGroup
	for w := range workers {
		low, high := w*groups/workers*group, min((w+1)*groups/workers*group, rows)
		wait.Go(func() {
			x := columns(len(plan.variables), high-low)
			turn(plan, part(from, low, high), x)
			model.Evaluate(x, part(y, low, high))
		})
	}
	wait.Wait()
}

// part returns rows low to high of the columns.
func part(columns [][]float64, low, high int) [][]float64 {
	parts := make([][]float64, len(columns))
	for i, c := range columns {
		parts[i] = c[low:high]
	}
	return parts
}
