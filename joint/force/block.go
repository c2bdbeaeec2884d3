package force

import (
	"math"

	"clampodds/joint/lanes"
)

// ScrewBlock is the screw of every card of a block: what it is tightened with, and what comes of it. Blocks are for
// vectors; their numbers have the bits of the functions of one card.
type ScrewBlock struct {
	Torque, Prevailing, ThreadFriction, HeadFriction, BearingDiameter *lanes.Row // as of AxialForce
	Loss, Change                                                      *lanes.Row // as of Preload
	Yield, Engagement, NutShear                                       *lanes.Row // 0: not judged

	Tightened, Axial       lanes.Row // N, AxialForce and Preload
	Spare                  lanes.Row // N, what Preload would be if a screw could push
	Utilisation, Stripping lanes.Row // at the larger of both forces
}

var (
	none, one, half, three = lanes.Same(0), lanes.Same(1), lanes.Same(0.5), lanes.Same(3)
	perFlank               = lanes.Same(cosFlank)
)

// Tighten follows the screws of the first count cards.
func (b *ScrewBlock) Tighten(t *Thread, count int) {
	d := t.StressDiameter()
	s := screwConstants{
		slope: lanes.Same(t.Pitch / (math.Pi * t.PitchDiameter)), radius: lanes.Same(t.PitchDiameter / 2),
		area: lanes.Same(t.StressArea), torsion: lanes.Same(math.Pi * d * d * d), shear: lanes.Same(t.NutShearArea()),
	}
	b.tighten(&s, count)
	b.judge(&s, count)
}

type screwConstants struct{ slope, radius, area, torsion, shear lanes.Constant }

// arm is threadArm.
func (s *screwConstants) arm(friction lanes.Vector) lanes.Vector {
	flank, slope := friction.Div(perFlank.Vector()), s.slope.Vector()
	return s.radius.Vector().Mul(slope.Add(flank)).Div(one.Vector().Sub(flank.Mul(slope)))
}

func (b *ScrewBlock) tighten(s *screwConstants, count int) {
	zero, whole, halves := none.Vector(), one.Vector(), half.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		torque, prevailing := b.Torque.At(i), b.Prevailing.At(i)
		net := torque.Sub(prevailing)
		turned := net.Greater(zero)
		thread := s.arm(b.ThreadFriction.At(i))
		arm := thread.Add(b.HeadFriction.At(i).Mul(b.BearingDiameter.At(i)).Mul(halves))
		force := net.Div(arm)
		tightened := lanes.Keep(turned, force)
		b.Tightened.Put(i, tightened)
		kept := tightened.Mul(whole.Sub(b.Loss.At(i)))
		holds, left := kept.Greater(zero), kept.Add(b.Change.At(i))
		b.Axial.Put(i, lanes.Keep(holds, zero.Max(left)))
		b.Spare.Put(i, lanes.Pick(turned, lanes.Keep(holds, left), force))
		b.Utilisation.Put(i, tightened.Mul(thread).Add(torque.Min(prevailing))) // the torque in the shank, for judge
	}
	lanes.Done()
}

var sixteen, proof = lanes.Same(16), lanes.Same(0.9)

// judge is ScrewUtilisation and StrippingUtilisation.
func (b *ScrewBlock) judge(s *screwConstants, count int) {
	zero := none.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		axial := b.Tightened.At(i).Max(b.Axial.At(i))
		tension, shear := axial.Div(s.area.Vector()), b.Utilisation.At(i).Mul(sixteen.Vector()).Div(s.torsion.Vector())
		stress := tension.Mul(tension).Add(three.Vector().Mul(shear).Mul(shear)).Sqrt()
		yield, engagement := b.Yield.At(i), b.Engagement.At(i)
		b.Utilisation.Put(i, lanes.Keep(yield.Greater(zero), stress.Div(proof.Vector().Mul(yield))))
		strips := engagement.Mul(s.shear.Vector().Mul(b.NutShear.At(i)))
		b.Stripping.Put(i, lanes.Keep(engagement.Greater(zero), axial.Div(strips)))
	}
	lanes.Done()
}

