//go:build coverage

package question

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/dist/fit"
	"clampodds/reports"
	"clampodds/sim"
)

// TestMetOfHeavyTails repeats the verdict of --target for readings of Student's t with 5 degrees of freedom of which twice the target
// lies above the limit, so that "met" is wrong, and for normal ones with a thousandth of it there, so that it is right; the flags
// of outliers and of the run chart, which would take some, are left out. That "met" is wrong under heavy tails is stated, as a table
// in DEVELOPERS.md, and what comes with it is held to a rate: that it holds with heavy tails too is wrong of 5 columns in 100 at most,
// within 3 standard errors. The last share of the table is what would be left of "met" if it had to hold with heavy
// tails too. HEAVY_COLUMNS in place of 60.
func TestMetOfHeavyTails(t *testing.T) {
	columns := often("HEAVY_COLUMNS", 60)
	of := func(shape string, values map[string]float64) dist.Distribution {
		return dist.Must(dist.FromSpec(dist.Spec{Shape: shape, Values: values}))
	}
	for _, c := range []struct {
		name  string
		truth dist.Distribution
		share float64 // of the target beyond the limit
	}{
		{"Student's t, 5, twice the target", of("student-t", map[string]float64{"dof": 5, "location": 0.7, "scale": 0.02}), 2},
		{"normal, a thousandth of the target", of("normal", map[string]float64{"mean": 0.7, "sd": 0.02}), 1e-3},
	} {
		for _, n := range []int{13, 30, 100} {
			for _, target := range []float64{1e-2, 1e-3, 1e-5} {
				random := rand.New(rand.NewPCG(uint64(n), 83))
				f := Fit{Limits: fit.Range{Low: math.Inf(-1), High: c.truth.UpperQuantile(c.share * target)}, Options: fit.Options{Level: 0.95, Replicates: 99}, Target: target, Chance: 0.9}
				met, heavy := 0, 0
				for range columns {
					values := make([]float64, n)
					for i := range values {
						values[i] = c.truth.Quantile((float64(random.Uint64()>>12) + 0.5) / (1 << 52))
					}
					b, verdict := judged(t, f, values)
					if verdict == sim.Met {
						met++
						if b.Under.Heavy.Meets {
							heavy++
						}
					}
				}
				share := func(of int) string { return fmt.Sprintf("%5.1f %%", 100*float64(of)/float64(columns)) }
				t.Logf("%-34s %3d readings, target %g: met %s, and with heavy tails too %s", c.name, n, target, share(met), share(heavy))
				if c.share > 1 {
					assert.LessOrEqual(t, float64(heavy), 0.05*float64(columns)+3*math.Sqrt(0.05*0.95*float64(columns)), "%s, %d, %g", c.name, n, target)
				}
			}
		}
	}
}

// judged is the verdict on values, by the families that an undisturbed torque may have.
func judged(t *testing.T, f Fit, values []float64) (reports.Beyond, sim.Verdict) {
	s, err := fit.NewSample(fit.Data{Values: values})
	require.NoError(t, err)
	compared, err := s.Compare([]fit.Family{fit.Normal, fit.Lognormal, fit.Weibull, fit.Gamma, fit.Gumbel}, f.Options)
	require.NoError(t, err)
	p := measurand{"torque"}
	at, _ := p.pasted(compared.Fits)
	best := compared.Fits[at]
	r := reports.Fit{Warnings: best.Warnings}
	verdict, err := f.beyond(&r, s, best, p.alike(compared.Fits, -2*math.Log(1-f.Level)))
	require.NoError(t, err)
	return r.Beyond[0], verdict
}
