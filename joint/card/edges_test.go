package card

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"clampodds/joint/force"
	"clampodds/joint/network"
)

// other swaps the names of the edges.
var other = strings.NewReplacer("left", "right", "right", "left")

// A card whose edges, places and walls are swapped is the card in a mirror.
func TestMirroredCard(t *testing.T) {
	for _, family := range families {
		l := testLayout(family, 5)
		places := map[string]float64{"card.place": 0.35, "component.fpga.place": 0.9}
		card, mirror := testBinding(t, l, places), testBinding(t, l, map[string]float64{"card.place": 0.65, "component.fpga.place": 0.1})
		for key, v := range map[string][2]float64{
			"wall.temperature": {320, 326}, "wall.rise": {4, -7}, "screw.torque": {0.5, 0.9}, "card.frame_resistance": {0.15, 0.3}, "wall.lower_resistance": {0.05, 0.08},
		} {
			for e := range edges {
				require.NoError(t, card.Set(key, e, -1, Constant(v[e])))
				require.NoError(t, mirror.Set(key, 1-e, -1, Constant(v[e])))
			}
		}
		out, mirrored := solved(t, card), solved(t, mirror)
		assert.Greater(t, math.Abs(out["edge.left"]-out["edge.right"]), 0.5)
		for name, v := range out {
			// The nodes are eliminated in another order: roundings only.
			assert.InDelta(t, v, mirrored[other.Replace(name)], 1e-12*math.Abs(v), name)
		}
	}
}

// The same at both edges one by one is the same as at both at once, to the bit.
func TestBothEdgesOneByOne(t *testing.T) {
	l := testLayout(FourFace, 7)
	at, apart := testBinding(t, l), testBinding(t, l)
	for _, p := range Parameters(&l) {
		for _, at := range apart.Instances(p.Key) {
			require.NoError(t, apart.Set(p.Key, at.Edge, at.Face, apart.sources[apart.slot(p.Key, at)]))
		}
	}
	require.NoError(t, apart.Set("wall.rise", 0, -1, Constant(0)))
	require.NoError(t, apart.Set("component.fpga.place", -1, -1, Constant(0.5)))
	assert.Equal(t, solved(t, at), solved(t, apart))
}

// resistor is one of the network that a test builds for itself.
type resistor struct {
	from, to    string // "wall" for the reference
	conductance float64
}

// solve gives the temperatures over the reference with heat put in at nodes.
func solve(t *testing.T, resistors []resistor, heat map[string]float64) map[string]float64 {
	b := &network.Builder{}
	index := map[string]int{}
	node := func(name string) int {
		if _, ok := index[name]; !ok {
			index[name] = b.Node(name)
		}
		return index[name]
	}
	var g []float64
	for _, r := range resistors {
		if r.to == "wall" {
			b.Ground(node(r.from))
		} else {
			b.Link(node(r.from), node(r.to))
		}
		g = append(g, r.conductance)
	}
	n, err := b.Compile()
	require.NoError(t, err)
	source := make([]float64, n.Nodes())
	for name, q := range heat {
		source[index[name]] = q
	}
	temperature := n.Solve(g, source)
	out := map[string]float64{}
	for name, i := range index {
		out[name] = temperature[i]
	}
	return out
}

