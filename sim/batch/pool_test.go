package batch

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestEachDoesEveryTaskOnce(t *testing.T) {
	for _, workers := range []int{0, 1, 2, 50} {
		done := make([]int32, 1000)
		require.NoError(t, Each(context.Background(), workers, len(done), func(i int) error {
			atomic.AddInt32(&done[i], 1)
			return nil
		}))
		for i, times := range done {
			require.EqualValues(t, 1, times, "task %d, %d workers", i, workers)
		}
	}
	require.NoError(t, Each(context.Background(), 3, 0, func(int) error { panic("no task") }))
}

// One worker is one: no two tasks overlap, and they come in order.
func TestOneWorkerIsOne(t *testing.T) {
	running, last := int32(0), -1
	require.NoError(t, Each(context.Background(), 1, 200, func(i int) error {
		assert.EqualValues(t, 1, atomic.AddInt32(&running, 1))
		assert.Equal(t, last+1, i)
		last = i
		atomic.AddInt32(&running, -1)
		return nil
	}))
}

func TestScratchBelongsToOneGoroutine(t *testing.T) {
	var made atomic.Int32
	scratch := func() *int32 { made.Add(1); return new(int32) }
	require.NoError(t, EachWith(context.Background(), 3, 500, scratch, func(in *int32, _ int) error {
		assert.True(t, atomic.CompareAndSwapInt32(in, 0, 1), "in use by another task")
		atomic.StoreInt32(in, 0)
		return nil
	}))
	assert.LessOrEqual(t, made.Load(), int32(3))
}

// Tasks fail in any order; the failure reported is that of the first.
func TestFirstFailureIsReported(t *testing.T) {
	for _, workers := range []int{1, 2, 7} {
		for range 50 {
			err := Each(context.Background(), workers, 100, func(i int) error {
				if i >= 30 {
					return fmt.Errorf("task %d", i)
				}
				return nil
			})
			require.EqualError(t, err, "task 30")
		}
	}
}

func TestPanicComesToTheCaller(t *testing.T) {
	defer func() {
		message := fmt.Sprint(recover())
		assert.Contains(t, message, "panic in task 3: model bug")
		assert.Contains(t, message, "pool_test.go", "the stack of the task")
	}()
	_ = Each(context.Background(), 2, 10, func(i int) error {
		if i == 3 {
			panic("model bug")
		}
		return nil
	})
	t.Error("no panic")
}

// What was handed out is finished, so that the tasks done have no gap.
func TestCancelledContextEndsWithoutGap(t *testing.T) {
	cause := errors.New("enough")
	for _, workers := range []int{1, 4} {
		ctx, cancel := context.WithCancelCause(context.Background())
		done := make([]atomic.Bool, 1000)
		err := Each(ctx, workers, len(done), func(i int) error {
			if i == 100 {
				cancel(cause)
			}
			done[i].Store(true)
			return nil
		})
		require.ErrorIs(t, err, cause)
		n := 0
		for n < len(done) && done[n].Load() {
			n++
		}
		assert.GreaterOrEqual(t, n, 101)
		assert.Less(t, n, len(done))
		for i := n; i < len(done); i++ {
			assert.False(t, done[i].Load(), "a gap before %d", i)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	last := func(i int) error {
		if i == 4 {
			cancel()
		}
		return nil
	}
	require.NoError(t, Each(ctx, 2, 5, last), "all was done")
}

func TestRowsShareMemory(t *testing.T) {
	c := Columns(2, 3)
	c[0][1], c[1][2] = 5, 7
	part := Rows(c, 1, 3)
	assert.Equal(t, [][]float64{{5, 0}, {0, 7}}, part)
	part[0][0] = 6
	assert.Equal(t, 6.0, c[0][1], "shared memory")
}

// The sums that are shown rise by the work told, from however many goroutines, and end at all of it.
func TestTallyShowsEverySum(t *testing.T) {
	var shown []int64
	tell := Tally(func(done int64) { shown = append(shown, done) })
	require.NoError(t, Each(context.Background(), 4, 100, func(int) error { tell(3); return nil }))
	require.Len(t, shown, 100)
	for i, done := range shown {
		assert.Equal(t, int64(3*(i+1)), done)
	}
	assert.NotPanics(t, func() { Tally(nil)(1) })
}
