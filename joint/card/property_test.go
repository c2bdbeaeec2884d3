package card

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"clampodds/joint/contact"
	"clampodds/joint/force"
	_ "clampodds/testdata/fixedseed"
)

// drawLayout draws any layout.
func drawLayout(t *rapid.T) Layout {
	l := testLayout(rapid.SampledFrom(families).Draw(t, "family"), 3+2*rapid.IntRange(0, 3).Draw(t, "pairs"))
	l.Anchor = rapid.SampledFrom([]force.Anchor{force.End, force.Centre}).Draw(t, "anchor")
	l.Gas = rapid.SampledFrom([]contact.Gas{contact.Air, contact.Helium, contact.Nitrogen, contact.Vacuum}).Draw(t, "gas")
	return l
}

// drawBinding draws every instance of every input over its whole range, evenly
// in the logarithm where the range has one, its ends and zero included.
func drawBinding(t *rapid.T, l Layout) *Binding {
	b, err := NewBinding(&l)
	require.NoError(t, err)
	mismatch, judged := rapid.Bool().Draw(t, "mismatch"), rapid.Bool().Draw(t, "judged")
	for _, p := range Parameters(&l) {
		for _, at := range b.Instances(p.Key) {
			if p.Zero == noMismatch && !mismatch || p.Zero == notJudged && !judged {
				continue
			}
			require.NoError(t, b.Set(p.Key, at.Edge, at.Face, Constant(drawValue(t, p))))
		}
	}
	if rapid.Bool().Draw(t, "seated") {
		seat(t, b)
	}
	if rapid.Bool().Draw(t, "walls alike") {
		require.NoError(t, b.Set("wall.temperature", -1, -1, Constant(300)))
		require.NoError(t, b.Set("wall.rise", -1, -1, Constant(0)))
	}
	return b
}

func drawValue(t *rapid.T, p Parameter) float64 {
	switch at := rapid.Float64Range(-0.1, 1.1).Draw(t, p.Key); {
	case at <= 0:
		return p.Low
	case at >= 1:
		return p.High
	case p.Low > 0:
		return min(p.High, p.Low*math.Exp(at*math.Log(p.High/p.Low)))
	case p.Low == 0 && rapid.Bool().Draw(t, "small"):
		return p.High * math.Exp(-12*at)
	default:
		return p.Low + at*(p.High-p.Low)
	}
}

// seat gives both edges a slot that the clamp fits.
func seat(t *rapid.T, b *Binding) {
	for e := range edges {
		value := func(key string) float64 { return b.sources[b.slot(key, Instance{Edge: e, Name: edgeName(e)})].Value }
		room := min(value("clamp.travel"), value("clamp.height"))
		width := value("flange.thickness") + value("clamp.height") + room*rapid.Float64Range(0, 1).Draw(t, "expansion")
		require.NoError(t, b.Set("slot.width", e, -1, Constant(width)))
	}
}

// Over the whole range of valid inputs nothing is NaN, and infinite only where
// Outputs says so; conductances are not negative and the heat balances.
func TestWholeRange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, err := New(drawBinding(t, drawLayout(t)))
		require.NoError(t, err)
		trace := m.Trace(nil)
		loose := len(trace.Nodes) == 0
		for _, o := range trace.Outputs {
			allowed := o.Name == "utilisation.holding" || strings.HasPrefix(o.Name, "resistance.") ||
				loose && (strings.HasPrefix(o.Name, "edge.") || strings.HasPrefix(o.Name, "component."))
			assert.False(t, math.IsNaN(o.Value) || math.IsInf(o.Value, -1) || math.IsInf(o.Value, 1) && !allowed, "%s %g", o.Name, o.Value)
			if o.Bin == 0 {
				assert.Contains(t, []float64{0, 1}, o.Value, o.Name)
			}
		}
		if loose {
			return
		}
		assert.InDelta(t, trace.Heat, trace.Leaving, 1e-10*trace.Heat+1e-13*passing(&trace))
		for _, link := range trace.Links {
			assert.True(t, link.Conductance >= 0 && !math.IsInf(link.Conductance, 1), "%s to %s: %g", link.From, link.To, link.Conductance)
		}
		for _, n := range trace.Nodes {
			assert.GreaterOrEqual(t, n.Temperature, 150.0, n.Name)
		}
	})
}

// passing is what walls of unlike temperature pass through the card, W, at most: their
// heat is a difference that the balance cannot know better than to some roundings of
// it, 1e-16 each. It is 0 where the walls are alike.
func passing(trace *Trace) (heat float64) {
	walls := []float64{}
	for _, in := range trace.Inputs {
		if in.Key == "wall.temperature" || in.Key == "wall.rise" {
			walls = append(walls, in.Value)
		}
	}
	apart := math.Abs(walls[0]-walls[1]) + math.Abs(walls[2]) + math.Abs(walls[3])
	for _, link := range trace.Links {
		if link.To == "wall" {
			heat += link.Conductance * apart
		}
	}
	return heat
}

