package reports

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A trend is called one only where it does not rest on what is to be looked at first.
func TestATrendBesideASlipIsOpen(t *testing.T) {
	s := &CalibrationSlips{Found: []CalibrationSlip{{Line: 4, Readings: []SlippedReading{{Column: "left edge"}}}}}
	without := &CalibrationTest{Statistic: 0.4, Probability: 0.7}
	for want, c := range map[string]struct {
		slips *CalibrationSlips
		trend CalibrationTrend
	}{
		"TREND: gas in the gaps": {nil, CalibrationTrend{Flagged: true}},
		"no trend seen":          {s, CalibrationTrend{Without: without}},
		"open: no trend without line 4 (left edge) (z 0.4, p 0.700)":        {s, CalibrationTrend{Flagged: true, Without: without}},
		"open: rests on line 4 (left edge)":                                 {s, CalibrationTrend{Flagged: true}},
		"TREND, without line 4 (left edge) too: gas in the gaps":            {s, CalibrationTrend{Flagged: true, Without: without, FlaggedWithout: true}},
		"without line 4 (left edge) a TREND, with it none: gas in the gaps": {s, CalibrationTrend{Without: without, FlaggedWithout: true}},
	} {
		c.trend.Hint = "gas in the gaps"
		assert.Equal(t, want, c.slips.trend(c.trend))
	}
}

// What cannot be done without is said, and two rows are named both.
func TestSlipsSayWhatIsLeftWithoutThem(t *testing.T) {
	kelvin := Unit{Label: "K", Of: func(x float64) float64 { return x }}
	reading := SlippedReading{Column: "left", Shown: kelvin, Difference: kelvin, Noise: 0.3, Value: 350, Expected: CalibrationRange{Median: 320.04, Interval: Interval{Low: 319, High: 321}}, Off: 59}
	s := &CalibrationSlips{Rate: 0.01, Found: []CalibrationSlip{{Line: 4, Readings: []SlippedReading{reading}}, {Line: 9, Card: "B", Readings: []SlippedReading{reading, reading}, Settings: []NamedValue{{Name: "power", Value: 9, Shown: Unit{Label: "W", Of: kelvin.Of}}}}}}
	assert.Equal(t, "line 4 (left), line 9", s.Names())
	text := s.text(0.95)
	assert.Contains(t, text, "LOOK FIRST AT LINE 4: left 350 K, expected 320.0 (319.0 to 321.0), 59 standard deviations off: mistyped? AND AT LINE 9: left 350 K")
	assert.Contains(t, text, "is one mistyped, or what the row was read at (power 9 W, card B)? Expected is by all other readings, with an interval of 95 %")
	assert.Contains(t, text, "Of tables without a slip 1 in 100 at most are told so. Too few readings are left to do without.")
	s.Without = []CalibratedWithout{{Key: "contact.factor"}}
	assert.Contains(t, s.text(0.95), "Trends and warnings may be its doing")
	assert.Empty(t, (*CalibrationSlips)(nil).text(0.95))
}
