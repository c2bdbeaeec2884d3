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

const patience = 1 << 40 // ns: cleanups run when they can
