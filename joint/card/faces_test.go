package card

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/joint/contact"
	"clampodds/joint/force"
)

// The direct faces cover the flange once, however the load cones overlap.
func TestDirectFacesCoverTheFlange(t *testing.T) {
	for _, thickness := range []float64{0.5e-3, 2e-3, 7e-3, 12e-3} {
		for _, pieces := range []int{3, 5, 9} {
			m := testModel(t, testLayout(TwoFace, pieces), map[string]float64{"flange.thickness": thickness, "slot.width": thickness + 6.3e-3})
			sum := 0.0
			for _, f := range m.Trace(nil).Edges[0].Faces {
				if strings.HasPrefix(f.Name, "direct") {
					assert.GreaterOrEqual(t, f.Length, 0.0)
					sum += f.Length
				}
			}
			assert.InEpsilon(t, 0.13, sum, 1e-14)
		}
	}
}

// The count that places the blocks is that of the list, and a binding has the rows that
// Parameters lists, in its order, each in slots of its own.
func TestSlotsAreThoseOfTheList(t *testing.T) {
	for _, family := range []Family{TwoFace, FourFace} {
		for _, pieces := range []int{3, 5, force.MaxPieces} {
			l := testLayout(family, pieces)
			assert.Len(t, l.faces(), l.faceCount())
			b, err := NewBinding(&l)
			require.NoError(t, err)
			taken, listed := map[int]string{}, Parameters(&l)
			require.Len(t, b.rows, len(listed))
			for i, r := range b.rows {
				assert.Equal(t, listed[i].Key, r.Key)
				for _, slot := range r.slots {
					assert.Empty(t, taken[slot], "slot %d of %s", slot, r.Key)
					taken[slot] = r.Key
					assert.Less(t, slot, len(b.sources))
				}
			}
		}
	}
}

// Where each kind of face is, what presses on it and what metal lies behind it,
// on a clamp whose width and height differ; a property of one face goes there.
func TestFacesOfTheFourFaceClamp(t *testing.T) {
	b := testBinding(t, testLayout(FourFace, 5), map[string]float64{"clamp.width": 8e-3, "clamp.height": 5e-3, "slot.width": 7.3e-3, "clamp.skew": 0.6})
	require.NoError(t, b.Set("face.upper.crown", 0, 1, Constant(7e-6)))
	require.NoError(t, b.Set("face.upper.taper", 1, 0, Constant(3e-6)))
	m, err := New(b)
	require.NoError(t, err)
	const length = 0.13 / 5
	for e, edge := range m.Trace(nil).Edges {
		seen := map[string]int{}
		for i, f := range edge.Faces {
			kind, position := m.faces[i].kind, m.faces[i].position
			seen[kind.String()]++
			normal := edge.Train.Normal[position-1]
			crown, taper := 5e-6, 0.0
			wantLength, wantWidth, force, bodies := length, 8e-3, normal*math.Cos(0.6), 5e-3/(3*167*length*8e-3)
			switch kind {
			case direct:
				taper, bodies = 5e-6, 0
				wantLength = []float64{length + 2e-3, length - 4e-3, length + 4e-3, length - 4e-3, length + 2e-3}[position-1]
				if position%2 == 0 {
					force = 0
				}
			case upper:
				taper = 5e-6
				if e == 0 && position == 4 {
					crown = 7e-6
				}
				if e == 1 && position == 2 {
					taper = 3e-6
				}
			case side, rib:
				wantWidth, force, bodies = 5e-3, normal*math.Sin(0.6), 8e-3/(3*167*length*5e-3)
			case ramp:
				wantLength, force = 4.7e-3*math.Sqrt2, edge.Train.RampNormal[position-1]
				// The bodies are in TestThreePiecesByHand.
			}
			assert.InEpsilon(t, wantLength, f.Length, 1e-12, f.Name)
			assert.Equal(t, []float64{wantWidth, crown, taper}, []float64{f.Width, f.Crown, f.Taper}, f.Name)
			assert.InDelta(t, force, f.Force, 1e-12*normal+1e-12*force, f.Name)
			if kind != ramp {
				assert.InDelta(t, bodies, f.Bodies, 1e-12, f.Name)
			}
		}
		assert.Equal(t, map[string]int{"direct": 5, "piece": 3, "upper": 2, "ramp": 4, "side": 3, "rib": 2}, seen)
	}
}

