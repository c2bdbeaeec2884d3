//go:build coverage

package strata

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// An interval of 95 % misses in at most 5 % of seeds at every setting, also far from the leading one; three
// standard errors of 400 are 3.3 %.
func TestCoverageCourse(t *testing.T) {
	const repetitions = 400
	misses := missesOfCourse(t, repetitions)
	t.Logf("misses of %d, setting by setting: %v", repetitions, misses)
	for i, n := range misses {
		assert.LessOrEqual(t, float64(n), 0.083*repetitions, "at %v", courseSettings[i])
	}
}
