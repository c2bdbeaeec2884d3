package contact

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPairMeans(t *testing.T) {
	first := Body{Conductivity: 167, Modulus: 68.9e9, Poisson: 0.33, Hardness: 1.0e9, Roughness: 0.8e-6, Slope: 0.10, Yield: 276e6}
	second := Body{Conductivity: 391, Modulus: 117e9, Poisson: 0.34, Hardness: 0.9e9, Roughness: 1.6e-6, Slope: 0.15, Yield: 310e6}
	pair := mustPair(first, second, 1e-5)
	assert.InEpsilon(t, 234.0394, pair.Conductivity, 1e-6) // 2*167*391/558
	assert.InEpsilon(t, math.Sqrt(0.8*0.8+1.6*1.6)*1e-6, pair.Roughness, 1e-12)
	assert.InEpsilon(t, math.Sqrt(0.10*0.10+0.15*0.15), pair.Slope, 1e-12)
	assert.InEpsilon(t, 48.799e9, pair.Modulus, 1e-4) // by hand: 1/(0.8911/68.9 + 0.8844/117)
	assert.Equal(t, 0.9e9, pair.Hardness)
	assert.Equal(t, 276e6, pair.Yield)
	assert.False(t, pair.Elastic)
	swapped := mustPair(second, first, 1e-5)
	assert.Equal(t, pair, swapped)
}

func TestElasticSpotsWhenSofterThanHardness(t *testing.T) {
	polished := Body{Conductivity: 16.2, Modulus: 193e9, Poisson: 0.29, Hardness: 3.5e9, Roughness: 0.05e-6, Slope: 0.02}
	pair := mustPair(polished, polished, 0)
	assert.True(t, pair.Elastic)
	assert.InEpsilon(t, pair.Modulus*0.02*math.Sqrt2/math.Sqrt2, pair.Hardness, 1e-12) // m = 0.02 sqrt 2
	assert.Less(t, pair.Hardness, 3.5e9)
}

func TestSlopeFromRoughness(t *testing.T) {
	// Lambert and Fletcher at 0.4, 0.8, 1.6, 3.2 um, three digits.
	for roughness, slope := range map[float64]float64{0.4e-6: 0.0472, 0.8e-6: 0.0677, 1.6e-6: 0.0970, 3.2e-6: 0.1392} {
		assert.InEpsilon(t, slope, SlopeFromRoughness(roughness), 1e-3)
	}
	body := aluminiumBody()
	given := body
	given.Slope = SlopeFromRoughness(body.Roughness)
	assert.Equal(t, mustPair(given, given, 0), mustPair(body, body, 0))
}

func TestYieldNeedsBothBodies(t *testing.T) {
	known, unknown := aluminiumBody(), aluminiumBody()
	unknown.Yield = 0
	pressure := 1.61 * known.Yield
	assert.True(t, flat(mustPair(known, known, 0), notesGas, pressure).OverYield)
	assert.False(t, flat(mustPair(known, known, 0), notesGas, 1.59*known.Yield).OverYield)
	assert.False(t, flat(mustPair(known, unknown, 0), notesGas, pressure).OverYield)
}

func TestNewPairRefuses(t *testing.T) {
	good := aluminiumBody()
	for _, c := range []struct {
		spoil   func(b *Body)
		message string
	}{
		{func(b *Body) { b.Conductivity = 0 }, "conductivity 0 W/mK: want 0.01 to 5000 W/mK"},
		{func(b *Body) { b.Modulus = math.NaN() }, "modulus NaN Pa"},
		{func(b *Body) { b.Poisson = 0.51 }, "Poisson's ratio 0.51"},
		{func(b *Body) { b.Hardness = math.Inf(1) }, "contact hardness +Inf Pa"},
		{func(b *Body) { b.Roughness = 0 }, "roughness 0 m: want 1e-09 to 0.001 m"},
		{func(b *Body) { b.Slope = -0.1 }, "asperity slope -0.1"},
		{func(b *Body) { b.Yield = -1 }, "yield strength -1 Pa"},
	} {
		bad := good
		c.spoil(&bad)
		_, err := NewPair(bad, good, 0)
		assert.ErrorContains(t, err, "first body: "+c.message)
		_, err = NewPair(good, bad, 0)
		assert.ErrorContains(t, err, "second body: "+c.message)
	}
	for _, film := range []float64{-1e-9, 1.1, math.NaN()} {
		_, err := NewPair(good, good, film)
		assert.ErrorContains(t, err, "film resistance")
	}
	_, err := NewPair(good, good, 1)
	require.NoError(t, err)
}