// The card's heat and two components at places of their own, against a network in
// which every strip of the frame is cut where heat enters it.
func TestHeatAtAPlaceAgainstACutBar(t *testing.T) {
	const pieces, wall = 5, 323.15
	l := testLayout(TwoFace, pieces)
	l.Components = []string{"near", "far"}
	places := map[string]float64{"card": 0.3, "near": 0.15, "far": 0.85}
	power := map[string]float64{"card": 30, "near": 25, "far": 45}
	changes := map[string]float64{"card.power": power["card"], "card.place": places["card"]}
	for _, name := range l.Components {
		changes["component."+name+".power"], changes["component."+name+".resistance"] = power[name], 0.5
		changes["component."+name+".place"] = places[name]
	}
	b := testBinding(t, l, changes)
	frame := [edges]float64{0.2, 0.35}
	for e := range edges {
		require.NoError(t, b.Set("card.frame_resistance", e, -1, Constant(frame[e])))
	}
	m, err := New(b)
	require.NoError(t, err)
	trace := m.Trace(nil)

	var cut []resistor
	for _, link := range trace.Links {
		if link.From != "card" && link.To != "card" {
			cut = append(cut, resistor{link.From, link.To, link.Conductance})
		}
	}
	heat := map[string]float64{}
	strip := func(edge string, resistance float64, i int, stops ...string) {
		at, last := "card", 0.0
		for _, stop := range append(stops, "") {
			next, out := edge+"/flange/"+fmt.Sprint(i), 1.0
			if stop != "" {
				next, out = fmt.Sprintf("%s/%d", stop, i), 2*math.Abs(places[stop]-0.5)
				heat[next] = power[stop] / pieces
			}
			cut = append(cut, resistor{at, next, 1 / (pieces * resistance * (out - last))})
			at, last = next, out
		}
	}
	for i := 1; i <= pieces; i++ {
		strip("left", frame[0], i, "card", "near")
		strip("right", frame[1], i, "far")
	}
	want := solve(t, cut, heat)
	mean := func(name string) float64 {
		sum := 0.0
		for i := 1; i <= pieces; i++ {
			sum += want[fmt.Sprintf("%s/%d", name, i)]
		}
		return sum / pieces
	}
	out := result(m)
	for _, edge := range []string{"left", "right"} {
		assert.InEpsilon(t, mean(edge+"/flange"), out["edge."+edge]-wall, 1e-10)
	}
	for _, name := range l.Components {
		assert.InEpsilon(t, mean(name)+0.5*power[name], out["component."+name]-wall, 1e-10, name)
	}
	assert.InEpsilon(t, 100, trace.Leaving, 1e-10)
}

// By hand: a bar of 2R between two joints J, the heat at a quarter of it. The edge
// that carries heat along without a drop makes J one number.
func TestHeatAtAQuarterByHand(t *testing.T) {
	const r, q, wall = 0.2, 20.0, 323.15
	at := map[string]float64{"card.power": 0, "flange.frame_width": 0.5, "flange.conductivity": 3000, "component.fpga.place": 0.25}
	out := result(testModel(t, testLayout(TwoFace, 5), at))
	j := out["resistance.left"]
	left, right := j+0.5*r, j+1.5*r
	assert.InEpsilon(t, j, out["resistance.right"], 1e-3) // the flange's own drop, J is alike to that
	assert.InEpsilon(t, q*right/(left+right)*j, out["edge.left"]-wall, 1e-3)
	assert.InEpsilon(t, q*left/(left+right)*j, out["edge.right"]-wall, 1e-3)
	assert.InEpsilon(t, q*(left*right/(left+right)+0.5), out["component.fpga"]-wall, 1e-3)
}

// At the edge itself and in the middle, and from either side of the middle.
func TestEndsOfThePlace(t *testing.T) {
	at := func(place float64) map[string]float64 {
		return result(testModel(t, testLayout(TwoFace, 5), map[string]float64{"component.fpga.place": place}))
	}
	middle := at(0.5)
	for _, near := range []float64{0.5 - 1e-9, 0.5 + 1e-9} {
		for name, v := range at(near) {
			assert.InDelta(t, middle[name], v, 1e-6*math.Max(1, math.Abs(v)), name)
		}
	}
	edge := at(0)
	assert.InDelta(t, edge["edge.left"]+20*0.5, edge["component.fpga"], 1e-9, "on the edge the frame is no way")
}

