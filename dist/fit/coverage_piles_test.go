//go:build coverage

package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestPilesAreTold repeats the warning of readings that pile up: of columns of families whose density has no pole in steps up to a tenth of the standard
// deviation 0.5 in 100 at most are told so, within 3 standard errors of 1000 (0.7); of normal columns of 30 and 100, steps of 0.03, cut off
// where 3 of 10 parts lie beyond, 9 in 10 at least (2.9).
func TestPilesAreTold(t *testing.T) {
	for _, c := range []struct {
		family Family
		values map[string]float64
	}{
		{Normal, map[string]float64{"mean": 10, "sd": 1}},
		{HalfNormal, map[string]float64{"scale": 1}},
		{Gamma, map[string]float64{"shape": 1, "scale": 1}},
		{Lognormal, map[string]float64{"median": 1, "sigma_ln": 1}},
		{Uniform, map[string]float64{"low": 1, "high": 2}},
	} {
		truth := mustDist(t, string(c.family), c.values)
		for _, n := range []int{13, 30, 100} {
			for _, step := range []float64{0, 0.01, 0.03, 0.06, 0.1} {
				random := rand.New(rand.NewPCG(uint64(n), uint64(1000*step)))
				told, cut := 0, 0
				for range repetitions {
					values := draw(truth, n, random)
					ended := make([]float64, n)
					for i, x := range values {
						ended[i] = math.Min(x, truth.Quantile(0.7))
					}
					for _, column := range []struct {
						values []float64
						told   *int
					}{{values, &told}, {ended, &cut}} {
						for i, x := range column.values {
							if step > 0 {
								column.values[i] = step * truth.StdDev() * math.Round(x/step/truth.StdDev())
							}
						}
						if len(sample(t, Data{Values: column.values}).piles()) > 0 {
							*column.told++
						}
					}
				}
				t.Logf("%-12s %3d readings, step %.2f: told of %d of %d, and of %d that end at the 70th percentile", c.family, n, step, told, repetitions, cut)
				atLeast(t, 0.995, repetitions-told, repetitions, "not told")
				if c.family == Normal && n >= 30 && step <= 0.03 {
					assert.GreaterOrEqual(t, float64(cut), 0.87*repetitions)
				}
			}
		}
	}
}
