//go:build coverage

package assurance_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// 8 to 10 of 10: stated is 85 %, the standard error of 200 tests 2.5 %, of 100 3.6 %; below 0.775 and 0.74 once in 700 or less.
func TestTestsDecideByTheRuleOften(t *testing.T) {
	assert.Greater(t, straight.checkRule(t, 200), 0.775)
	assert.Greater(t, sum{0.8, 1.1}.checkRule(t, 100), 0.74, "skewed")
}