// TrainBlock is the train of every card of a block, as TrainInputs and TrainForces are of one. The rows of angles are for
// who sets it.
type TrainBlock struct {
	Axial, RampFriction, WallFriction, WallShare *lanes.Row
	Ramp, Skew                                   AngleBlock

	Outward, Sideways   [MaxPieces]lanes.Row
	RampNormal          [MaxPieces - 1]lanes.Row
	OnFlange, OnSide    lanes.Row // FaceForce
	Jammed, SelfLocking lanes.Row // 1, else 0

	axial, gain, through, ratio lanes.Row
	ramps                       [MaxPieces - 1]lanes.Row // A_i
}

// AngleBlock is an angle of every card.
type AngleBlock struct {
	Sin, Cos, Tan lanes.Row
	last          Angle
}

// Turn makes them others.
func (a *AngleBlock) Turn(radians *lanes.Row, count int) {
	for i, r := range radians[:count] {
		a.last.Turn(r)
		a.Sin[i], a.Cos[i], a.Tan[i] = a.last.Sin, a.last.Cos, a.last.Tan
	}
}

// SolveBlock is Solve of the first count cards.
func (t Train) SolveBlock(b *TrainBlock, count int) {
	ramps, passes := t.Pieces-1, t.Pieces-1
	if t.Anchor == Centre {
		passes /= 2
	}
	b.begin(passes > 1, count)
	for i := range passes {
		b.pass(&b.ramps[i], count)
		if t.Anchor == Centre {
			b.ramps[ramps-1-i] = b.ramps[i]
		}
	}
	b.spread(t.Pieces, count)
}

func (b *TrainBlock) begin(several bool, count int) {
	zero, whole, behind := none.Vector(), one.Vector(), none.Vector()
	if several {
		behind = whole
	}
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		sin, cos, friction := b.Ramp.Sin.At(i), b.Ramp.Cos.At(i), b.RampFriction.At(i)
		b.SelfLocking.Put(i, lanes.Keep(b.Ramp.Tan.At(i).Less(friction), whole))
		transverse := cos.Sub(friction.Mul(sin))
		slips := transverse.Greater(zero)
		friction, transverse = lanes.Pick(slips, friction, cos.Div(sin)), lanes.Keep(slips, transverse)
		axial := sin.Add(friction.Mul(cos))
		gain := transverse.Div(axial)
		lost := b.WallShare.At(i).Mul(b.WallFriction.At(i)).Mul(b.Skew.Cos.At(i).Add(b.Skew.Sin.At(i))).Mul(gain)
		b.axial.Put(i, axial)
		b.gain.Put(i, gain)
		b.ratio.Put(i, zero.Max(whole.Sub(lost).Div(whole.Add(lost))))
		b.through.Put(i, b.Axial.At(i).Div(whole.Add(lost)))
		b.Jammed.Put(i, lanes.Pick(slips, lanes.Keep(lost.GreaterEqual(whole), behind), whole))
	}
	lanes.Done()
}

// pass puts what goes through a ramp, and leaves what goes through the next. Not inlined: a function has vectors or floats.
//
//go:noinline
func (b *TrainBlock) pass(ramp *lanes.Row, count int) {
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		through := b.through.At(i)
		ramp.Put(i, through)
		b.through.Put(i, through.Mul(b.ratio.At(i)))
	}
	lanes.Done()
}

// spread finds the forces on the faces.
func (b *TrainBlock) spread(pieces, count int) {
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		gain, axial, cos, sin := b.gain.At(i), b.axial.At(i), b.Skew.Cos.At(i), b.Skew.Sin.At(i)
		before, onFlange, onSide := none.Vector(), none.Vector(), none.Vector()
		for k := range min(pieces, MaxPieces) {
			normal := before
			if k < pieces-1 && k < len(b.ramps) {
				through := b.ramps[k].At(i)
				b.RampNormal[k].Put(i, through.Div(axial))
				before = through.Mul(gain)
				normal = normal.Add(before)
			}
			outward, sideways := normal.Mul(cos), normal.Mul(sin)
			b.Outward[k].Put(i, outward)
			b.Sideways[k].Put(i, sideways)
			if k%2 == 0 {
				onFlange, onSide = onFlange.Add(outward), onSide.Add(sideways)
			}
		}
		b.OnFlange.Put(i, onFlange)
		b.OnSide.Put(i, onSide)
	}
	lanes.Done()
}
