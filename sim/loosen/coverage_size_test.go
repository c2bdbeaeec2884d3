//go:build coverage

package loosen

// repetitions of the coverage suite (make coverage).
const repetitions = 1000
