package card

import (
	"maps"
	"math"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/joint/contact"
	"clampodds/joint/force"
	"clampodds/joint/lanes"
)

var families = []Family{TwoFace, FourFace}

// columnsOf makes columns of n equal rows.
func columnsOf(n, rows int) [][]float64 {
	y := make([][]float64, n)
	for j := range y {
		y[j] = make([]float64, rows)
	}
	return y
}

func TestHeatBalances(t *testing.T) {
	for _, family := range families {
		for _, pieces := range []int{3, 5, 7, 9} {
			m := testModel(t, testLayout(family, pieces))
			trace := m.Trace(nil)
			assert.Equal(t, 100.0, trace.Heat)
			assert.InEpsilon(t, trace.Heat, trace.Leaving, 1e-10)
			assert.Less(t, trace.Residual, 1e-10*trace.Heat)
			out, paths := result(m), 0.0
			for _, edge := range trace.Edges {
				for _, path := range edge.Paths {
					paths += path.Heat
					assert.InEpsilon(t, path.Resistance*path.Heat, out["edge."+edge.Name]-323.15, 1e-10)
				}
			}
			assert.InEpsilon(t, 100, paths, 1e-10)
			assert.InEpsilon(t, 1, out["share.direct"]+out["share.upper"]+out["share.side"], 1e-10)
			// What all the heat raises the component over its own edge means.
			assert.InEpsilon(t, 20*0.5, out["component.fpga"]-trace.node(t, "card"), 1e-10)
		}
	}
}

func (tr *Trace) node(t *testing.T, name string) float64 {
	for _, n := range tr.Nodes {
		if n.Name == name {
			return n.Temperature
		}
	}
	require.Fail(t, "no node "+name)
	return 0
}

// The edge mean hangs on the card node by exactly the frame's resistance.
func TestFrameResistanceIsTheEdges(t *testing.T) {
	trace := testModel(t, testLayout(TwoFace, 5), map[string]float64{"card.frame_resistance": 0.37}).Trace(nil)
	heat := trace.Edges[0].Paths[lowerRail].Heat + trace.Edges[0].Paths[upperRail].Heat
	assert.InEpsilon(t, trace.node(t, "card")-trace.Outputs[edgeLeft].Value, 0.37*heat, 1e-10)
}

// Swapping the edges' inputs swaps the edges' outputs.
func TestEdgesAreAlike(t *testing.T) {
	for _, family := range families {
		l := testLayout(family, 5)
		straight, swapped := testBinding(t, l), testBinding(t, l)
		for _, p := range Parameters(&l) {
			if p.Scope == PerCard || p.Key == "screw.engagement" || p.Key == "screw.nut_shear" {
				continue
			}
			for i, at := range straight.Instances(p.Key) {
				v := straight.sources[straight.slot(p.Key, at)].Value * (1 + 0.01*float64(i%11))
				if p.allows(v) && p.Key != "slot.width" && p.Key != "clamp.height" && p.Key != "flange.thickness" {
					require.NoError(t, straight.Set(p.Key, at.Edge, at.Face, Constant(v)))
					require.NoError(t, swapped.Set(p.Key, 1-at.Edge, at.Face, Constant(v)))
				}
			}
		}
		a, err := New(straight)
		require.NoError(t, err)
		b, err := New(swapped)
		require.NoError(t, err)
		outA, outB := result(a), result(b)
		assert.NotEqual(t, outA["edge.left"], outA["edge.right"])
		other := strings.NewReplacer("left", "right", "right", "left")
		for name, v := range outA {
			// The nodes are eliminated in another order: roundings only.
			assert.InDelta(t, v, outB[other.Replace(name)], 1e-12*math.Abs(v), name)
		}
	}
}

