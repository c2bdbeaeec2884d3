//go:build coverage

package sensitivity

// repetitions of the coverage suite (make coverage).
const repetitions = 1000
