package strata

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate/quad"

	"clampodds/dist"
	"clampodds/sim"
)

// bentAt is exp(x0/2) + x1 + x2/2 less a setting, above 0; its probability by Gauss-Legendre quadrature over x0.
func bentAt(setting float64) problem {
	p := quad.Fixed(func(z float64) float64 {
		return math.Exp(dist.NormalLogDensity(z)) * dist.NormalSurvival((setting-math.Exp(z/2))/math.Hypot(1, 0.5))
	}, -8, 8, 400, quad.Legendre{}, 0)
	return problem{name: "bent", formula: func(x [3]float64) float64 { return math.Exp(x[0]/2) + x[1] + x[2]/2 - setting }, probability: p}
}

// courseSettings have 0.13 to 1.1e-4 above the limit; the target, 2e-3, lies between.
var courseSettings = []float64{2.5, 4, 4.5, 4.75, 5, 5.5, 6.5}

func course(t testing.TB, seed uint64) (all []sim.Estimate) {
	lead, q := bentAt(4.9).scenario(t)
	q.Target = 2e-3
	c, err := NewCourse(context.Background(), lead, q, Options{Most: 3000, Confidence: 0.95, Seed: seed})
	require.NoError(t, err)
	var designs []sim.Scenario
	for _, setting := range courseSettings {
		design, _ := bentAt(setting).scenario(t)
		designs = append(designs, design)
	}
	all, err = c.At(context.Background(), designs...)
	require.NoError(t, err)
	return all
}

// missesOfCourse is how often an interval of 95 % misses, setting by setting, of so many seeds; each course falls.
func missesOfCourse(t *testing.T, seeds int) (misses []int) {
	misses = make([]int, len(courseSettings))
	for seed := range seeds {
		last := 1.0
		for i, e := range course(t, uint64(seed)) {
			if p := bentAt(courseSettings[i]).probability; p < e.Low || p > e.High {
				misses[i]++
			}
			assert.LessOrEqual(t, e.Value, last, "on the same rows")
			last = e.Value
		}
	}
	return misses
}

// 20 seeds each: 5 misses or more of one setting have a chance of 0.3 % were it 5 %.
func TestCourseCoversAtEverySetting(t *testing.T) {
	misses := missesOfCourse(t, 20)
	t.Log("misses of 20, setting by setting:", misses)
	for i, n := range misses {
		assert.Less(t, n, 5, "at %v", courseSettings[i])
	}
}

// About the limit alone a course takes fewer rows and tells the same of what is exceeded there.
func TestCourseAboutTheLimit(t *testing.T) {
	lead, q := bentAt(4.9).scenario(t)
	q.Target = 2e-3
	c, err := NewCourse(context.Background(), lead, q, Options{Most: 3000, Confidence: 0.95, Seed: 1})
	require.NoError(t, err)
	all, err := c.At(context.Background(), lead)
	require.NoError(t, err)
	wide, _ := bentAt(4).scenario(t)
	wide.Inputs, err = wide.Inputs.WithDistributions(func(v sim.Variable) (dist.Distribution, error) { return dist.WithSpread(v.Dist, 2) })
	require.NoError(t, err)
	together, err := c.At(context.Background(), wide, lead)
	require.NoError(t, err)
	assert.Equal(t, all, together[1:], "designs together are what they are alone")
	about, err := c.About(3000).At(context.Background(), lead)
	require.NoError(t, err)
	assert.Less(t, about[0].N, all[0].N*2/3)
	assert.InEpsilon(t, all[0].Value, about[0].Value, 0.15, "some 3 % of standard error each, of other rows: three of the difference")
	var shares float64
	for _, s := range c.Shares() {
		shares += s.Of
	}
	assert.InDelta(t, 1, shares, 1e-12)
	other := lead
	other.Inputs, err = sim.NewInputs(lead.Inputs.Variables()[1:], nil, 4)
	require.NoError(t, err)
	_, err = c.At(context.Background(), other)
	assert.ErrorContains(t, err, "other random inputs")
}