func TestMisfit(t *testing.T) {
	for name, c := range map[string]struct {
		slot, travel float64
		event        string
	}{
		"no entry":         {7.9e-3, 0.8e-3, "event.no_entry"},
		"no travel":        {8.9e-3, 0.8e-3, "event.no_travel"},
		"past the pieces":  {14.1e-3, 20e-3, "event.no_travel"},
		"entry at an edge": {8e-3 - 1e-9, 0.8e-3, "event.no_entry"},
	} {
		t.Run(name, func(t *testing.T) {
			b := testBinding(t, testLayout(FourFace, 5), map[string]float64{"clamp.travel": c.travel})
			require.NoError(t, b.Set("slot.width", 1, -1, FromColumn(0)))
			m, err := New(b)
			require.NoError(t, err)
			out := result(m, c.slot)
			for name, v := range out {
				switch {
				case name == c.event:
					assert.Equal(t, 1.0, v)
				case strings.HasPrefix(name, "edge."), strings.HasPrefix(name, "resistance."), strings.HasPrefix(name, "component."), name == "utilisation.holding":
					assert.Equal(t, math.Inf(1), v, name)
				case strings.HasPrefix(name, "fit."):
				default:
					assert.Zero(t, v, name)
				}
			}
			assert.InDelta(t, min(0.3e-3, c.slot-8e-3), out["fit.insertion"], 1e-15)
			assert.InDelta(t, min(c.travel, 6e-3)-max(0.3e-3, c.slot-8e-3), out["fit.travel"], 1e-15)
			trace := m.Trace([]float64{c.slot})
			assert.Equal(t, force.Seated, trace.Edges[0].Fit)
			assert.NotEqual(t, force.Seated, trace.Edges[1].Fit)
			assert.Empty(t, trace.Nodes)
			// A row that fits is not spoilt by the misfit before it.
			y := columnsOf(len(m.Outputs()), 2)
			m.Evaluate([][]float64{{c.slot, 8.3e-3}}, y)
			for j, o := range m.Outputs() {
				assert.Equal(t, result(m, 8.3e-3)[o.Name], y[j][1], o.Name)
			}
		})
	}
}

func TestWallFrictionJams(t *testing.T) {
	l := testLayout(TwoFace, 5)
	out := result(testModel(t, l, map[string]float64{"friction.wall": 1.5}))
	assert.Equal(t, 1.0, out["event.jammed"])
	assert.Zero(t, result(testModel(t, l))["event.jammed"])
	trace := testModel(t, l, map[string]float64{"friction.wall": 1.5}).Trace(nil)
	assert.Zero(t, trace.Edges[0].Train.Outward[2], "the third piece gets nothing")
	assert.Equal(t, 1.0, result(testModel(t, l, map[string]float64{"friction.ramp": 1.2}))["event.self_locking"])
}

func TestThermalPreload(t *testing.T) {
	l := testLayout(TwoFace, 5)
	group := map[string]float64{
		"screw.expansion": 17.2e-6, "screw.modulus": 193e9,
		"screw.assembly_temperature": 293.15, "clamp.expansion": 23.6e-6, "clamp.screw_train_area": 30e-6,
	}
	area := l.Thread.StressArea
	cold, hot := result(testModel(t, l))["force.axial.left"], result(testModel(t, l, group))["force.axial.left"]
	want := (23.6e-6 - 17.2e-6) * 40 / (1/(193e9*area) + 1/(68.9e9*30e-6))
	assert.InEpsilon(t, want, hot-cold, 1e-9)
}

func TestUnjudgedLimitsHaveNoOutput(t *testing.T) {
	m := testModel(t, testLayout(TwoFace, 3), map[string]float64{
		"screw.yield": 0, "screw.engagement": 0, "screw.nut_shear": 0, "card.mass": 0, "card.acceleration": 0,
		"clamp.allowable": 0, "flange.allowable": 0, "rail.allowable": 0,
	})
	for _, o := range m.Outputs() {
		assert.NotContains(t, o.Name, "utilisation")
		assert.NotEqual(t, "share.side", o.Name)
	}
	full := testModel(t, testLayout(FourFace, 3))
	assert.Len(t, full.Outputs(), ownOutputs+1)
}

