//go:build !coverage

package sensitivity

// repetitions of the plain suite: bounds in standard errors are wide, and catch an
// interval that is plainly wrong. The coverage suite has 1000.
const repetitions = 50
