package sim

import (
	"context"
	"fmt"

	"clampodds/sim/batch"
)

// Evaluate runs the model of inputs on points of the caller's own:
// from[i][r] is the coordinate of variable i in row r, y[j][r] receives output j.
// turn makes values of coordinates: (*Inputs).Transform for the unit cube,
// (*Inputs).FromNormal for normal scores. The rows, whole groups of the inputs, are
// split among workers goroutines (0 for one per processor); what y receives does
// not depend on how many. from is not changed. Safe for concurrent use.
func Evaluate(inputs *Inputs, model Model, turn func(inputs *Inputs, from, x [][]float64), from, y [][]float64, workers int) {
	if len(y) == 0 {
		return
	}
	rows, group := len(y[0]), inputs.rowsPerGroup
	if rows%group != 0 { // the draws of a group that is cut off are not made
		panic(fmt.Sprintf("sim: %d rows are no whole groups of %d", rows, group))
	}
	share := (rows + batch.Workers(workers) - 1) / batch.Workers(workers)
	share = (min(share, evaluateRows) + group - 1) / group * group
	pieces := (rows + share - 1) / share
	scratch := func() [][]float64 { return batch.Columns(len(inputs.variables), share) }
	err := batch.EachWith(context.Background(), workers, pieces, scratch, func(x [][]float64, i int) error {
		low, high := i*share, min((i+1)*share, rows)
		x = batch.Rows(x, 0, high-low)
		turn(inputs, batch.Rows(from, low, high), x)
		model.Evaluate(x, batch.Rows(y, low, high))
		return nil
	})
	if err != nil {
		panic(err) // no task returns one
	}
}

// evaluateRows is how many rows Evaluate gives the model at most in one go.
const evaluateRows = 1024