// The joint temperature stands for the wall's when it is not given, the
// altitude's standard pressure for the pressure.
func TestUnsetJointAndPressure(t *testing.T) {
	l := testLayout(TwoFace, 3)
	assert.Equal(t, result(testModel(t, l, map[string]float64{"joint.temperature": 323.15})),
		result(testModel(t, l, map[string]float64{"joint.temperature": 0})))
	pressure, err := contact.StandardPressure(9000)
	require.NoError(t, err)
	assert.Equal(t, result(testModel(t, l, map[string]float64{"gas.pressure": pressure})),
		result(testModel(t, l, map[string]float64{"gas.altitude": 9000})))
	assert.NotEqual(t, result(testModel(t, l)), result(testModel(t, l, map[string]float64{"gas.altitude": 9000})))
}

// Accommodation that is not given, or given as a gas's own default (0 for vacuum),
// is that of the gas.
func TestUnsetAccommodation(t *testing.T) {
	for _, gas := range []contact.Gas{contact.Air, contact.Helium, contact.Nitrogen, contact.Vacuum} {
		l := testLayout(TwoFace, 3)
		l.Gas = gas
		state := testModel(t, l).Trace(nil).Edges[0].Gas
		want, err := contact.NewGasState(gas, 333.15, 101325, gas.Accommodation())
		require.NoError(t, err)
		assert.Equal(t, want, state, gas)
		assert.Equal(t, want, testModel(t, l, map[string]float64{"gas.accommodation": gas.Accommodation()}).Trace(nil).Edges[0].Gas, gas)
	}
}

// Heat goes up from the flange by the odd pieces, so that through each ramp of a
// two-face clamp it runs from the odd piece: no face of the trace has it backwards.
func TestHeatThroughFacesRunsTowardsTheChassis(t *testing.T) {
	for _, edge := range testModel(t, testLayout(TwoFace, 5)).Trace(nil).Edges {
		for _, f := range edge.Faces {
			assert.Positive(t, f.Heat, f.Name)
		}
	}
}

// What is kept from row to row is what every row would compute: the same inputs
// give the same bits as constants or columns, and after any other row.
func TestKeptPartsAreTheSame(t *testing.T) {
	for _, family := range families {
		l := testLayout(family, 5)
		stiff := map[string]float64{"face.direct.bow": 2e-4, "flange.thickness": 12e-3, "rail.thickness": 0.05, "slot.width": 18.3e-3, "joint.temperature": 0}
		fixed := testModel(t, l, stiff)
		b := testBinding(t, l, stiff)
		var x []float64
		for _, p := range Parameters(&l) {
			for _, at := range b.Instances(p.Key) {
				value := b.sources[b.slot(p.Key, at)].Value
				if value == 0 && p.Zero != "" {
					continue
				}
				require.NoError(t, b.Set(p.Key, at.Edge, at.Face, FromColumn(len(x))))
				x = append(x, value)
			}
		}
		drawn, err := New(b)
		require.NoError(t, err)
		assert.Equal(t, result(fixed), result(drawn, x...))
		// Each drawn alone, after a row in which it was different.
		for _, p := range Parameters(&l) {
			alone := testBinding(t, l, stiff)
			at := alone.Instances(p.Key)[0]
			value := alone.sources[alone.slot(p.Key, at)].Value
			if value == 0 && p.Zero != "" {
				continue
			}
			require.NoError(t, alone.Set(p.Key, at.Edge, at.Face, FromColumn(0)))
			m, err := New(alone)
			require.NoError(t, err)
			y := columnsOf(len(m.Outputs()), 2)
			m.Evaluate([][]float64{{min(value*1.01+1e-9, p.High), value}}, y)
			for j, o := range m.Outputs() {
				assert.Equal(t, result(fixed)[o.Name], y[j][1], "%s with %s drawn", o.Name, p.Key)
			}
		}
	}
}