// drawPractice draws a card within a factor of two of practice.
func drawPractice(t *rapid.T, l Layout) *Binding {
	b := testBinding(t, l)
	for _, p := range Parameters(&l) {
		switch p.Key {
		case "slot.width", "clamp.height", "flange.thickness", "clamp.travel", "wall.temperature", "joint.temperature",
			"card.place", "component.fpga.place": // heat nearer to an edge may be led past it to the middle
			continue
		}
		for _, at := range b.Instances(p.Key) {
			old := b.sources[b.slot(p.Key, at)].Value
			v := old * rapid.Float64Range(0.5, 1.5).Draw(t, p.Key)
			if p.allows(v) {
				require.NoError(t, b.Set(p.Key, at.Edge, at.Face, Constant(v)))
			}
		}
	}
	return b
}

// improvements are inputs and the direction in which every conductance of the
// network grows or stays.
var improvements = map[string]float64{
	"contact.factor": 1, "contact.face_factor": 1, "face.direct.film": -1, "face.piece.film": -1, "face.upper.film": -1, "face.ramp.film": -1,
	"wall.lower_resistance": -1, "wall.upper_resistance": -1, "flange.frame_width": 1, "card.frame_resistance": -1,
	"clamp.conductivity": 1, "flange.conductivity": 1, "rail.conductivity": 1,
}

// Rayleigh: one conductance that grows, at one place, never heats the card; at
// both edges of a card with equal edges, never heats an edge. The exception is
// the frame's own resistance, which the edge lies behind.
func TestBetterConductionCools(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := testLayout(rapid.SampledFrom(families).Draw(t, "family"), 5)
		b := drawPractice(t, l)
		key := rapid.SampledFrom(sortedKeys(improvements)).Draw(t, "key")
		at := rapid.SampledFrom(b.Instances(key)).Draw(t, "at")
		before := solved(t, b)
		improve(t, b, key, at.Edge, at.Face)
		// A rounding of the temperature; component.fpga is the card plus a constant.
		assert.LessOrEqual(t, solved(t, b)["component.fpga"], before["component.fpga"]+1e-10)

		even := testBinding(t, l)
		for _, p := range Parameters(&l) {
			for _, at := range b.Instances(p.Key) {
				if at.Edge == 0 {
					require.NoError(t, even.Set(p.Key, -1, at.Face, b.sources[b.slot(p.Key, at)]))
				}
			}
		}
		before = solved(t, even)
		improve(t, even, key, -1, at.Face)
		assert.LessOrEqual(t, solved(t, even)["edge.hotter"], before["edge.hotter"]+1e-10)
	})
}

func sortedKeys(m map[string]float64) (keys []string) {
	for _, p := range Parameters(&Layout{Family: FourFace, Pieces: 5}) {
		if m[p.Key] != 0 {
			keys = append(keys, p.Key)
		}
	}
	return keys
}

// improve moves an input by up to a factor of two in its good direction.
func improve(t *rapid.T, b *Binding, key string, edge, faceIndex int) {
	factor := math.Pow(rapid.Float64Range(1, 2).Draw(t, "factor"), improvements[key])
	for _, at := range b.Instances(key) {
		if (edge < 0 || edge == at.Edge) && faceIndex == at.Face {
			old := b.sources[b.slot(key, at)].Value
			require.NoError(t, b.Set(key, at.Edge, at.Face, Constant(old*factor)))
		}
	}
}

func solved(t require.TestingT, b *Binding) map[string]float64 {
	m, err := New(b)
	require.NoError(t, err)
	return result(m)
}

// More torque gives no less force on any face.
func TestMoreTorqueMoreForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawPractice(t, drawLayout(t))
		require.NoError(t, b.Set("screw.torque", -1, -1, FromColumn(0)))
		m, err := New(b)
		require.NoError(t, err)
		torque := rapid.Float64Range(0, 2).Draw(t, "torque")
		less, more := m.Trace([]float64{torque}), m.Trace([]float64{torque + rapid.Float64Range(0, 1).Draw(t, "more")})
		for e := range edges {
			assert.GreaterOrEqual(t, more.Edges[e].AxialForce, less.Edges[e].AxialForce)
			for i, f := range less.Edges[e].Faces {
				assert.GreaterOrEqual(t, more.Edges[e].Faces[i].Force, f.Force*(1-1e-14), f.Name)
			}
		}
	})
}
