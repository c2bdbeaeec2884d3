package sim

import (
	"fmt"
	"testing"
)

// trivial adds its inputs: what remains is the cost of the engine. It allocates
// nothing.
type trivial struct{ outputs int }

func (m trivial) Outputs() []Output {
	outputs := make([]Output, m.outputs)
	for j := range outputs {
		outputs[j] = Output{Name: "y", Bin: 1e-3}
		if j > 0 {
			outputs[j].Name = fmt.Sprint("y", j)
		}
	}
	return outputs
}

func (m trivial) Evaluate(x, y [][]float64) {
	for _, out := range y {
		clear(out)
		for _, column := range x {
			for r, value := range column {
				out[r] += value
			}
		}
	}
}

func BenchmarkRun(b *testing.B) {
	const samples = 1 << 18
	for _, c := range []struct {
		sampler                  Sampler
		inputs, cards, scenarios int
	}{
		{Random{}, 1, 1, 1},
		{Random{}, 20, 1, 1},
		{Random{}, 20, 1, 2},
		{Random{}, 20, 4, 1},
		{LatinHypercube{}, 20, 1, 1},
		{Halton{}, 20, 1, 1},
	} {
		for _, blockRows := range []int{256, 1024, 4096} {
			var vars []Variable
			for i := range c.inputs {
				vars = append(vars, variable(fmt.Sprint("x", i), normal(80, 1)))
			}
			inputs := newInputs(b, c.cards, vars...)
			r := Run{Sampler: c.sampler, Samples: samples, BlockRows: blockRows, Workers: 1, Confidence: 0.95}
			for s := range c.scenarios {
				r.Scenarios = append(r.Scenarios, Scenario{
					Name: fmt.Sprint(s), Inputs: inputs, Model: trivial{3},
					Requirements: []Requirement{{Name: "limit", Output: "y", Limit: 85}},
				})
			}
			name := fmt.Sprintf("sampler=%s/inputs=%d/cards=%d/scenarios=%d/block=%d", c.sampler.Name(), c.inputs, c.cards, c.scenarios, blockRows)
			b.Run(name, func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					execute(b, r)
				}
				b.ReportMetric(float64(b.N)*samples/b.Elapsed().Seconds(), "rows/s")
			})
		}
	}
}