// Walls of 320 and 330 K with no heat: the card lies between them, by symmetry.
func TestUnlikeWalls(t *testing.T) {
	b := testBinding(t, testLayout(FourFace, 5), map[string]float64{"card.power": 0, "component.fpga.power": 0})
	require.NoError(t, b.Set("wall.temperature", 0, -1, Constant(320)))
	require.NoError(t, b.Set("wall.temperature", 1, -1, Constant(330)))
	m, err := New(b)
	require.NoError(t, err)
	trace, out := m.Trace(nil), result(m)
	assert.InDelta(t, 325, out["component.fpga"], 1e-10)
	assert.InDelta(t, 650, out["edge.left"]+out["edge.right"], 1e-10)
	assert.InDelta(t, 0, trace.Leaving, 1e-9)
	heat := 0.0
	for _, p := range trace.Edges[0].Paths {
		heat += p.Heat
	}
	assert.InEpsilon(t, 10/(2*(out["resistance.left"]+0.2)), heat, 1e-10, "through both joints and the frame")
	assert.Equal(t, math.Inf(1), out["resistance.right"], "no heat leaves by the warmer edge")
}

// Both walls warmer by the same are a card warmer by the same.
func TestWarmerWallsWarmTheCard(t *testing.T) {
	l := testLayout(TwoFace, 5)
	cold, warm := result(testModel(t, l)), result(testModel(t, l, map[string]float64{"wall.temperature": 330.15}))
	assert.InDelta(t, cold["edge.spot"]+7, warm["edge.spot"], 1e-10)
	assert.InDelta(t, cold["share.direct"], warm["share.direct"], 1e-12)
}

// Coolant that warms along the edge: nothing without a rise, the mean where the wall
// takes the heat badly, each piece at its own coolant where it takes it well, the
// other way round with the other sign.
func TestWallRise(t *testing.T) {
	l := testLayout(TwoFace, 5)
	l.Anchor = force.Centre // forces symmetric along the train
	rising := func(k float64, more ...map[string]float64) Trace {
		return testModel(t, l, append(more, map[string]float64{"wall.rise": k})...).Trace(nil)
	}
	flange := func(trace Trace, i int) float64 { return trace.node(t, fmt.Sprintf("left/flange/%d", i)) }
	none, up, down := rising(0), rising(8), rising(-8)
	assert.Equal(t, testModel(t, l).Trace(nil).Outputs, none.Outputs)
	for i := 1; i <= 5; i++ {
		assert.InDelta(t, flange(up, i), flange(down, 6-i), 1e-10, "mirrored along the edge")
	}
	along := (flange(up, 5) - flange(none, 5)) - (flange(up, 1) - flange(none, 1))
	assert.Greater(t, along, 1.0)
	assert.Less(t, along, 8.0)
	assert.InEpsilon(t, up.Heat, up.Leaving, 1e-10)
	assert.InDelta(t, none.Outputs[edgeLeft].Value+4, up.Outputs[edgeLeft].Value, 1e-6, "symmetric: the mean coolant")

	// A wall that takes the heat badly is as warm as the mean of its coolant over its faces.
	bad := map[string]float64{"wall.lower_resistance": 1000, "wall.upper_resistance": 1000}
	assert.InDelta(t, flange(rising(0, bad), 5)+4, flange(rising(8, bad), 5), 0.01)

	// One that takes it well is no node at all.
	good := rising(8, map[string]float64{"wall.lower_resistance": 1e-6, "wall.upper_resistance": 1e-6})
	var direct []resistor
	heat := map[string]float64{"card": 80, "component/fpga": 20}
	for _, link := range good.Links {
		switch {
		case link.To == "wall":
		case strings.HasSuffix(link.To, "_rail"):
			direct = append(direct, resistor{link.From, "wall", link.Conductance})
			var i float64
			_, err := fmt.Sscanf(link.From[strings.LastIndex(link.From, "/")+1:], "%g", &i)
			require.NoError(t, err)
			heat[link.From] = link.Conductance * 8 * (i - 1) / 4
		default:
			direct = append(direct, resistor{link.From, link.To, link.Conductance})
		}
	}
	for name, v := range solve(t, direct, heat) {
		if !strings.HasPrefix(name, "component") {
			assert.InDelta(t, v, good.node(t, name)-323.15, 1e-3, name) // 100 W on 1e-6 K/W
		}
	}
}

