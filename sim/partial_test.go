package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim/batch"
)

// halves is two models in one: first = a + b, second = c.
type halves struct{ only string }

func (h halves) Outputs() []Output {
	if h.only != "" {
		return []Output{{Name: h.only, Bin: 1}}
	}
	return []Output{{Name: "first", Bin: 1}, {Name: "second", Bin: 1}}
}

func (h halves) Evaluate(x, y [][]float64) {
	at := map[string]int{"first": 0, "second": len(y) - 1}
	for name, j := range at {
		for r := range y[j] {
			switch {
			case h.only != "" && h.only != name:
			case name == "first":
				y[j][r] = x[0][r] + x[1][r]
			default:
				y[j][r] = x[2][r]
			}
		}
	}
}

func (h halves) Only(outputs ...string) (Model, []int) {
	if len(outputs) != 1 {
		return nil, nil
	}
	return halves{outputs[0]}, map[string][]int{"first": {1, 0}, "second": {2}}[outputs[0]]
}

// cheaper leaves out outputs, and no columns.
type cheaper struct{ halves }

func (cheaper) Only(outputs ...string) (Model, []int) { return halves{outputs[0]}, nil }

func TestOnlyWhatAnOutputNeeds(t *testing.T) {
	inputs, err := NewInputs([]Variable{variable("a", normal(0, 1)), variable("b", normal(5, 2)), variable("c", normal(0, 3)), variable("d", normal(1, 1))},
		[]Correlation{{A: "c", B: "d", Rank: 0.6}}, 1)
	require.NoError(t, err)
	whole := Scenario{Inputs: inputs, Model: halves{}, Requirements: []Requirement{{Name: "q", Output: "first", Limit: 1}}}
	u := [][]float64{{0.1, 0.7}, {0.3, 0.2}, {0.5, 0.9}, {0.6, 0.8}}
	all, x := batch.Columns(2, 2), batch.Columns(4, 2)
	inputs.Transform(u, x)
	whole.Model.Evaluate(x, all)
	for output, variables := range map[string][]string{"first": {"a", "b"}, "second": {"c", "d"}} { // d is correlated with c
		part := whole.Only(output)
		var names []string
		var points [][]float64
		for _, v := range part.Inputs.Variables() {
			names = append(names, v.Name)
			points = append(points, u[v.Name[0]-'a'])
		}
		assert.Equal(t, variables, names)
		y, x := batch.Columns(1, 2), batch.Columns(len(points), 2)
		part.Inputs.Transform(points, x)
		part.Model.Evaluate(x, y)
		assert.Equal(t, all[map[string]int{"first": 0, "second": 1}[output]], y[0], output)
		assert.Equal(t, part, part.Only(output), "nothing is left to leave out")
	}
	assert.Len(t, whole.Only("first", "second").Inputs.Variables(), 4)
	whole.Model = cheaper{}
	assert.Equal(t, Scenario{Inputs: inputs, Model: halves{"first"}, Requirements: whole.Requirements}, whole.Only("first"), "all columns")
}
