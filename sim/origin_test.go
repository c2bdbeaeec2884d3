package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/dist"
	"clampodds/sim/batch"
)

// What a scenario takes over from an earlier one is what it draws when it runs
// alone: for a distribution that is the same, changed, or spread otherwise over the
// cards, and for correlated variables.
func TestScenariosDrawAsTheyDoAlone(t *testing.T) {
	readings := func(values ...float64) Variable { return variable("readings", must(dist.NewResampled(values))) }
	a, b := variable("a", normal(0, 1)), variable("b", normal(0, 1))
	first := newInputs(t, 2, variable("same", normal(0, 1)), variable("changed", normal(0, 1)), shared("wide", normal(0, 1)), readings(1, 2, 3), a, b)
	second := newInputs(t, 2, readings(1, 2, 3), shared("wide", normal(0, 1)), variable("changed", normal(0, 2)), variable("same", normal(0, 1)), a, b)
	third, err := NewInputs([]Variable{a, b, variable("wide", normal(0, 1)), variable("changed", normal(0, 2)), readings(1, 2, 4)},
		[]Correlation{{"a", "b", 0.5}}, 2)
	assert.NoError(t, err)
	inputs := []*Inputs{first, second, third}

	draw := func(inputs ...*Inputs) [][][]float64 {
		r := Run{Sampler: Random{}, Samples: 100, BlockRows: 32, Confidence: 0.9}
		drawn := make([][][]float64, len(inputs))
		for s, in := range inputs {
			r.Scenarios = append(r.Scenarios, Scenario{Name: string(rune('a' + s)), Inputs: in, Model: formula{1, sum}})
			drawn[s] = make([][]float64, len(in.Variables()))
		}
		r.Draws = func(_ int64, scenario int, x, _ [][]float64) error {
			for i := range x {
				drawn[scenario][i] = append(drawn[scenario][i], x[i]...)
			}
			return nil
		}
		execute(t, r)
		return drawn
	}
	together := draw(inputs...)
	for s, in := range inputs {
		assert.Equal(t, draw(in)[0], together[s], "scenario %d", s)
	}

	common := NewCommon([]Scenario{{Inputs: first}, {Inputs: second}, {Inputs: third}})
	x := common.Columns(4)
	for s, in := range inputs {
		var z [][]float64
		for _, v := range in.Variables() {
			at := float64(len(v.Name)) / 8
			z = append(z, []float64{at, -at, 2 * at, at - 1})
		}
		alone := batch.Columns(len(z), 4)
		in.FromNormal(z, alone)
		common.FromNormal(s, z, x[s])
		assert.Equal(t, alone, x[s], "scenario %d from normal scores", s)
	}

	c := newCube([]Scenario{{Inputs: first}, {Inputs: second}, {Inputs: third}})
	origins := c.origins([]Scenario{{Inputs: first}, {Inputs: second}, {Inputs: third}})
	assert.Equal(t, []origin{{0, 3}, {0, 2}, {1, 2}, {0, 0}, {0, 4}, {0, 5}}, origins[1])
	assert.Equal(t, []origin{{2, 0}, {2, 1}, {2, 2}, {1, 2}, {2, 4}}, origins[2])
}
