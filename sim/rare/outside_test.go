package rare

import (
	"fmt"
	"math"
	"testing"

	"clampodds/reports/validation"

	"github.com/stretchr/testify/assert"
)

func TestOutsideRareExceedance(t *testing.T) {
	validation.Check(t, "Rare exceedance", append(probabilityCases(t), append(distanceCases(), spreadCases()...)...))
}

// probabilityCases holds the whole estimate against every state. Four standard
// errors give a false alarm of 6e-5 each; the seeds are fixed.
func probabilityCases(t *testing.T) (cases []validation.Case) {
	for i, s := range states() {
		r, err := Estimate(s.problem, Options{Stream: stream(uint64(20 + i)), Evaluations: 100000, RelativeError: 0.03, Level: 0.95})
		assert.NoError(t, err)
		p := r.Probability
		assert.NotEqual(t, NotEstablished, r.Verdict, s.id)
		cases = append(cases, validation.Case{
			Name: s.id, Source: s.source, Standing: validation.Computed,
			Expected: s.exact, Obtained: p.Value, Absolute: 4 * p.StandardError,
			Reason: fmt.Sprintf("4 standard errors reported; %s; %s", p.Method, r.Verdict),
		})
	}
	return cases
}

// distanceCases holds the nearest design point against printed distances.
func distanceCases() (cases []validation.Case) {
	for _, c := range []struct {
		id, source string
		standing   validation.Standing
		beta       float64
	}{
		{"B14 (RP8): six lognormals", "reliability problem collection, RP8", validation.Published, 3.211640},
		{"B12: parabola, two design points", "minimum along the parabola", validation.Computed, 2.905696},
		{"B6 (RP28): product, two design points", "minimum along the hyperbola", validation.Computed, 5.333124},
		{"ln R - ln S", "closed form", validation.Computed, 2.82991411},
	} {
		for _, s := range states() {
			if s.id == c.id {
				points, _ := pointsOf(s.problem, 20)
				cases = append(cases, validation.Case{
					Name: c.id + ": reliability index of the nearest design point", Source: c.source, Standing: c.standing,
					Expected: c.beta, Obtained: nearest(points), Absolute: 1e-3,
					Reason: "the search ends within 0.005 of the point, where the distance is flat to second order",
				})
			}
		}
	}
	return cases
}

func nearest(points []DesignPoint) float64 {
	beta := math.Inf(1)
	for _, p := range points {
		beta = min(beta, p.Beta)
	}
	return beta
}

// spreadCases holds the spread of one draw at the design point of a linear state
// against its closed form.
func spreadCases() (cases []validation.Case) {
	for i, c := range []struct{ beta, variation float64 }{
		{2, 1.53003}, {3, 1.84043}, {4, 2.12394}, {4.753424309, 2.32098}, {5, 2.38271}, {5.199337582, 2.43169},
	} {
		var q mixture
		q.add(0, []float64{0})
		q.add(1, []float64{c.beta})
		m := &meter{Problem: linear(1, c.beta), limit: 100000}
		r := sampleMixture(m, q, stream(uint64(20+i)), 0, 1e-9, 0.95)
		cases = append(cases, validation.Case{
			Name:     fmt.Sprintf("one draw at the design point of a linear state, beta = %g: coefficient of variation", c.beta),
			Source:   "sqrt(exp(beta^2) Phi(-2 beta)/Phi(-beta)^2 - 1)",
			Standing: validation.Computed, Expected: c.variation,
			Obtained: r.Union.RelativeError() * math.Sqrt(float64(r.Evaluations)), Relative: 0.026,
			Reason: "4 standard errors of the spread of 100 000 draws of kurtosis 17 or less",
		})
	}
	return cases
}
