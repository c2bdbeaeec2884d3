package reports

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The digits of a fit's tables are those that its intervals bear; a count and a reading keep theirs.
func TestFitPrintsWhatTheReadingsBear(t *testing.T) {
	f := Fit{Level: 0.95}
	table := f.values("description", "", []NamedValue{
		{Name: "readings", Value: 60},
		{Name: "sd", Value: 0.0194667, Known: 0.0025}, {Name: "sd, low", Value: 0.0165006}, {Name: "sd, high", Value: 0.0237428},
		{Name: "smallest", Value: 0.656}, {Name: "quartile", Value: 0.71321, Known: 0.0025}, {Name: "lower limit", Value: math.Inf(-1), Known: 0.0025}, {Name: "p", Value: 1, Known: 0.01},
	})
	assert.Equal(t, [][]string{
		{"readings", "60", "", ""}, {"sd", "0.0195", "0.0165", "0.0237"}, {"smallest", "0.656", "", ""}, {"quartile", "0.7132", "", ""}, {"lower limit", "-∞", "", ""}, {"p", "1.000", "", ""},
	}, table.Rows)
	assert.Equal(t, []string{"quantity", "value"}, f.values("runs", "", []NamedValue{{Name: "runs", Value: 27}}).heads())
}
