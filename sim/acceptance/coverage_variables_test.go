//go:build coverage

package acceptance

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat"
)

// Lots of the stated quality, measured part by part with both errors, are accepted as often as the operating
// characteristic says: 4 standard errors of 20 000 lots, false alarm 6e-5 each.
func TestPlansByVariablesByRepetition(t *testing.T) {
	const lots = 20_000
	for _, p := range []VariablesPlan{
		byVariables(t, SMethod, 3, 1.12), byVariables(t, SMethod, 10, 1.72), byVariables(t, SMethod, 40, 1.9), byVariables(t, SigmaMethod, 15, 1.9),
	} {
		for _, q := range []LotQuality{
			QualityOf(.01, ReadingError{}), QualityOf(.06, ReadingError{}), QualityOf(.06, ReadingError{.5, 0}), QualityOf(.01, ReadingError{.3, .2}), QualityOf(.5, ReadingError{1, .5}),
		} {
			random := rand.New(rand.NewPCG(uint64(p.sample), 5))
			readings, accepted := make([]float64, p.sample), 0
			for range lots {
				shared := q.Error.Shared * random.NormFloat64()
				for i := range readings {
					readings[i] = q.Distance + shared + random.NormFloat64() + q.Error.Single*random.NormFloat64()
				}
				mean, spread := stat.MeanStdDev(readings, nil)
				if p.method == SigmaMethod {
					spread = 1
				}
				if mean >= p.k*spread {
					accepted++
				}
			}
			want := p.Probability(q)
			t.Logf("%+v, %v: stated %.4f, seen %.4f", p, q, want, float64(accepted)/lots)
			assert.InDelta(t, want, float64(accepted)/lots, 4*math.Sqrt(want*(1-want)/lots))
		}
	}
}
