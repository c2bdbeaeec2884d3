package rare

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// meanOf is the mean of weight times value over draws, with its standard error.
func meanOf(s Sampler, dim int, weight func(u []float64) float64, value func(u []float64) float64) (mean, standardError float64) {
	u := matrix(4000, dim)
	s.Draw(rand.New(rand.NewPCG(1, 2)), u)
	values := make([]float64, len(u))
	for r, at := range u {
		values[r] = weight(at) * value(at)
	}
	mean, deviation := stat.MeanStdDev(values, nil)
	return mean, stat.StdErr(deviation, float64(len(u)))
}

func above(i int, limit float64) func(u []float64) float64 {
	return func(u []float64) float64 {
		if u[i] > limit {
			return 1
		}
		return 0
	}
}

func TestSamplerIsUnbiased(t *testing.T) {
	s := NewSampler(3, 0.1, []float64{4.5, 0, 0}, []float64{0, 3, 0}, []float64{4.5, 0.1, 0})
	assert.Len(t, s.mixture.share, 3, "centres that are as good as one are one")
	for _, c := range []struct {
		i     int
		limit float64
	}{{0, 4.7534243088229}, {1, 3}} {
		mean, standardError := meanOf(s, 3, s.Weight, above(c.i, c.limit))
		// Four standard errors: a false alarm in 1 of 16 000.
		assert.InDelta(t, tail(c.limit), mean, 4*standardError)
		assert.Less(t, standardError, 0.1*mean)
	}
	all, standardError := meanOf(s, 3, s.Weight, func([]float64) float64 { return 1 })
	assert.InDelta(t, 1, all, 4*standardError, "the density integrates to 1")
}

// Of a value that does not depend on the variable the centre lies along, the full
// weights scatter by exp(c²) and the marginal ones not at all.
func TestWithoutAVariable(t *testing.T) {
	centre := []float64{3, 4}
	s := NewSampler(2, 0.1, centre)
	marginal := s.Without([][]float64{{-2, 0}})
	assert.InDelta(t, 1/(0.1+0.9*math.Exp(4*1.5-8)), marginal.Weight([]float64{100, 1.5}), 1e-12, "phi(1.5) over its mixture")
	value := above(1, 4.5)
	rough, roughError := meanOf(s, 2, s.Weight, value)
	fine, fineError := meanOf(s, 2, marginal.Weight, value)
	assert.InDelta(t, tail(4.5), rough, 4*roughError)
	assert.InDelta(t, tail(4.5), fine, 4*fineError)
	assert.Less(t, 3*fineError, roughError)
	assert.Equal(t, []float64{3, 4}, centre, "the centre is not changed")
}

// Across slanted directions: a value that feels u0 + u1 + u2 alone does not change
// along (1, -1, 0) and (1, 1, -2); its weights are then those of one variable.
func TestWithoutSlantedDirections(t *testing.T) {
	s := NewSampler(3, 0.1, []float64{3, 2, 1})
	marginal := s.Without([][]float64{{1, -1, 0}, {3, -1, -2}})
	along := 6 / math.Sqrt(3) // of the centre
	for _, u := range [][]float64{{0, 0, 0}, {5, -5, 0}, {1, 2, 3}, {6, 0, 0}} {
		y := floats.Sum(u) / math.Sqrt(3)
		assert.InEpsilon(t, 1/(0.1+0.9*math.Exp(along*y-along*along/2)), marginal.Weight(u), 1e-12)
	}
}

func TestSamplerWithoutCentres(t *testing.T) {
	s := NewSampler(2, 0.1)
	assert.Equal(t, 1.0, s.Weight([]float64{5, 5}))
	assert.Panics(t, func() { NewSampler(2, 0) })
	assert.Panics(t, func() { NewSampler(0, 0.1) })
}

// The centres that Estimate leaves serve a sampler of one's own.
func TestCentresServeASampler(t *testing.T) {
	r := estimate(t, linear(5, 4), usual(1))
	require.NotEmpty(t, r.Centres)
	assert.InDelta(t, 4, floats.Norm(r.Centres[0], 2), 1e-6)
	s := NewSampler(5, 0.1, r.Centres...)
	p := linear(5, 4)
	mean, standardError := meanOf(s, 5, s.Weight, func(u []float64) float64 {
		g := [][]float64{{0}}
		p.Evaluate([][]float64{u}, g)
		if g[0][0] <= 0 {
			return 1
		}
		return 0
	})
	assert.InDelta(t, tail(4), mean, 4*standardError)
}
