//go:build coverage

package study

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/dist/fit"
)

// What is pasted for units of new lots, from 8 lots of 10 units: above the value that by the entry 5 % (1 %) exceed lies how much of
// all units of new lots, on average over 100 such inspections? Of one inspection alone it may be a third or three times that.
// Student's t of the lots makes the average right for normal lots; bounds are the rate stated, 2 more of 100 (1 of 100 at 1 %), and
// half of it below: three standard errors of the average, and what the approximations of the other shapes cost.
func TestUnitsOfNewLotsExceedAsPasted(t *testing.T) {
	const inspections, count, each = 100, 8, 10
	factor := func(groups [][]float64) fit.Entry {
		f, err := fit.NewLotFactor(groups, 0.95)
		require.NoError(t, err)
		return f.Entry()
	}
	added := func(groups [][]float64) fit.Entry {
		l, err := fit.NewLots(groups, 0.95)
		require.NoError(t, err)
		return l.Parts()
	}
	for _, c := range []struct {
		spec    dist.Spec
		between float64
		factor  bool
		entry   func(groups [][]float64) fit.Entry
	}{
		{dist.Spec{Shape: "normal", Values: map[string]float64{"mean": 0.7, "sd": 0.012}}, 0.016, false, added},
		{dist.Spec{Shape: "lognormal", Values: map[string]float64{"median": 12, "sigma_ln": 0.3}}, 0.4, true, factor},
		{dist.Spec{Shape: "half-normal", Values: map[string]float64{"scale": 12}}, 0.4, true, factor},
		{dist.Spec{Shape: "gamma", Values: map[string]float64{"shape": 3, "scale": 4}}, 0.3, true, factor},
	} {
		within, err := dist.FromSpec(c.spec)
		require.NoError(t, err)
		truth, err := (&lotPart{sd: c.between, factor: c.factor, within: within}).averaged()
		require.NoError(t, err)
		random := rand.New(rand.NewPCG(6, 1))
		exceed := map[float64]float64{0.05: 0, 0.01: 0}
		for range inspections {
			groups := make([][]float64, count)
			for i := range groups {
				p := &lotPart{sd: c.between, factor: c.factor}
				level := random.NormFloat64()
				for range each {
					groups[i] = append(groups[i], p.given(within.Quantile(random.Float64()), level))
				}
			}
			e := c.entry(groups)
			p := &lotPart{factor: c.factor, read: e.Lots}
			if e.Lots > 0 {
				p.sd = e.Values[len(e.Values)-1].Value
				e.Values = e.Values[:len(e.Values)-1]
			}
			p.within, err = dist.FromSpec(e.Spec())
			require.NoError(t, err)
			pasted := p.within
			if e.Lots > 0 {
				pasted, err = p.averaged()
				require.NoError(t, err)
			}
			for q := range exceed {
				exceed[q] += truth.Survival(pasted.UpperQuantile(q)) / inspections
			}
		}
		t.Logf("%s: 5 %% by the entry are %.2f %%, 1 %% are %.2f %%", c.spec.Shape, 100*exceed[0.05], 100*exceed[0.01])
		for q, slack := range map[float64]float64{0.05: 0.02, 0.01: 0.01} {
			assert.InDelta(t, q, exceed[q], math.Max(slack, q/2), "%s, %g", c.spec.Shape, q)
		}
	}
}
