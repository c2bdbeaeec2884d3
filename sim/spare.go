package sim

import (
	"fmt"
	"slices"

	"clampodds/sim/batch"
)

// unspared is where the rows of a scenario that are not spared are gathered.
type unspared struct {
	rows []int
	x    [][]float64
}

// checkSpares refuses what is not counted right where rows are spared.
func (r *Run) checkSpares() error {
	if r.Spares == nil {
		return nil
	}
	if len(r.Spares) != len(r.Scenarios) || !r.LimitsOnly || r.Draws != nil {
		return fmt.Errorf("rows are spared: of each scenario, with limits only, without draws")
	}
	for s, by := range r.Spares {
		if slices.ContainsFunc(by, func(i int) bool { return i < 0 || i >= s }) {
			return fmt.Errorf("scenario %d spares rows by %v: must come before it", s+1, by)
		}
	}
	return nil
}

// gather lists the rows of a scenario in which one of the others exceeds anything, and returns their inputs
// and room for their outputs.
func (w *worker) gather(s int, by []int) (x, y [][]float64) {
	if w.unspared.x == nil {
		most := 0
		for _, b := range w.scenarios {
			most = max(most, len(b.x))
		}
		w.unspared.x = batch.Columns(most, cap(w.marked))
	}
	clear(w.marked)
	for _, i := range by {
		for _, exceeded := range w.scenarios[i].exceeded {
			for r, yes := range exceeded {
				w.marked[r] = w.marked[r] || yes
			}
		}
	}
	w.unspared.rows = w.unspared.rows[:0]
	for r, yes := range w.marked {
		if yes {
			w.unspared.rows = append(w.unspared.rows, r)
		}
	}
	b := &w.scenarios[s]
	return batch.Gather(w.unspared.x, b.x, w.unspared.rows), batch.Rows(b.y, 0, len(w.unspared.rows))
}
