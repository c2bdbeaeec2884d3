package strata

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/reports/validation"
	"clampodds/sim"
)

// columnsModel is a limit state of two inputs, exceeded above 0.
type columnsModel func(x1, x2 float64) float64

func (columnsModel) Outputs() []sim.Output { return []sim.Output{{Name: "g", Unit: "1", Bin: 1e-3}} }

func (f columnsModel) Evaluate(x, y [][]float64) {
	for r := range y[0] {
		y[0][r] = f(x[0][r], x[1][r])
	}
}

// Limit states of the reliability literature with known probabilities, the sign
// turned so that failure lies above 0.
func TestOutsideStrata(t *testing.T) {
	const relative = 0.05
	source := "reliability benchmark collections; exact by quadrature"
	reason := "twice the half-width of a 95 % interval of 5 %: false alarm once in 10 000"
	var cases []validation.Case
	for i, c := range []struct {
		name     string
		standing validation.Standing
		mean1    float64
		sd1      float64
		mean2    float64
		sd2      float64
		g        columnsModel
		want     float64
	}{
		{"R - S", validation.Published, 4, 1, 2, 1, func(r, s float64) float64 { return s - r }, 7.8649603525e-2},
		{"R - S, far", validation.Computed, 7, 1, 2, 1, func(r, s float64) float64 { return s - r }, 2.0347600872e-4},
		{"convex quadratic", validation.Computed, 0, 1, 0, 1, func(a, b float64) float64 { return (a+b)/1.4142135623730951 - 2.5 - 0.1*(a-b)*(a-b) }, 4.2073055113e-3},
		{"quartic", validation.Published, 10, 3, 10, 3, func(a, b float64) float64 {
			s := (a + b - 20) * (a + b - 20)
			return 0.2357*(a-b) - 2.5 - 0.00463*s*s
		}, 2.8599456875e-3},
		{"two modes, x1 x2 > 3", validation.Published, 0, 1, 0, 1, func(a, b float64) float64 { return a*b - 3 }, 9.8192987215e-3},
	} {
		var variables []sim.Variable
		for j, p := range [][2]float64{{c.mean1, c.sd1}, {c.mean2, c.sd2}} {
			d, err := dist.NewNormal(p[0], p[1])
			require.NoError(t, err)
			name := []string{"x1", "x2"}[j]
			variables = append(variables, sim.Variable{Name: name, Input: name, Level: sim.Card, Dist: d})
		}
		inputs, err := sim.NewInputs(variables, nil, 1)
		require.NoError(t, err)
		r, err := Estimate(context.Background(), sim.Scenario{Inputs: inputs, Model: c.g}, sim.Requirement{Name: c.name, Output: "g"},
			Options{Relative: relative, Most: 1e7, Confidence: 0.95, Seed: uint64(i)})
		require.NoError(t, err)
		require.True(t, r.Reached)
		cases = append(cases, validation.Case{
			Name: c.name + ", exceedance probability", Source: source, Standing: c.standing,
			Expected: c.want, Obtained: r.Estimate.Value, Relative: 2 * relative, Reason: reason,
		})
	}
	validation.Check(t, "Exceedance by strata", cases)
}

// X given μ is N(μ, 1), μ is N(0, 0.5²), the limit 3: all exact.
func TestOutsideKnowledge(t *testing.T) {
	u := additive(0.5, 0).knowledge(t, 2)
	var cases []validation.Case
	for i, c := range []struct {
		name string
		want float64
	}{
		{"mean over μ of P(X > 3), Φ(-3/sqrt 1.25)", 3.6451790458e-3},
		{"median over μ", 1.3498980316e-3},
		{"95 % quantile over μ", 1.4718913802e-2},
	} {
		cases = append(cases, validation.Case{
			Name: c.name, Source: "normal in normal, closed form", Standing: validation.Computed,
			Expected: c.want, Obtained: u.estimates()[i].Value, Relative: 0.15,
			Reason: "four standard deviations of 40 000 evaluations, by repetition",
		})
	}
	validation.Check(t, "Lack of knowledge", cases)
}
