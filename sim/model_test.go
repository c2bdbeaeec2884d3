package sim

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"clampodds/dist"
)

// formula is a model of one quantity, a function of the inputs of one row.
type formula struct {
	bin   float64
	value func(x []float64) float64
}

func (formula) outputsNamed(name string, bin float64) []Output {
	return []Output{{Name: name, Unit: "1", Bin: bin}}
}

func (f formula) Outputs() []Output { return f.outputsNamed("y", f.bin) }

func (f formula) Evaluate(x, y [][]float64) {
	row := make([]float64, len(x))
	for r := range y[0] {
		for i := range x {
			row[i] = x[i][r]
		}
		y[0][r] = f.value(row)
	}
}

// must returns the value of a constructor that cannot fail.
func must[T any](value T, err error) T {
	if err != nil {
		panic(err)
	}
	return value
}

func normal(mean, sd float64) dist.Distribution   { return must(dist.NewNormal(mean, sd)) }
func uniform(low, high float64) dist.Distribution { return must(dist.NewUniform(low, high)) }

// variable is a card's own variable, shared one of its chassis.
func variable(name string, d dist.Distribution) Variable {
	return Variable{Name: name, Input: name, Level: Card, Dist: d}
}

func shared(name string, d dist.Distribution) Variable {
	return Variable{Name: name, Input: name, Level: Chassis, Dist: d}
}

// sum adds the inputs of a row.
func sum(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s
}

func newInputs(t testing.TB, rowsPerGroup int, vars ...Variable) *Inputs {
	t.Helper()
	in, err := NewInputs(vars, nil, rowsPerGroup)
	require.NoError(t, err)
	return in
}

func execute(t testing.TB, r Run) *Result {
	t.Helper()
	result, err := r.Execute(context.Background())
	require.NoError(t, err)
	return result
}
