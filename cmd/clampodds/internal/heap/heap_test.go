package heap

import (
	"math"
	"runtime"
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A small heap has room, a large one grows by a quarter; it is decided anew when garbage was collected.
func TestKeepGoesByWhatIsInUse(t *testing.T) {
	before := debug.SetGCPercent(100)
	t.Cleanup(func() { debug.SetGCPercent(before); debug.SetMemoryLimit(math.MaxInt64) })
	set := func() int {
		percent := debug.SetGCPercent(100)
		debug.SetGCPercent(percent)
		return percent
	}
	runtime.GC()
	keep()
	assert.Equal(t, 1000, set())
	held := make([]byte, 2*fits)
	assert.Eventually(t, func() bool { runtime.GC(); return set() == growth }, patience, 1)
	runtime.KeepAlive(held)
	assert.Eventually(t, func() bool { runtime.GC(); return set() == 1000 }, patience, 1)
}

// A limit that a command asked for stays when garbage was collected, and goes with the command.
func TestWithinStaysWhenGarbageIsCollected(t *testing.T) {
	percent, limit := debug.SetGCPercent(100), debug.SetMemoryLimit(-1)
	t.Cleanup(func() { debug.SetGCPercent(percent); debug.SetMemoryLimit(limit) })
	held := make([]byte, 2*fits)
	runtime.GC()
	release := Within(400 << 20)
	keep()
	assert.Equal(t, int64(400<<20), debug.SetMemoryLimit(-1))
	release()
	runtime.GC()
	keep()
	assert.Equal(t, int64(math.MaxInt64), debug.SetMemoryLimit(-1))
	runtime.KeepAlive(held)
}

const patience = 1 << 40 // ns: cleanups run when they can
