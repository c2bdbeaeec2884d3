package question

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/reports/figure"
)

// A few cards of thousands that are not clamped, and have no finite temperature, leave every
// figure of the temperature drawn.
func TestAFewCardsWithoutTemperatureRemoveNoFigure(t *testing.T) {
	s, err := study.Load("../../../../testdata/frozen/two-face.toml")
	require.NoError(t, err)
	// Cards that hardly have the room for it: a few do not go into their slot.
	fit := *s.Input("slot.width")
	for _, key := range []string{"flange.thickness", "clamp.height"} {
		fit.Nominal -= s.Input(key).Nominal
	}
	tight := s.Known("slot.width", s.Input("slot.width").Nominal-fit.Nominal+0.06e-3)
	one, err := Scenario(tight, "tight")
	require.NoError(t, err)
	found, err := Sampling{Samples: 6000}.Run(tight, one).Execute(t.Context())
	require.NoError(t, err)
	a := Appendix{Study: tight, Found: found}
	_, without := quantityNamed(found.Scenarios[0], mainOutput(tight)).Histogram.Infinite()
	require.Greater(t, without, int64(3))
	require.Less(t, without, found.Rows/20)
	for _, f := range []*reports.Figure{temperatureDistribution(tight, found.Scenarios[0], found.Rows), a.exceedance()} {
		require.NotNil(t, f)
		text := string(figure.SVG(f.Drawing, figure.Description{Text: f.Alt}))
		assert.NotContains(t, text, "NaN")
		assert.NotContains(t, text, "Inf")
		assert.NotContains(t, f.Alt, "n/a")
	}
}
