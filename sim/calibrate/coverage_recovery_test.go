//go:build coverage

package calibrate

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
)

// A known factor lies in the 95 % interval in 95 ± 2 % of 1000 rigs: 2.9 standard
// errors of a share of 1000, so that a right program fails once in 250 seeds.
func TestKnownFactorIsRecovered(t *testing.T) {
	const repetitions = 1000
	for name, draw := range map[string]func(z float64) float64{
		"one factor of 0.8":       func(float64) float64 { return 0.8 },
		"factors as the prior is": func(z float64) float64 { return math.Exp(0.35 * z) },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			random := rand.New(rand.NewPCG(7, 11))
			inside, surprised, trends := 0, 0, 0
			p := demoRig.problem(t)
			for range repetitions {
				factor := draw(random.NormFloat64())
				demoRig.read(p, factor, random)
				r, err := p.Solve(context.Background())
				require.NoError(t, err)
				m := r.Marginals[0]
				if below := m.below(dist.NormalScore(m.Prior, factor)); below > 0.025 && below < 0.975 {
					inside++
				}
				if r.Surprise.Probability < rarelySurprised {
					surprised++
				}
				if r.Trends[0].Flagged || r.Trends[1].Flagged {
					trends++
				}
			}
			t.Log(inside, surprised, trends)
			assert.InDelta(t, 0.95*repetitions, inside, 0.02*repetitions)
			// False alarms: 1 % and 5 %, each with 3 standard errors of 1000 and the
			// likelihood's own error in far tails.
			assert.InDelta(t, 0.01*repetitions, surprised, 13)
			assert.InDelta(t, 0.05*repetitions, trends, 21)
		})
	}
}

// Large variation from unit to unit, 0.3 to 0.8 in the logarithm of the conductance, read as rises or as their logarithms, few
// units or many: factors drawn as the prior is lie in the interval of 95 % in 93 to 98 % of rigs. Three standard errors of 400 repetitions
// are 3.3 %. On the observations' own scale 39 to 94 % of these rigs did.
func TestKnownFactorIsRecoveredBesideLargeVariation(t *testing.T) {
	const repetitions = 400
	for _, c := range []struct {
		spread      float64
		units, rows int
		plain       bool
	}{{0.3, 2, 4, false}, {0.5, 2, 4, false}, {0.8, 2, 4, false}, {0.5, 2, 4, true}, {0.5, 10, 4, false}, {0.5, 10, 4, true}, {0.5, 1, 8, false}, {0.5, 20, 1, false}} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			t.Parallel()
			random := rand.New(rand.NewPCG(7, 12))
			large := largeRig(c.spread, c.units, c.rows)
			p := large.problem(t)
			if c.plain {
				p.Model = withoutLogarithm(p.Model)
			}
			inside := 0
			for range repetitions {
				factor := math.Exp(0.35 * random.NormFloat64())
				large.read(p, factor, random)
				for o := range p.Observations {
					if q := &p.Observations[o]; c.plain {
						q.Value, q.Noise = math.Exp(q.Value), rigNoise
					}
				}
				r, err := p.Solve(context.Background())
				require.NoError(t, err)
				if m := r.Marginals[0]; m.Quantile(0.025) < factor && factor < m.Quantile(0.975) {
					inside++
				}
			}
			t.Log(inside)
			assert.Greater(t, float64(inside), 0.917*repetitions)
		})
	}
}