// Each limit by hand, on unequal edges.
func TestUtilisations(t *testing.T) {
	l := testLayout(FourFace, 5)
	b := testBinding(t, l, map[string]float64{"clamp.skew": 0.6, "screw.prevailing_torque": 0.1})
	require.NoError(t, b.Set("friction.wall", 1, -1, Constant(0.2)))
	require.NoError(t, b.Set("screw.torque", 1, -1, Constant(0.9)))
	m, err := New(b)
	require.NoError(t, err)
	out, trace := result(m), m.Trace(nil)
	left, right := trace.Edges[0], trace.Edges[1]
	grip := func(e EdgeTrace) float64 { // lower rail, upper rail, side wall
		outward, sideways := e.Train.FaceForce()
		return outward + outward + sideways
	}
	assert.InEpsilon(t, 0.6*400/(0.15*grip(left)+0.2*grip(right)), out["utilisation.holding"], 1e-12)
	assert.InEpsilon(t, right.TightenedForce*0.9, right.AxialForce, 1e-12)
	assert.InEpsilon(t, force.ScrewUtilisation(right.TightenedForce, right.ThreadTorque, 450e6, &l.Thread), out["utilisation.screw"], 1e-12)
	assert.InEpsilon(t, right.TightenedForce/(5e-3*200e6*l.Thread.NutShearArea()), out["utilisation.stripping"], 1e-12)
	net := 0.9 - 0.1
	assert.InEpsilon(t, right.TightenedForce*0.15*4.235e-3/2, net-(right.ThreadTorque-0.1), 1e-12, "what the head does not take twists the screw")
}

// touching are the bodies of each kind of face.
var touching = map[faceKind][2]string{
	direct: {"flange", "rail"}, piece: {"flange", "clamp"}, rib: {"flange", "clamp"}, upper: {"clamp", "rail"}, side: {"clamp", "rail"}, ramp: {"clamp", "clamp"},
}

func TestBodiesMeetWhereTheyTouch(t *testing.T) {
	body := map[string]contact.Body{
		"clamp":  {Conductivity: 100, Modulus: 70e9, Poisson: 0.3, Hardness: 1.5e9, Roughness: 1e-6, Slope: 0.1, Yield: 300e6},
		"flange": {Conductivity: 200, Modulus: 80e9, Poisson: 0.32, Hardness: 1.2e9, Roughness: 2e-6, Yield: 250e6},
		"rail":   {Conductivity: 300, Modulus: 90e9, Poisson: 0.34, Hardness: 1.8e9, Roughness: 3e-6, Slope: 0.2, Yield: 200e6, Coat: contact.Coat{Thickness: 10e-6, Conductivity: 1.3, Hardness: 3.5e9}},
	}
	changes := map[string]float64{"face.side.film": 1e-6, "contact.factor": 0.7, "face.piece.crown": 30e-6}
	for name, b := range body {
		for key, v := range map[string]float64{"conductivity": b.Conductivity, "modulus": b.Modulus, "poisson": b.Poisson, "hardness": b.Hardness, "roughness": b.Roughness, "slope": b.Slope, "yield": b.Yield,
			"coat.thickness": b.Coat.Thickness, "coat.conductivity": b.Coat.Conductivity, "coat.hardness": b.Coat.Hardness} {
			changes[name+"."+key] = v
		}
	}
	for judged := range body {
		for name := range body {
			changes[name+".allowable"] = 0
		}
		changes[judged+".allowable"] = 50e6
		m := testModel(t, testLayout(FourFace, 5), changes)
		trace, bearing := m.Trace(nil), 0.0
		for i, f := range trace.Edges[0].Faces {
			kind := m.faces[i].kind
			film := 0.0
			if kind == side {
				film = 1e-6
			}
			pair, err := contact.NewPair(body[touching[kind][0]], body[touching[kind][1]], film)
			require.NoError(t, err)
			var want contact.Evaluation
			contact.Evaluate(&pair, &trace.Edges[0].Gas, &f.Face, f.Force, 0.7, &want)
			assert.Equal(t, want, f.Evaluation, f.Name)
			if touching[kind][0] == judged || touching[kind][1] == judged {
				bearing = max(bearing, f.LocalPressure/50e6)
			}
		}
		assert.Equal(t, bearing, result(m)["utilisation.bearing"], judged)
	}
}
