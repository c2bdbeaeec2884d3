package sim

import (
	"context"
	"math"
	"sync"

	"clampodds/sim/batch"
)

// engine is a run under way: blocks are handed out in order to workers, which
// add whole-number counts to the one set of counts of the run. The order in
// which blocks finish therefore changes nothing.
type engine struct {
	run    *Run
	layout layout
	*Common
	counts *counts

	begun int64 // blocks done before the present call of work

	mutex   sync.Mutex // guards what follows
	turn    *sync.Cond // signals written and failed
	blocks  int64      // the one behind those handed out, which were also done, unless one failed
	done    int64      // rows
	written int64      // blocks given to Draws
	failed  int64      // the first block that failed, or math.MaxInt64
}

func newEngine(r *Run) *engine {
	e := &engine{run: r, layout: newLayout(r), Common: NewCommon(r.Scenarios)}
	e.failed = math.MaxInt64
	e.counts = newCounts(r, e.layout)
	e.turn = sync.NewCond(&e.mutex)
	return e
}

// extend lays the run out anew for more blocks of the same size, after all blocks
// of the present layout were done.
func (e *engine) extend(samples int64) {
	e.run.Samples = samples
	e.layout = newLayout(e.run)
	e.counts.extend(e.layout)
}

// work does the blocks up to end until all are done, one fails or the context is cancelled;
// the last is no error.
func (e *engine) work(ctx context.Context, end int64) error {
	defer func() { e.begun = e.blocks }()
	left := int(max(end-e.begun, 0))
	err := batch.EachWith(ctx, e.run.Workers, left, func() *worker { return newWorker(e) }, func(w *worker, i int) error {
		return e.try(w, e.begun+int64(i))
	})
	if e.failed == math.MaxInt64 {
		return nil
	}
	return err
}

// try does one block. One that fails lets go those that wait for their turn.
func (e *engine) try(w *worker, block int64) error {
	finished := false
	defer func() {
		e.mutex.Lock()
		defer e.mutex.Unlock()
		e.blocks++
		if !finished {
			e.failed = min(e.failed, block)
			e.turn.Broadcast()
		}
	}()
	err := w.do(block)
	finished = err == nil
	return err
}

// finish reports a block as done, after giving its rows to Draws when it is
// its turn.
func (e *engine) finish(w *worker, block int64) error {
	e.mutex.Lock()
	defer e.mutex.Unlock()
	if e.run.Draws != nil {
		for e.written != block && e.failed > block {
			e.turn.Wait()
		}
		if e.written != block {
			return nil // an earlier block failed
		}
		for s := range w.scenarios {
			if err := e.run.Draws(block, s, w.scenarios[s].x, w.scenarios[s].y); err != nil {
				return err
			}
		}
		e.written++
		e.turn.Broadcast()
	}
	if e.run.watch != nil {
		e.run.watch(block, w.scenarios[0].y)
	}
	e.done += int64(e.layout.rowsIn(block))
	if e.run.Progress != nil {
		e.run.Progress(e.done, e.layout.rows)
	}
	return nil
}
