package force

import (
	"fmt"
	"math"
)

// Anchor says which piece of a wedge train stands still while the screw draws the
// others in. The zero value is unset.
type Anchor int

const (
	// End: the screw's thread end is fixed to the card; the last piece rests and all
	// others slide towards it.
	End Anchor = iota + 1
	// Centre: both ends are drawn in and the middle piece rests.
	Centre
)

// String returns "end", "centre", or "unset" for any other value.
func (a Anchor) String() string {
	switch a {
	case End:
		return "end"
	case Centre:
		return "centre"
	default:
		return "unset"
	}
}

// ParseAnchor is the inverse of String; any text but "end" and "centre" is an error.
func ParseAnchor(text string) (Anchor, error) {
	for _, a := range []Anchor{End, Centre} {
		if text == a.String() {
			return a, nil
		}
	}
	return 0, fmt.Errorf("anchor %q: want end or centre", text)
}

// MaxPieces is the largest number of pieces of a train.
const MaxPieces = 9

// Train is a train of wedge pieces on one screw, counted 1 to Pieces from the
// screw's head. Odd pieces press on the card's flange, even pieces on the upper
// rail. Get one from NewTrain.
type Train struct {
	Pieces int // odd, 3 to MaxPieces
	Anchor Anchor
}

// NewTrain checks the number of pieces (odd, 3 to 9) and the anchor (End or Centre).
func NewTrain(pieces int, anchor Anchor) (Train, error) {
	if pieces < 3 || pieces > MaxPieces || pieces%2 == 0 {
		return Train{}, fmt.Errorf("wedge train of %d pieces: want an odd number from 3 to %d", pieces, MaxPieces)
	}
	if anchor != End && anchor != Centre {
		return Train{}, fmt.Errorf("wedge train anchor %d: want End or Centre", int(anchor))
	}
	return Train{Pieces: pieces, Anchor: anchor}, nil
}

// TrainInputs is what acts on a train.
type TrainInputs struct {
	Axial        float64 // screw force F', N, >= 0
	RampAngle    float64 // theta, angle between ramp face and screw axis, rad, in (0, pi/2)
	Skew         float64 // psi, turn of the ramps about the screw axis, rad, 0 (two-face clamp) to pi/2
	RampFriction float64 // mu_r, friction of the ramp faces, >= 0
	WallFriction float64 // mu_w, friction of the faces that slide on flange, rail, wall and rib, >= 0
	WallShare    float64 // share of the wall friction that is mobilised, 0 to 1; 1 gives the lowest forces
}

// NewTrainInputs checks what acts on a train: force 0 to 1e6 N; angles in rad, the ramp's
// from 0.05 (3 degrees) to 1.5 (86 degrees) and the skew from 0 to pi/2; frictions 0 to 2; wall
// share 0 to 1. The error names what lies outside: 45 for an angle is one in degrees.
func NewTrainInputs(axial, rampAngle, skew, rampFriction, wallFriction, wallShare float64) (TrainInputs, error) {
	for _, c := range [...]struct {
		name, unit       string
		value, low, high float64
	}{
		{"screw force", "N", axial, 0, 1e6}, {"ramp angle", "rad", rampAngle, 0.05, 1.5}, {"skew", "rad", skew, 0, math.Pi / 2},
		{"ramp friction", "", rampFriction, 0, 2}, {"wall friction", "", wallFriction, 0, 2}, {"wall share", "", wallShare, 0, 1},
	} {
		if !(c.value >= c.low && c.value <= c.high) {
			return TrainInputs{}, fmt.Errorf("wedge train: %s %g %s: want %.3g to %.3g", c.name, c.value, c.unit, c.low, c.high)
		}
	}
	return TrainInputs{axial, rampAngle, skew, rampFriction, wallFriction, wallShare}, nil
}

// TrainForces is the state of a tightened train. Forces in N, none negative. Index 0
// is ramp 1 (between pieces 1 and 2) or piece 1; entries past the train's own are 0.
type TrainForces struct {
	Axial      [MaxPieces - 1]float64 // A_i, axial force through ramp i
	Transverse [MaxPieces - 1]float64 // T_i, force square to the screw that ramp i makes
	RampNormal [MaxPieces - 1]float64 // R_i, normal force on the face of ramp i
	Normal     [MaxPieces]float64     // N_i = T_(i-1) + T_i, force of piece i square to the screw
	Outward    [MaxPieces]float64     // N_i cos psi: odd pieces on the flange, even on the upper rail
	Sideways   [MaxPieces]float64     // N_i sin psi: odd pieces on the side wall, even on the card's rib
	// Jammed: however hard the screw pulls, some ramp makes no transverse force.
	Jammed bool
}

