package reports

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Where the clamp's maker does not allow the mean as it is, both ends may lie on one side of it.
func TestAMeanThatHasToMoveSaysWhichWay(t *testing.T) {
	ways := func(verdict string, down, up float64) []string {
		m := Tolerance{Ends: []ToleranceEnd{{Direction: "down", MetTo: Position{At: &down}}, {Direction: "up", MetTo: Position{At: &up}}}}
		if verdict == "undecided" {
			m.Ends[1] = ToleranceEnd{Direction: "up", OnAverage: &OnAverage{MetTo: Position{At: &up}}}
		}
		return []string{m.way(0, verdict), m.way(1, verdict)}
	}
	assert.Equal(t, []string{"may fall", "may rise"}, ways("met", -1, 1))
	assert.Equal(t, []string{"has to fall", "has to rise"}, ways("not met", -1, 1))
	assert.Equal(t, []string{"has to fall", "rise"}, ways("undecided", -1, 1), "by the rule, and on average alone")
	assert.Equal(t, []string{"may fall", "has to fall"}, ways("undecided", -2, -1))
	assert.Equal(t, []string{"has to rise", "may rise"}, ways("met", 1, 2))
}
