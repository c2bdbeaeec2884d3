// Package batch holds what every question needs to work through rows: columns of
// numbers, and the one pool of workers.
//
// A block is a set of columns, block[i][r] being row r of column i. The pool hands
// out tasks in order to as many goroutines as its caller may use and hears its
// context between two tasks. A task depends on its index alone and writes only to
// its own place, so what comes out does not depend on the number of workers.
package batch

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"runtime/debug"
	"sync"
	"sync/atomic"
)

// Each does the tasks 0 to n-1 on at most workers goroutines (0: one per processor)
// and returns when all that was begun is done. Tasks are handed out in order; one
// that was handed out is finished, so those done have no gap. No more are handed out
// once one fails or ctx is done.
//
// The error is that of the first task, in their order, that failed, else the cause
// of ctx when not all tasks were done, else nil. A task that panics stops the others
// and panics in the caller, with its index and stack in the message.
func Each(ctx context.Context, workers, n int, task func(i int) error) error {
	return EachWith(ctx, workers, n, func() struct{} { return struct{}{} }, func(_ struct{}, i int) error { return task(i) })
}

// EachWith is Each for tasks that need scratch memory: every goroutine makes its
// own once with scratch and gives it to each of its tasks.
func EachWith[S any](ctx context.Context, workers, n int, scratch func() S, task func(s S, i int) error) error {
	p := pool{n: int64(n)}
	p.failed.task = math.MaxInt64
	var group sync.WaitGroup
	for range min(Workers(workers), n) {
		group.Go(func() {
			s := scratch()
			for ctx.Err() == nil && !p.stop.Load() {
				i := p.next.Add(1) - 1
				if i >= p.n {
					return
				}
				p.try(i, func() error { return task(s, int(i)) })
			}
		})
	}
	group.Wait()
	return p.outcome(ctx)
}

// Tally returns what tasks that go side by side tell the work they have done: it shows the sum, one at a time.
// show may be nil.
func Tally(show func(done int64)) (tell func(work int64)) {
	var mutex sync.Mutex
	done := int64(0)
	return func(work int64) {
		mutex.Lock()
		defer mutex.Unlock()
		if done += work; show != nil {
			show(done)
		}
	}
}

// Workers is the number of goroutines that a request for workers stands for: 0 is
// one per processor.
func Workers(workers int) int {
	if workers == 0 {
		return runtime.GOMAXPROCS(0)
	}
	return workers
}

// pool is the state of one call.
type pool struct {
	n    int64
	next atomic.Int64 // the next task to hand out
	done atomic.Int64
	stop atomic.Bool

	mutex  sync.Mutex
	failed failure // of the first task that failed
}

// failure is what ended a task: an error, or a panic with its stack. Without one
// the task is math.MaxInt64.
type failure struct {
	task  int64
	err   error
	panic any
	stack []byte
}

// try does one task and keeps its failure.
func (p *pool) try(i int64, task func() error) {
	defer func() {
		if r := recover(); r != nil {
			p.fail(failure{task: i, panic: r, stack: debug.Stack()})
		}
	}()
	if err := task(); err != nil {
		p.fail(failure{task: i, err: err})
		return
	}
	p.done.Add(1)
}

// fail keeps the failure of the first task. All tasks before that one are handed
// out and get done, so that it is the same for any number of workers.
func (p *pool) fail(f failure) {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	if f.task < p.failed.task {
		p.failed = f
	}
	p.stop.Store(true)
}

func (p *pool) outcome(ctx context.Context) error {
	if p.failed.panic != nil {
		panic(fmt.Sprintf("panic in task %d: %v\n\n%s", p.failed.task, p.failed.panic, p.failed.stack))
	}
	if p.failed.err == nil && p.done.Load() < p.n {
		return context.Cause(ctx)
	}
	return p.failed.err
}

// Columns allocates n columns of one length, all 0, side by side in memory.
func Columns(n, length int) [][]float64 {
	values, c := make([]float64, n*length), make([][]float64, n)
	for i := range c {
		c[i] = values[i*length : (i+1)*length : (i+1)*length]
	}
	return c
}

// Rows returns rows low to high of the columns; both share their memory.
func Rows(columns [][]float64, low, high int) [][]float64 {
	rows := make([][]float64, len(columns))
	for i, c := range columns {
		rows[i] = c[low:high]
	}
	return rows
}

// Gather copies some rows of the columns, in the order given, to the heads of other columns and returns these.
func Gather(to, columns [][]float64, rows []int) [][]float64 {
	for i, c := range columns {
		for k, r := range rows {
			to[i][k] = c[r]
		}
	}
	return Rows(to[:len(columns)], 0, len(rows))
}
