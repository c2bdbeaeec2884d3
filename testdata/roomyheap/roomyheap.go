// Package roomyheap lets tests that read many studies or run whole commands collect
// garbage seldom, for a fifth to a third of their CPU time. A test file imports it for
// that alone:
//
//	import _ "clampodds/testdata/roomyheap"
//
// The environment variable GOGC, where it is set, goes first.
package roomyheap

import (
	"os"
	"runtime/debug"
)

// The heap may grow elevenfold before it is looked through, up to half a gigabyte.
const (
	percent = 1000
	most    = 512 << 20
)

func init() {
	if _, given := os.LookupEnv("GOGC"); given {
		return
	}
	debug.SetGCPercent(percent)
	debug.SetMemoryLimit(most)
}
