package sim

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/dist"
)

func TestNoRandomInputIsRefused(t *testing.T) {
	r := Run{
		Scenarios: []Scenario{{Name: "still", Inputs: newInputs(t, 1), Model: formula{1, sum}}},
		Sampler:   Random{}, Samples: 1000, Confidence: 0.95,
	}
	_, err := r.Execute(context.Background())
	assert.ErrorIs(t, err, ErrNoRandomInput)
	assert.ErrorContains(t, err, `"still"`)
}

func TestConstantOutputIsTold(t *testing.T) {
	r := Run{
		Scenarios: []Scenario{{Name: "s", Inputs: newInputs(t, 1, variable("a", normal(0, 1))), Model: formula{1, func([]float64) float64 { return 3 }}}},
		Sampler:   Random{}, Samples: 1000, Confidence: 0.95,
	}
	warnings := execute(t, r).Warnings
	assert.Equal(t, ConstantOutput, warnings[0].Code)
	assert.Contains(t, warnings[0].Text, "y: the same in all rows")
}

// One input and two hundred: every plan finds the 99th percentile of a sum. Three
// half-widths of a 95 % interval are 5.9 standard errors, a false alarm once in
// a hundred million.
func TestOneInputAndTwoHundred(t *testing.T) {
	for _, inputs := range []int{1, 200} {
		var vars []Variable
		for i := range inputs {
			vars = append(vars, variable(fmt.Sprint("x", i), normal(0, 1)))
		}
		for _, sampler := range []Sampler{Random{}, LatinHypercube{}, Halton{}} {
			result := execute(t, Run{
				Scenarios: []Scenario{{Inputs: newInputs(t, 1, vars...), Model: formula{1e-3, sum}}},
				Sampler:   sampler, Samples: 16_384, Confidence: 0.95,
			})
			e := result.Scenarios[0].Quantities[0].Percentile(0.99)
			want := dist.NormalQuantile(0.99) * math.Sqrt(float64(inputs)) // variances add
			assert.InDelta(t, want, e.Value, 3*(e.High-e.Low)/2, "%d inputs, %s", inputs, sampler.Name())
		}
	}
}
