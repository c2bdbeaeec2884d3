package network

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports/validation"
)

// chain is the series of conductances from node 0 (heated by 1 W) to the
// reference; it returns the temperature at the start of each.
func chain(t *testing.T, conductances ...float64) []float64 {
	b := &Builder{}
	previous := b.Node("0")
	for i := range conductances[1:] {
		next := b.Node(string(rune('1' + i)))
		b.Link(previous, next)
		previous = next
	}
	b.Ground(previous)
	n, err := b.Compile()
	require.NoError(t, err)
	q := make([]float64, n.Nodes())
	q[0] = 1
	return problem{n, conductances, q}.solve()
}

// bridge is five resistances: the source feeds b and c through r1 and r2, they
// drain to the reference through r3 and r4, and r5 joins them.
func bridge(t *testing.T, r1, r2, r3, r4, r5 float64) (resistance, across float64) {
	b := &Builder{}
	source, left, right := b.Node("source"), b.Node("b"), b.Node("c")
	b.Link(source, left)
	b.Link(source, right)
	b.Ground(left)
	b.Ground(right)
	b.Link(left, right)
	n, err := b.Compile()
	require.NoError(t, err)
	p := problem{n, []float64{1 / r1, 1 / r2, 1 / r3, 1 / r4, 1 / r5}, []float64{1, 0, 0}}
	temperature := p.solve()
	return temperature[source], p.heat(temperature)[4]
}

func TestBridge(t *testing.T) {
	// Unbalanced, closed form of the five-resistor bridge.
	r1, r2, r3, r4, r5 := 10.0, 20.0, 30.0, 40.0, 50.0
	want := (r5*(r1+r3)*(r2+r4) + r1*r3*(r2+r4) + r2*r4*(r1+r3)) /
		(r5*(r1+r2+r3+r4) + (r1+r2)*(r3+r4))
	got, _ := bridge(t, r1, r2, r3, r4, r5)
	assert.InEpsilon(t, want, got, 1e-14)
	// Balanced: nothing crosses, whatever the bridge.
	for _, r5 := range []float64{1e-6, 1, 1e6} {
		got, across := bridge(t, 10, 20, 30, 60, r5)
		assert.InEpsilon(t, 80.0/3, got, 1e-14)
		assert.InDelta(t, 0, across, 1e-16/r5*100) // g times the rounding of T
	}
}

func TestOutsideNetwork(t *testing.T) {
	contact := chain(t, 11000, 1)
	series := chain(t, 42000*8e-4, 386*0.01/0.01, 25*0.01)
	heat := (70 - 20) / series[0]
	b := &Builder{}
	chip, under, over := b.Node("chip"), b.Node("aluminium, chip side"), b.Node("aluminium, air side")
	b.Ground(chip)
	b.Link(chip, under)
	b.Link(under, over)
	b.Ground(over)
	n, err := b.Compile()
	require.NoError(t, err)
	glued := problem{n, []float64{100, 1 / 0.9e-4, 238 / 0.008, 100}, []float64{1e4, 0, 0}}.solve()
	unbalanced, _ := bridge(t, 10, 20, 30, 40, 50)

	validation.Check(t, "Network", []validation.Case{
		{
			Name: "contact of 11000 W/m2K as a plate of k = 237 W/mK: thickness", Source: "Cengel, Heat Transfer, example 3-4",
			Standing: validation.Published, Unit: "cm", Expected: 2.15, Obtained: 237 * (contact[0] - contact[1]) * 100,
			Absolute: 0.005, Reason: "half the last digit printed",
		},
		{
			Name: "contact 42000 W/m2K on 8 cm2, copper plate 0.01 m of 100 cm2, film 25 W/m2K, 70 to 20 degC: heat", Source: "Cengel, Heat Transfer, example 3-5",
			Standing: validation.Published, Unit: "W", Expected: 12.4, Obtained: heat, Absolute: 0.05, Reason: "half the last digit printed",
		},
		{
			Name: "the same: temperature step at the contact", Source: "Cengel, Heat Transfer, example 3-5",
			Standing: validation.Published, Unit: "K", Expected: 0.37, Obtained: heat * (series[0] - series[1]), Absolute: 0.005, Reason: "half the last digit printed",
		},
		{
			Name: "chip of 1e4 W/m2 glued to 8 mm of aluminium, h 100 W/m2K on both sides, air 25 degC: chip", Source: "Incropera and DeWitt, example 3 (chip on a substrate)",
			Standing: validation.FromMemory, Unit: "degC", Expected: 75.3, Obtained: 25 + glued[0], Absolute: 0.05, Reason: "half the last digit printed",
		},
		{
			Name: "bridge of 10, 20, 30, 40, 50 K/W: resistance", Source: "closed form of the five-resistor bridge",
			Standing: validation.Computed, Unit: "K/W", Expected: 170000.0 / 7100, Obtained: unbalanced, Relative: 1e-14, Reason: "closed form",
		},
	})
}
