package sim

import (
	"fmt"
	"math"

	"clampodds/sim/batch"
)

// worker holds the columns of one block at a time; they are reused for all
// blocks. Inputs are worked out and given to the models for a stretch of the block after
// the other, which stay near the processor.
type worker struct {
	engine    *engine
	block     int64       // the one it holds
	stretch   int         // rows
	points    [][]float64 // by dimension, then group
	unit      [][]float64 // of a stretch: by column of the cube, then row; points where a group is a row
	scenarios []scenarioBuffers
	unspared  unspared
	passing   [][]float64 // a stretch of outputs that are only held against limits
	marked    []bool      // by row, for counting
}

// scenarioBuffers are the columns of one scenario.
type scenarioBuffers struct {
	unit     [][]float64 // the columns of its variables among worker.unit
	x        [][]float64 // of a stretch
	y        [][]float64 // nil for an output that is not kept
	part     [][]float64 // a stretch of y, or passing
	exceeded [][]bool    // by requirement, then row
}

func newWorker(e *engine) *worker {
	rows := e.layout.blockRows
	w := &worker{
		engine:  e,
		stretch: rows,
		points:  batch.Columns(len(e.cube.dimensions), rows/e.layout.rowsPerGroup),
		marked:  make([]bool, rows),
	}
	if e.run.Draws == nil && e.run.Spares == nil { // which take whole blocks
		w.stretch = min(rows, e.layout.stretchRows())
	}
	if e.layout.rowsPerGroup == 1 {
		w.unit = make([][]float64, len(e.cube.columns))
	} else {
		w.unit = batch.Columns(len(e.cube.columns), w.stretch)
	}
	x := e.Columns(w.stretch)
	for s, scenario := range e.run.Scenarios {
		outputs := len(scenario.Model.Outputs())
		b := scenarioBuffers{
			y: make([][]float64, outputs), part: make([][]float64, outputs), unit: make([][]float64, len(e.cube.of[s])), x: x[s],
		}
		for j := range b.y {
			if e.keeps(s, j) {
				b.y[j] = make([]float64, rows)
			} else if j >= len(w.passing) {
				w.passing = append(w.passing, batch.Columns(j+1-len(w.passing), w.stretch)...)
			}
		}
		for range scenario.Requirements {
			b.exceeded = append(b.exceeded, make([]bool, rows))
		}
		w.scenarios = append(w.scenarios, b)
	}
	return w
}

// keeps says of an output that more than its limits are asked for when the block is done.
func (e *engine) keeps(scenario, output int) bool {
	if e.run.Draws != nil || e.run.watch != nil && scenario == 0 {
		return true
	}
	kept := e.counts.scenarios[scenario].kept
	for i := range kept { // no copy: events change under the mutex
		if kept[i].output == output {
			return true
		}
	}
	return false
}

// truncate sets the length of all columns that there are; their capacity stays.
func truncate[T any](columns [][]T, length int) {
	for i := range columns {
		if columns[i] != nil {
			columns[i] = columns[i][:length]
		}
	}
}

func (w *worker) do(block int64) error {
	e := w.engine
	rows := e.layout.rowsIn(block)
	w.block = block
	w.resize(rows)
	e.run.Sampler.Fill(w.points, e.cube.dimensions, e.run.Seed, uint64(block))
	for low := 0; low < rows; low += w.stretch {
		if err := w.evaluate(low, min(low+w.stretch, rows)); err != nil {
			return err
		}
	}
	e.counts.add(w)
	return e.finish(w, block)
}

// evaluate turns the points of rows low to high into inputs and those into outputs, and finds what they exceed.
func (w *worker) evaluate(low, high int) error {
	e := w.engine
	group := e.layout.rowsPerGroup
	for c, column := range e.cube.columns {
		if group == 1 {
			w.unit[c] = w.points[column.dimension[0]][low:high]
		} else {
			w.unit[c] = w.unit[c][:high-low]
			column.fill(w.unit[c], w.points, low/group, group)
		}
	}
	for s, scenario := range e.run.Scenarios {
		b := &w.scenarios[s]
		for i, column := range e.cube.of[s] {
			b.unit[i] = w.unit[column]
		}
		for j := range b.part {
			if b.y[j] != nil {
				b.part[j] = b.y[j][low:high]
			} else {
				b.part[j] = w.passing[j][:high-low]
			}
		}
		truncate(b.x, high-low)
		scenario.Inputs.transform(b.unit, b.x, e.own[s])
		x, y, spared := b.x, b.part, e.run.Spares != nil && e.run.Spares[s] != nil
		if spared {
			x, y = w.gather(s, e.run.Spares[s])
		}
		scenario.Model.Evaluate(x, y)
		if err := checkOutputs(scenario, y, w.block, low); err != nil {
			return err
		}
		w.exceed(s, y, low, spared)
	}
	return nil
}

// exceed finds which requirements rows from low on exceed.
func (w *worker) exceed(s int, y [][]float64, low int, spared bool) {
	b, outputs := &w.scenarios[s], w.engine.counts.scenarios[s].output
	for q, requirement := range w.engine.run.Scenarios[s].Requirements {
		values, exceeded := y[outputs[q]], b.exceeded[q][low:]
		if !spared {
			for r, value := range values {
				exceeded[r] = requirement.Exceeded(value)
			}
			continue
		}
		clear(exceeded)
		for k, r := range w.unspared.rows {
			exceeded[r] = requirement.Exceeded(values[k])
		}
	}
}

// resize sets the number of rows of all columns.
func (w *worker) resize(rows int) {
	truncate(w.points, rows/w.engine.layout.rowsPerGroup)
	w.marked = w.marked[:rows]
	for s := range w.scenarios {
		b := &w.scenarios[s]
		truncate(b.y, rows)
		truncate(b.exceeded, rows)
	}
}

// checkOutputs refuses NaN, which no count could hold.
func checkOutputs(s Scenario, y [][]float64, block int64, low int) error {
	for j, column := range y {
		for r, value := range column {
			if math.IsNaN(value) {
				return fmt.Errorf("scenario %q: output %q is NaN in block %d, row %d of the block", s.Name, s.Model.Outputs()[j].Name, block, low+r)
			}
		}
	}
	return nil
}