// The heat that the trace shows balances at every node, and each face carries what
// the temperatures of its ends make it carry.
func TestHeatOfARisingWallBalances(t *testing.T) {
	b := testBinding(t, testLayout(FourFace, 5), map[string]float64{"wall.rise": 10})
	require.NoError(t, b.Set("wall.temperature", 1, -1, Constant(331)))
	m, err := New(b)
	require.NoError(t, err)
	trace := m.Trace(nil)
	balance := map[string]float64{"card": 80, "component/fpga": 20}
	for _, link := range trace.Links {
		balance[link.From] -= link.Heat
		balance[link.To] += link.Heat
	}
	assert.InDelta(t, 100, balance["wall"], 1e-8)
	delete(balance, "wall")
	for node, q := range balance {
		assert.InDelta(t, 0, q, 1e-8, node)
	}
	for _, link := range trace.Links {
		if link.To != "wall" && !strings.HasSuffix(link.To, "_rail") && !strings.HasSuffix(link.To, "_wall") {
			assert.InDelta(t, link.Conductance*(trace.node(t, link.From)-trace.node(t, link.To)), link.Heat, 1e-8)
		}
	}
	for e, name := range []string{"left", "right"} {
		link := trace.Links[m.wiring.edges[e].walls[lowerRail].element]
		wall := m.inputs[m.edgeSlot(e, wallTemperature)]
		assert.InDelta(t, link.Conductance*(trace.node(t, name+"/lower_rail")-wall-trace.meanRise(m, e, 10)), link.Heat, 1e-8, "the rail against its coolant")
	}
}

// meanRise is the coolant's rise under the lower rail, mean over its faces.
func (tr *Trace) meanRise(m *Model, e int, all float64) float64 {
	sum, weighted := 0.0, 0.0
	for i, f := range m.faces {
		if f.kind == direct {
			g := tr.Links[m.wiring.edges[e].faces[i]].Conductance
			sum, weighted = sum+g, weighted+g*all*float64(f.position-1)/float64(m.layout.Pieces-1)
		}
	}
	return weighted / sum
}

// What is hotter never cools anything: more heat at any place, a warmer wall at one
// edge, coolant that warms more.
func TestHotterNeverCools(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawPractice(t, testLayout(rapid.SampledFrom(families).Draw(t, "family"), 5))
		for _, key := range []string{"card.place", "component.fpga.place"} {
			require.NoError(t, b.Set(key, -1, -1, Constant(rapid.Float64Range(0, 1).Draw(t, key))))
		}
		for e := range edges {
			require.NoError(t, b.Set("wall.temperature", e, -1, Constant(rapid.Float64Range(300, 330).Draw(t, "wall"))))
			require.NoError(t, b.Set("wall.rise", e, -1, Constant(rapid.Float64Range(-20, 20).Draw(t, "rise"))))
		}
		key := rapid.SampledFrom([]string{"card.power", "component.fpga.power", "wall.temperature", "wall.rise"}).Draw(t, "key")
		at := rapid.SampledFrom(b.Instances(key)).Draw(t, "at")
		before := solved(t, b)
		old, more := b.sources[b.slot(key, at)].Value, rapid.Float64Range(0, 10).Draw(t, "more")
		require.NoError(t, b.Set(key, at.Edge, at.Face, Constant(old+math.Copysign(more, old))))
		for name, v := range solved(t, b) {
			if strings.HasPrefix(name, "edge.") || strings.HasPrefix(name, "component.") {
				assert.GreaterOrEqual(t, v, before[name]-1e-9, name) // roundings
			}
		}
	})
}
