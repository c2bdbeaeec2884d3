package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The step of many readings shows in their spread where that of few does not; one wider than all of them is none that they have.
func TestStepsOfManyReadings(t *testing.T) {
	random := rand.New(rand.NewPCG(19, 20))
	for n, coarse := range map[int]float64{100: 0, 5000: 0.4} {
		values := draw(mustDist(t, "normal", map[string]float64{"mean": 10, "sd": 1}), n, random)
		for i := range values {
			values[i] = 0.4 * math.Round(values[i]/0.4)
		}
		assert.InDelta(t, coarse, sample(t, Data{Values: values}).Coarse(), 1e-9)
	}
	_, err := NewSample(Data{Values: audit, Resolution: 1})
	assert.ErrorContains(t, err, "at most the range of the readings")
	assert.Equal(t, sample(t, Data{Values: audit}).step, sample(t, Data{Values: audit, Resolution: 1e-12}).step)
}

// A rounded 0 in a sample of the bootstrap is no infinite statistic: half-normal readings do not all stand near one value.
func TestRoundedToTheEndOfTheSupport(t *testing.T) {
	f, err := sample(t, Data{Values: []float64{0.7, 0.7, 0.8, 0.7, 0.6, 0.7, 0.8, 0.7, 0.7, 0.6, 0.7, 0.8, 0.7}, Resolution: 0.1}).Fit(HalfNormal, Options{Level: 0.95, Replicates: 199})
	require.NoError(t, err)
	assert.Less(t, f.AndersonDarling.P, 0.02)
}

// Rounding has been accounted for, declared or not: the test does not blame the family for it.
func TestRoundingIsNotBlamed(t *testing.T) {
	values := draw(mustDist(t, "normal", map[string]float64{"mean": 10, "sd": 1}), 200, rand.New(rand.NewPCG(17, 18)))
	for i := range values {
		values[i] = math.Round(values[i])
	}
	blind := fitted(t, Data{Values: values}, Normal)
	assert.Greater(t, blind.AndersonDarling.P, 0.05)
	told, err := sample(t, Data{Values: values, Resolution: 1}).Fit(Normal, Options{Level: 0.95, Replicates: 199})
	require.NoError(t, err)
	assert.Greater(t, told.AndersonDarling.P, 0.05)
}
