//go:build coverage

package fit

// repetitions of the coverage suite (make coverage).
const repetitions = 1000
