package sim

import (
	"fmt"
	"math"
	"slices"

	"clampodds/sim/batch"
)

// worker holds the columns of one block at a time; they are reused for all
// blocks.
type worker struct {
	engine    *engine
	block     int64       // the one it holds
	points    [][]float64 // by dimension, then group
	unit      [][]float64 // by column of the cube, then row; points where a group is a row
	scenarios []scenarioBuffers
	unspared  unspared
	marked    []bool    // by row, for counting
	changes   []float64 // by row, for counting
}

// scenarioBuffers are the columns of one scenario.
type scenarioBuffers struct {
	unit     [][]float64 // the columns of its variables among worker.unit
	x, y     [][]float64
	own      []int    // the independent variables that no earlier scenario has worked out
	exceeded [][]bool // by requirement, then row
}

func newWorker(e *engine) *worker {
	rows := e.layout.blockRows
	w := &worker{
		engine:  e,
		points:  batch.Columns(len(e.cube.dimensions), rows/e.layout.rowsPerGroup),
		marked:  make([]bool, rows),
		changes: make([]float64, rows),
	}
	if e.layout.rowsPerGroup == 1 {
		for _, column := range e.cube.columns {
			w.unit = append(w.unit, w.points[column.dimension[0]])
		}
	} else {
		w.unit = batch.Columns(len(e.cube.columns), rows)
	}
	for s, scenario := range e.run.Scenarios {
		b := scenarioBuffers{y: batch.Columns(len(scenario.Model.Outputs()), rows)}
		for _, from := range e.origins[s] {
			if from.scenario < s {
				b.x = append(b.x, w.scenarios[from.scenario].x[from.variable])
			} else {
				b.x = append(b.x, make([]float64, rows))
			}
		}
		b.own = slices.DeleteFunc(slices.Clone(scenario.Inputs.independent), func(i int) bool { return e.origins[s][i].scenario < s })
		for _, column := range e.cube.of[s] {
			b.unit = append(b.unit, w.unit[column])
		}
		for range scenario.Requirements {
			b.exceeded = append(b.exceeded, make([]bool, rows))
		}
		w.scenarios = append(w.scenarios, b)
	}
	return w
}

// truncate sets the length of all columns; their capacity stays.
func truncate[T any](columns [][]T, length int) {
	for i := range columns {
		columns[i] = columns[i][:length]
	}
}

// do draws, evaluates and counts one block.
func (w *worker) do(block int64) error {
	e := w.engine
	rows := e.layout.rowsIn(block)
	w.block = block
	w.resize(rows)
	e.run.Sampler.Fill(w.points, e.cube.dimensions, e.run.Seed, uint64(block))
	if e.layout.rowsPerGroup > 1 {
		for c, column := range e.cube.columns {
			column.fill(w.unit[c], w.points, e.layout.rowsPerGroup)
		}
	}
	for s, scenario := range e.run.Scenarios {
		b := &w.scenarios[s]
		scenario.Inputs.transform(b.unit, b.x, b.own)
		x, y, spared := b.x, b.y, e.run.Spares != nil && e.run.Spares[s] != nil
		if spared {
			x, y = w.gather(s, e.run.Spares[s])
		}
		scenario.Model.Evaluate(x, y)
		if err := checkOutputs(scenario, y, block); err != nil {
			return err
		}
		for q, requirement := range scenario.Requirements {
			values := y[e.counts.scenarios[s].output[q]]
			if !spared {
				for r, value := range values {
					b.exceeded[q][r] = requirement.Exceeded(value)
				}
				continue
			}
			clear(b.exceeded[q])
			for k, r := range w.unspared.rows {
				b.exceeded[q][r] = requirement.Exceeded(values[k])
			}
		}
	}
	e.counts.add(w)
	return e.finish(w, block)
}

// resize sets the number of rows of all columns.
func (w *worker) resize(rows int) {
	truncate(w.points, rows/w.engine.layout.rowsPerGroup)
	truncate(w.unit, rows)
	w.marked, w.changes = w.marked[:rows], w.changes[:rows]
	for s := range w.scenarios {
		b := &w.scenarios[s]
		truncate(b.unit, rows)
		truncate(b.x, rows)
		truncate(b.y, rows)
		truncate(b.exceeded, rows)
	}
}

// checkOutputs refuses NaN, which no count could hold.
func checkOutputs(s Scenario, y [][]float64, block int64) error {
	for j, column := range y {
		for r, value := range column {
			if math.IsNaN(value) {
				return fmt.Errorf("scenario %q: output %q is NaN in block %d, row %d of the block", s.Name, s.Model.Outputs()[j].Name, block, r)
			}
		}
	}
	return nil
}