// Rows are worked on together in blocks and are what each is alone: more
// than go together, with misfits and loose clamps among them, and a coat that changes.
func TestRowsTogetherAreRowsAlone(t *testing.T) {
	for _, family := range families {
		b := testBinding(t, testLayout(family, 5), anodised())
		for i, key := range []string{"screw.torque", "slot.width", "rail.coat.conductivity"} {
			require.NoError(t, b.Set(key, -1, -1, FromColumn(i)))
		}
		m, err := New(b)
		require.NoError(t, err)
		const rows = 2*lanes.Count + 5
		x, y := columnsOf(3, rows), columnsOf(len(m.Outputs()), rows)
		for r := range rows {
			x[0][r], x[1][r], x[2][r] = 0.2*float64(r%4), 8.3e-3, 1+0.1*float64(r)
			if r%5 == 0 {
				x[1][r] = 7e-3
			}
		}
		m.Evaluate(x, y)
		clamped := 0
		for r := range rows {
			alone := result(m, x[0][r], x[1][r], x[2][r])
			for j, o := range m.Outputs() {
				assert.Equal(t, alone[o.Name], y[j][r], "%s of row %d", o.Name, r)
			}
			if alone["edge.hotter"] < 1000 {
				clamped++
			}
		}
		assert.True(t, clamped > rows/3 && clamped < rows-rows/8, "%d rows of %d are clamped", clamped, rows)
		isMechanicallyTheSame(t, m, x, y)
	}
}

// isMechanicallyTheSame holds what needs no faces against the outputs y of whole cards, to the last bit, and
// these against themselves once more, since both models share their scratch.
func isMechanicallyTheSame(t require.TestingT, m *Model, x, y [][]float64) {
	names := []string{"utilisation.holding", "fit.preload", "event.outside_range"}
	part := m.Mechanical(names...)
	found, again := columnsOf(len(part.Outputs()), len(y[0])), columnsOf(len(y), len(y[0]))
	part.Evaluate(x, found)
	m.Evaluate(x, again)
	assert.Equal(t, y, again)
	for j, o := range part.Outputs() {
		assert.Equal(t, y[slices.Index(m.Outputs(), o)], found[j], o.Name)
		names = slices.DeleteFunc(names, func(name string) bool { return name == o.Name })
	}
	assert.Empty(t, names, "asked for")
	for _, needs := range []string{"edge.spot", "share.direct", "utilisation.bearing", "event.over_yield"} {
		assert.Nil(t, m.Mechanical("fit.travel", needs), needs)
	}
}

// Every input reaches some output, raised or lowered, but for those that only
// the worst face decides.
func TestEveryInputMatters(t *testing.T) {
	for _, family := range families {
		l := testLayout(family, 5)
		loose := map[string]float64{
			"gas.pressure": 9e4, "gas.accommodation": 0.85, "face.direct.bow": 2e-4, "flange.thickness": 12e-3, "rail.thickness": 0.05, "slot.width": 18.3e-3,
			"face.direct.flatness": 2e-6, "face.direct.flatness_across": 0.1, "face.direct.flatness_waves": 0.4, "face.direct.wave_count": 20,
			"flange.slope": 0.1, "clamp.slope": 0.1, "rail.slope": 0.1,
			"screw.expansion": 17.2e-6, "screw.modulus": 193e9, "screw.assembly_temperature": 293.15,
			"clamp.expansion": 23.6e-6, "clamp.screw_train_area": 30e-6,
		}
		maps.Copy(loose, anodised())
		for _, body := range []string{"clamp", "flange", "rail"} {
			loose[body+".coat.thickness"] = 1e-6 // so thin that the metal's hardness counts
		}
		base := result(testModel(t, l, loose))
		idle := map[string]bool{}
		for _, p := range Parameters(&l) {
			b := testBinding(t, l, loose)
			for _, at := range b.Instances(p.Key) {
				old := b.sources[b.slot(p.Key, at)]
				matters := false
				for _, v := range []float64{min(old.Value*1.05+1e-6*p.High, p.High), max(old.Value*0.95, p.Low)} {
					require.NoError(t, b.Set(p.Key, at.Edge, at.Face, Constant(v)))
					m, err := New(b)
					require.NoError(t, err)
					matters = matters || !assert.ObjectsAreEqual(base, result(m))
				}
				if !matters {
					idle[p.Key] = true
				}
				require.NoError(t, b.Set(p.Key, at.Edge, at.Face, old))
			}
		}
		assert.Equal(t, map[string]bool{
			"gas.altitude": true,                                           // a pressure is given
			"clamp.yield":  true, "flange.yield": true, "rail.yield": true, // nothing is near
			"flange.allowable": true, "rail.allowable": true, // the ramps bear most
		}, idle)
	}
}

