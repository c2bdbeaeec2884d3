package lanes

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Every operation has the bits of the plain one, in its own lane, whatever the other lanes hold.
func TestLanesAreNumbers(t *testing.T) {
	if Width > 1 && !Fast {
		t.Skip("the processor has no vectors")
	}
	values := []float64{0, math.Copysign(0, -1), 1, -3, 1e-310, 0.1, 1e300, math.Inf(1), math.Inf(-1), math.NaN()}
	for shift := range values {
		var x, y, got Row
		for lane := range x {
			x[lane], y[lane] = values[lane%len(values)], values[(lane+shift)%len(values)]
		}
		zero := Same(0)
		for name, op := range map[string]struct {
			lanes func(x, y Vector) Vector
			plain func(x, y float64) float64
		}{
			"add":     {func(x, y Vector) Vector { return x.Add(y) }, func(x, y float64) float64 { return x + y }},
			"sub":     {func(x, y Vector) Vector { return x.Sub(y) }, func(x, y float64) float64 { return x - y }},
			"mul":     {func(x, y Vector) Vector { return x.Mul(y) }, func(x, y float64) float64 { return x * y }},
			"div":     {func(x, y Vector) Vector { return x.Div(y) }, func(x, y float64) float64 { return x / y }},
			"root":    {func(x, _ Vector) Vector { return x.Sqrt() }, func(x, _ float64) float64 { return math.Sqrt(x) }},
			"less":    {func(x, y Vector) Vector { return Pick(x.Less(y), x, y) }, func(x, y float64) float64 { return pick(x < y, x, y) }},
			"greater": {func(x, y Vector) Vector { return Pick(x.Greater(y), x, y) }, func(x, y float64) float64 { return pick(x > y, x, y) }},
			"min":     {func(x, y Vector) Vector { return x.Min(y) }, func(x, y float64) float64 { return pick(x < y, x, y) }},
			"max":     {func(x, y Vector) Vector { return x.Max(y) }, func(x, y float64) float64 { return pick(x > y, x, y) }},
			"keep":    {func(x, y Vector) Vector { return Keep(x.Less(y), x) }, func(x, y float64) float64 { return pick(x < y, x, 0) }},
			"drop":    {func(x, y Vector) Vector { return Drop(x.Less(y), x) }, func(x, y float64) float64 { return pick(x < y, 0, x) }},
			"or": {func(x, y Vector) Vector { return Pick(x.GreaterEqual(y).Or(y.NotEqual(y)), x, y) },
				func(x, y float64) float64 { return pick(x >= y || math.IsNaN(y), x, y) }},
			"and": {func(x, y Vector) Vector { return Pick(x.Equal(y).And(x.Greater(zero.Vector())), x, y) },
				func(x, y float64) float64 { return pick(x == y && x > 0, x, y) }},
		} {
			for i := 0; i < Count; i += Width {
				got.Put(i, op.lanes(x.At(i), y.At(i)))
			}
			Done()
			for lane := range got {
				want := op.plain(x[lane], y[lane])
				same := math.Float64bits(got[lane]) == math.Float64bits(want) || math.IsNaN(got[lane]) && math.IsNaN(want)
				assert.True(t, same, "%s of %v and %v: %v, plainly %v", name, x[lane], y[lane], got[lane], want)
			}
		}
	}
}

func pick(choice bool, x, y float64) float64 {
	if choice {
		return x
	}
	return y
}
