//go:build coverage

package decide

// repetitions of the coverage suite (make coverage).
const repetitions = 1000