func TestOutsideRangeIsMovedAndCounted(t *testing.T) {
	b := testBinding(t, testLayout(TwoFace, 5))
	require.NoError(t, b.Set("face.direct.crown", -1, -1, FromColumn(0)))
	m, err := New(b)
	require.NoError(t, err)
	for end, beyond := range map[float64][]float64{0: {-1e-6, math.NaN(), math.Inf(-1)}, 1e-3: {1.1e-3, math.Inf(1)}} {
		inside := result(m, end)
		assert.Zero(t, inside["event.outside_range"])
		for _, v := range beyond {
			moved := result(m, v)
			assert.Equal(t, 1.0, moved["event.outside_range"])
			assert.Equal(t, inside["edge.left"], moved["edge.left"], "%v is moved to %v", v, end)
		}
	}
}

func TestTraceIsTheSameComputation(t *testing.T) {
	for _, family := range families {
		b := testBinding(t, testLayout(family, 5))
		require.NoError(t, b.Set("screw.torque", 0, -1, FromColumn(0)))
		m, err := New(b)
		require.NoError(t, err)
		trace := m.Trace([]float64{0.5})
		for _, o := range trace.Outputs {
			assert.Equal(t, result(m, 0.5)[o.Name], o.Value, o.Name)
		}
		left := trace.Edges[0]
		outward, _ := left.Train.FaceForce()
		assert.Equal(t, result(m, 0.5)["force.face.left"], outward)
		total := 0.0
		for _, f := range left.Faces {
			if strings.HasPrefix(f.Name, "direct") {
				total += f.Heat
			}
			assert.Positive(t, f.Joined, f.Name)
		}
		assert.InEpsilon(t, left.Paths[lowerRail].Heat, total, 1e-10)
		assert.Contains(t, trace.Inputs, InputValue{"screw.torque", "left", "N*m", 0.5})
		assert.Contains(t, trace.Inputs, InputValue{"screw.torque", "right", "N*m", 0.7})
	}
}

func TestEvaluateAllocatesNothingPerRow(t *testing.T) {
	b := testBinding(t, testLayout(FourFace, 5))
	for i, key := range []string{"screw.torque", "gas.altitude", "rail.roughness", "slot.width"} {
		require.NoError(t, b.Set(key, -1, -1, FromColumn(i)))
	}
	m, err := New(b)
	require.NoError(t, err)
	const rows = 1000
	x, y := columnsOf(4, rows), columnsOf(len(m.Outputs()), rows)
	for r := range rows {
		x[0][r], x[1][r], x[2][r], x[3][r] = 0.7, 10*float64(r), 1e-6, 8.3e-3+0.9e-3*float64(r%2)
	}
	// A new state for each batch at the worst, some fifty allocations: the collector empties the pool, and
	// under the race detector a pool forgets at random what it was given. One for a row would be a thousand.
	assert.Less(t, testing.AllocsPerRun(20, func() { m.Evaluate(x, y) }), rows/10.0)
}

func TestConcurrentEvaluation(t *testing.T) {
	b := testBinding(t, testLayout(TwoFace, 5))
	require.NoError(t, b.Set("screw.torque", -1, -1, FromColumn(0)))
	m, err := New(b)
	require.NoError(t, err)
	var group sync.WaitGroup
	for worker := range 8 {
		group.Go(func() {
			torque := 0.3 + 0.1*float64(worker)
			want := result(m, torque)
			for range 50 {
				assert.Equal(t, want, result(m, torque))
			}
		})
	}
	group.Wait()
}

func TestEvaluatePanicsOnWrongShape(t *testing.T) {
	b := testBinding(t, testLayout(TwoFace, 3))
	require.NoError(t, b.Set("screw.torque", -1, -1, FromColumn(2)))
	m, err := New(b)
	require.NoError(t, err)
	assert.Equal(t, 3, m.Columns())
	assert.Panics(t, func() { m.Evaluate(columnsOf(2, 1), columnsOf(len(m.Outputs()), 1)) })
	assert.Panics(t, func() { m.Evaluate(columnsOf(3, 1), columnsOf(1, 1)) })
	assert.Panics(t, func() { m.Trace([]float64{1}) })
}
