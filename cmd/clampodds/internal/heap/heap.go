// Package heap says when garbage is collected: columns are used again and again, so that a tight heap
// costs little, and a heap that is small anyway need not be tight.
package heap

import (
	"math"
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"sync/atomic"
)

const (
	growth = 25       // per cent of what is in use, before garbage is collected
	roomy  = 72 << 20 // bytes in all up to which it is not
	fits   = 48 << 20 // bytes in use that are at home there
)

// most is the limit of a command that asked for one: bytes in all.
var most atomic.Int64

func init() { most.Store(math.MaxInt64) }

// Within has garbage collected in time for the program to stay within so many bytes in all, until it is released.
func Within(bytes int64) (release func()) {
	most.Store(bytes)
	before := debug.SetMemoryLimit(bytes)
	return func() {
		most.Store(math.MaxInt64)
		debug.SetMemoryLimit(before)
	}
}

// Keep sets when garbage is collected, anew after every time. The environment variables GOGC and GOMEMLIMIT,
// where one is set, go first.
func Keep() {
	if os.Getenv("GOGC") == "" && os.Getenv("GOMEMLIMIT") == "" {
		keep()
	}
}

// keep is called again by the collector, when it finds that nothing holds what was left for it.
func keep() {
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(live)
	percent, limit := growth, most.Load()
	if live[0].Value.Uint64() < fits {
		percent, limit = 1000, roomy
	}
	debug.SetGCPercent(percent)
	debug.SetMemoryLimit(limit)
	runtime.AddCleanup(new([16]byte), func(struct{}) { keep() }, struct{}{})
}
