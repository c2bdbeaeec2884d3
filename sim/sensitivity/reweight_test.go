package sensitivity

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
)

// P(X > 2) under N(0.2, 1) and N(0, 1.1) from rows of N(0, 1), coverage by
// repetition. About 91 failures in 4000 rows, of which the weights leave some 80.
func TestReweightCoverage(t *testing.T) {
	if testing.Short() {
		t.Skip("many repetitions, single-threaded")
	}
	const rows, limit = 4000, 2.0
	from := normal(t, 0, 1)
	for _, to := range []dist.Normal{normal(t, 0.2, 1), normal(t, 0, 1.1)} {
		ratio, err := Ratio(from, to)
		require.NoError(t, err)
		hits := 0
		for seed := range uint64(repetitions) {
			random := rand.New(rand.NewPCG(seed, 6))
			var weights []float64
			for range rows {
				if x := random.NormFloat64(); x > limit {
					weights = append(weights, ratio(x))
				}
			}
			got, err := Reweight(weights, rows, 0.95)
			require.NoError(t, err)
			if want := to.Survival(limit); got.Low <= want && want <= got.High {
				hits++
			}
		}
		assertCovers(t, hits, "%v", to)
	}
}

func TestReweightRefusesFewEffectiveFailures(t *testing.T) {
	weights := make([]float64, 1000)
	for i := range weights {
		weights[i] = 1e-3
	}
	weights[0] = 1 // one row carries half of everything
	_, err := Reweight(weights, 100_000, 0.95)
	var tooFew *TooFewError
	require.ErrorAs(t, err, &tooFew)
	assert.InDelta(t, 1.999*1.999/(1+999e-6), tooFew.Effective, 1e-9)
}

func TestRatioRefusesHeavierTails(t *testing.T) {
	from := normal(t, 0, 1)
	student, err := dist.NewStudentT(5, 0, 1)
	require.NoError(t, err)
	lognormal, err := dist.NewLognormal(1, 0.2)
	require.NoError(t, err)
	wider, err := dist.NewLognormal(1, 0.3)
	require.NoError(t, err)
	narrow, err := dist.NewUniform(0, 1)
	require.NoError(t, err)
	wide, err := dist.NewUniform(0, 2)
	require.NoError(t, err)
	for _, c := range []struct {
		name     string
		from, to dist.Distribution
		refused  bool
	}{
		{"shift", from, normal(t, 0.5, 1), false},
		{"narrower", from, normal(t, 0, 0.5), false},
		{"a little wider", from, normal(t, 0, 1.2), false},
		{"beyond √2, infinite variance of the weights", from, normal(t, 0, 1.5), true},
		{"polynomial tail", from, student, true},
		{"from the polynomial tail", student, from, false},
		{"lognormal wider beyond √2", lognormal, wider, true},
		{"support beyond", narrow, wide, true},
		{"support within", wide, narrow, false},
	} {
		_, err := Ratio(c.from, c.to)
		var heavier *HeavierTailError
		if c.refused {
			require.ErrorAs(t, err, &heavier, c.name)
			assert.ErrorContains(t, err, "heavier", c.name)
		} else {
			assert.NoError(t, err, c.name)
		}
	}
	_, err = Ratio(narrow, wide)
	assert.ErrorContains(t, err, "upper tail")
}
