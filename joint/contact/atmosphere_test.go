package contact

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestStandardPressureIsHydrostatic(t *testing.T) {
	// dp/dH = -p g/(R T), with T from its own walk through the layers; the step
	// of 1 m leaves a cubic error below 1e-8.
	temperature := func(h float64) float64 {
		at := seaLevelTemperature
		for i, layer := range layers {
			top := h
			if i+1 < len(layers) {
				top = min(h, layers[i+1].base)
			}
			if top > layer.base || i == 0 {
				at += layer.lapse * (top - layer.base)
			}
		}
		return at
	}
	for h := -4999.5; h < 84850; h += 250 {
		low, err := StandardPressure(h - 0.5)
		require.NoError(t, err)
		high, err := StandardPressure(h + 0.5)
		require.NoError(t, err)
		assert.InEpsilon(t, -standardGravity/(airGasConstant*temperature(h)), math.Log(high/low), 1e-6, "at %g m", h)
	}
}

func TestStandardPressureAtLayerBases(t *testing.T) {
	sea, err := StandardPressure(0)
	require.NoError(t, err)
	assert.Equal(t, seaLevelPressure, sea)
	for _, layer := range layers[1:] {
		below, err := StandardPressure(math.Nextafter(layer.base, 0))
		require.NoError(t, err)
		above, err := StandardPressure(math.Nextafter(layer.base, 1e9))
		require.NoError(t, err)
		// Continuous: a few rounding errors of Pow.
		assert.InEpsilon(t, below, above, 1e-14)
	}
}

func TestStandardPressureRefusesOtherAltitudes(t *testing.T) {
	for _, h := range []float64{-5000.1, 84852.1, math.NaN(), math.Inf(1), math.Inf(-1)} {
		_, err := StandardPressure(h)
		assert.ErrorContains(t, err, "want -5000 to 84852 m")
	}
}

func TestGeopotential(t *testing.T) {
	assert.Equal(t, 0.0, Geopotential(0))
	// US Standard Atmosphere 1976, table I: 10 000 m geometric is 9984 m.
	assert.InDelta(t, 9984, Geopotential(10000), 0.5)
	assert.InDelta(t, 19937, Geopotential(20000), 0.5)
}
