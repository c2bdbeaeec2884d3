//go:build coverage

package sim

// repetitions of the coverage suite (make coverage).
const repetitions = 1000
