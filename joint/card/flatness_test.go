package card

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A flatness that is all bow or all crown is the bow or the crown; a flatness split
// between them both.
func TestFlatnessIsItsParts(t *testing.T) {
	l := testLayout(TwoFace, 5)
	thick := map[string]float64{"flange.thickness": 12e-3, "rail.thickness": 0.05, "slot.width": 18.3e-3, "face.direct.bow": 0, "face.direct.crown": 0}
	of := func(changes map[string]float64) map[string]float64 { return result(testModel(t, l, thick, changes)) }
	assert.Equal(t,
		of(map[string]float64{"face.direct.bow": 5e-5}),
		of(map[string]float64{"face.direct.flatness": 5e-5}))
	assert.Equal(t,
		of(map[string]float64{"face.direct.crown": 5e-5}),
		of(map[string]float64{"face.direct.flatness": 5e-5, "face.direct.flatness_across": 1}))
	split, parts := of(map[string]float64{"face.direct.flatness": 4e-5, "face.direct.flatness_across": 0.25}),
		of(map[string]float64{"face.direct.bow": 3e-5, "face.direct.crown": 1e-5})
	for name, value := range parts {
		assert.InDelta(t, value, split[name], 1e-12*(1+value), name)
	}
	// One wave is the bow.
	wave, bow := of(map[string]float64{"face.direct.flatness": 5e-5, "face.direct.flatness_waves": 1, "face.direct.wave_count": 1}), of(map[string]float64{"face.direct.bow": 5e-5})
	for name, value := range bow {
		assert.InDelta(t, value, wave[name], 1e-12*(1+value), name)
	}
}

// A thin flange follows a bow of any height that drawings allow, not a crown, and of
// waves the less the more there are, as the stiffness of a plate goes with the fourth
// power of their number; past some ten the flange is a thick body to them, and the
// shorter way of the heat to the contacts helps again.
func TestWhatTheFlangeFollows(t *testing.T) {
	l := testLayout(TwoFace, 5)
	edge := func(changes map[string]float64) float64 {
		return result(testModel(t, l, map[string]float64{"face.direct.bow": 0, "face.direct.crown": 0, "flange.thickness": 2e-3}, changes))["edge.hotter"]
	}
	flat := edge(nil)
	assert.Equal(t, flat, edge(map[string]float64{"face.direct.flatness": 25e-6}))
	across := edge(map[string]float64{"face.direct.flatness": 25e-6, "face.direct.flatness_across": 1})
	assert.Greater(t, across, flat+1)
	last := flat
	for _, count := range []float64{2, 4, 7, 10} {
		waves := edge(map[string]float64{"face.direct.flatness": 25e-6, "face.direct.flatness_waves": 1, "face.direct.wave_count": count})
		assert.GreaterOrEqual(t, waves, last, "%g waves", count)
		last = waves
	}
	assert.Greater(t, last, flat+0.5)
	_, err := New(testBinding(t, l, map[string]float64{"face.direct.flatness": 1e-5, "face.direct.flatness_waves": 0.5}))
	assert.ErrorContains(t, err, "face.direct.wave_count/left: no value, but face.direct.flatness_waves has one")
}