// Solve computes the forces in a train that has been tightened (statics of rigid
// wedges with Coulomb friction, every contact slipping in the tightening direction):
//
//	t = tan(theta + phi), phi = atan mu_r      one ramp: T_i = A_i/t (Shigley)
//	a = WallShare mu_w (cos psi + sin psi)/t   axial force lost per sliding piece and T
//	A_1 = F'/(1 + a), A_(i+1) = r A_i, r = (1 - a)/(1 + a)
//	R_i = T_i/(cos theta - mu_r sin theta)
//
// towards the piece that rests; a Centre train is symmetric, A_i = A_(n-i). Ramp
// friction along the line of steepest descent, which leaves the split between
// outward and sideways at tan psi. The sum over odd pieces (and over even ones) of
// Normal is the sum of Transverse; for psi = 0 and full wall friction it is
// F'/(2 mu_w) (1 - r^(n-1)) for End and F'/mu_w (1 - r^((n-1)/2)) for Centre, and
// (n-1) F'/t without wall friction. The train with wall friction is this project's
// own statics; the tests hold it against the equilibrium of every piece.
//
// Special cases:
//   - theta + phi >= pi/2: the ramps stick and pass the axial force on without a
//     transverse force; RampNormal is the limit A_i sin theta, Jammed is set.
//   - a >= 1: the walls hold the piece behind the first ramp, r is taken as 0;
//     Jammed is set when a ramp lies behind it (not for 3 pieces drawn in from
//     both ends).
//   - Axial = 0 gives no force anywhere; Jammed says what it would for Axial > 0.
//   - Both frictions negative describes the train about to slip back, all friction
//     reversed; for theta > phi and |a| < 1.
//
// out is overwritten. Solve panics for a train that is not from NewTrain. t and in are not changed; concurrent calls need an out each.
func (t Train) Solve(in TrainInputs, out *TrainForces) {
	var ramp, skew Angle
	t.SolveAt(in, &ramp, &skew, out)
}

// SolveAt is Solve with the two angles, turned to those of in, kept from call to call.
func (t Train) SolveAt(in TrainInputs, ramp, skew *Angle, out *TrainForces) {
	if t.Pieces < 3 || t.Pieces > MaxPieces {
		panic(fmt.Sprintf("force: a train of %d pieces is not from NewTrain", t.Pieces))
	}
	*out = TrainForces{}
	ramp.Turn(in.RampAngle)
	skew.Turn(in.Skew)
	sin, cos := ramp.Sin, ramp.Cos

	// Per unit of ramp normal force: the transverse and the axial force. A ramp that
	// sticks mobilises the friction cot theta, no more.
	friction, transverse := in.RampFriction, cos-float64(in.RampFriction*sin)
	if transverse <= 0 {
		friction, transverse = cos/sin, 0
	}
	axial := sin + float64(friction*cos)
	gain := transverse / axial // 1/t

	lost := float64(in.WallShare * in.WallFriction * (skew.Cos + skew.Sin) * gain) // a
	ratio := max(0, (1-lost)/(1+lost))                                             // r

	// Ramps from one moving end to the piece at rest.
	ramps, passes := t.Pieces-1, t.Pieces-1
	if t.Anchor == Centre {
		passes /= 2
	}
	through := in.Axial / (1 + lost)
	for i := range passes {
		out.Axial[i] = through
		if t.Anchor == Centre {
			out.Axial[ramps-1-i] = through
		}
		through *= ratio
	}
	for i := range ramps {
		force := float64(out.Axial[i] * gain)
		out.Transverse[i] = force
		out.RampNormal[i] = out.Axial[i] / axial
		out.Normal[i] += force
		out.Normal[i+1] = force
	}
	for i := range t.Pieces {
		out.Outward[i] = out.Normal[i] * skew.Cos
		out.Sideways[i] = out.Normal[i] * skew.Sin
	}
	out.Jammed = transverse == 0 || lost >= 1 && passes > 1
}

// FaceForce returns the forces the train puts on the flange and on the side wall,
// in N: the sums over the odd pieces. Upper rail and rib get the same.
func (f *TrainForces) FaceForce() (outward, sideways float64) {
	for i := 0; i < MaxPieces; i += 2 {
		outward += f.Outward[i]
		sideways += f.Sideways[i]
	}
	return outward, sideways
}

// SelfLocking reports whether a ramp at rampAngle, in rad, with the given friction
// stays wedged without screw force, theta < atan mu: such a clamp may not release.
func SelfLocking(rampAngle, rampFriction float64) bool {
	var ramp Angle
	ramp.Turn(rampAngle)
	return ramp.SelfLocking(rampFriction)
}

// SelfLocking is that of a ramp at the angle.
func (a *Angle) SelfLocking(friction float64) bool { return a.Tan < friction }

// Angle is an angle in rad with its functions. Hardly any study draws one, so who works through many cards
// keeps it. The zero value is the angle 0 before its first Turn.
type Angle struct {
	Radians, Sin, Cos, Tan float64
}

// Turn makes it another angle, unless it is that one.
func (a *Angle) Turn(radians float64) {
	if a.Radians != radians || a.Cos == 0 {
		a.Radians, a.Tan = radians, math.Tan(radians)
		a.Sin, a.Cos = math.Sincos(radians)
	}
}
