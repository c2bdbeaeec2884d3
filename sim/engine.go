package sim

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"runtime/debug"
	"sync"
	"sync/atomic"
)

// engine is a run under way: blocks are handed out in order to workers, which
// add whole-number counts to the one set of counts of the run. The order in
// which blocks finish therefore changes nothing.
type engine struct {
	run     *Run
	layout  layout
	cube    cube
	origins [][]origin // by scenario and variable
	counts  *counts

	next atomic.Int64 // the next block to hand out
	stop atomic.Bool

	mutex   sync.Mutex // guards what follows
	turn    *sync.Cond // signals written and failed
	done    int64      // rows
	written int64      // blocks given to Draws
	failed  failure    // of the first block that failed
}

// failure is what ended a block: an error, or a panic with its stack. Without
// one the block is math.MaxInt64.
type failure struct {
	block int64
	err   error
	panic any
	stack []byte
}

func newEngine(r *Run) *engine {
	e := &engine{run: r, layout: newLayout(r), cube: newCube(r.Scenarios)}
	e.origins = e.cube.origins(r.Scenarios)
	e.failed.block = math.MaxInt64
	e.counts = newCounts(r, e.layout)
	e.turn = sync.NewCond(&e.mutex)
	return e
}

// extend lays the run out anew for more blocks of the same size, after all blocks
// of the present layout were done.
func (e *engine) extend(samples int64) {
	e.next.Store(e.layout.blocks)
	e.run.Samples = samples
	e.layout = newLayout(e.run)
	e.counts.extend(e.layout)
}

// work runs the workers until all blocks are done, one fails or the context is
// cancelled.
func (e *engine) work(ctx context.Context) error {
	workers := e.run.Workers
	if workers == 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var group sync.WaitGroup
	for range min(int64(workers), e.layout.blocks) {
		group.Go(func() {
			w := newWorker(e)
			// A block that was handed out is finished: those done have no gap.
			for ctx.Err() == nil && !e.stop.Load() {
				block := e.next.Add(1) - 1
				if block >= e.layout.blocks {
					return
				}
				e.try(w, block)
			}
		})
	}
	group.Wait()
	return e.outcome()
}

// try does one block and keeps its failure.
func (e *engine) try(w *worker, block int64) {
	defer func() {
		if p := recover(); p != nil {
			e.fail(failure{block: block, panic: p, stack: debug.Stack()})
		}
	}()
	if err := w.do(block); err != nil {
		e.fail(failure{block: block, err: err})
	}
}

// fail keeps the failure of the first block. All blocks before that one are
// handed out and get done, so that it is the same for any number of workers.
func (e *engine) fail(f failure) {
	e.mutex.Lock()
	defer e.mutex.Unlock()
	if f.block < e.failed.block {
		e.failed = f
	}
	e.stop.Store(true)
	e.turn.Broadcast()
}

// outcome returns the error, or raises the panic, that ended the run.
func (e *engine) outcome() error {
	if e.failed.panic != nil {
		panic(fmt.Sprintf("sim: panic in block %d: %v\n\n%s", e.failed.block, e.failed.panic, e.failed.stack))
	}
	return e.failed.err
}

// finish reports a block as done, after giving its rows to Draws when it is
// its turn.
func (e *engine) finish(w *worker, block int64) error {
	e.mutex.Lock()
	defer e.mutex.Unlock()
	if e.run.Draws != nil {
		for e.written != block && e.failed.block > block {
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
