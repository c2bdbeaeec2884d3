package card

import (
	"clampodds/joint/force"
	"clampodds/joint/lanes"
)

// clampBlock is the clamp of every card's edge, from slot and torque to forces. Card by card, only the forces on faces are put here.
type clampBlock struct {
	expansion, travel lanes.Row // m
	seated            lanes.Row // 1: the clamp takes hold in its slot; else 0
	screw             force.ScrewBlock
	train             force.TrainBlock
	change            lanes.Row // Screw.Change
}

// bind tells where the inputs lie.
func (c *clampBlock) bind(in []lanes.Row) {
	c.screw = force.ScrewBlock{
		Torque: &in[screwTorque], Prevailing: &in[screwPrevailing], ThreadFriction: &in[screwThreadFriction], HeadFriction: &in[screwHeadFriction],
		BearingDiameter: &in[screwBearingDiameter], Loss: &in[screwPreloadLoss], Change: &c.change,
		Yield: &in[screwYield], Engagement: &in[screwEngagement], NutShear: &in[screwNutShear],
	}
	c.train.Axial, c.train.RampFriction = &c.screw.Axial, &in[frictionRamp]
	c.train.WallFriction, c.train.WallShare = &in[frictionWall], &in[frictionWallShare]
}

// pressBlock is press of all cards, by vectors.
func (m *Model) pressBlock(s *state) {
	for e := range s.edges {
		edge := &s.edges[e]
		c, in := &edge.pressed.clamp, edge.in.rows
		c.train.Ramp.Turn(&in[clampRampAngle], s.count)
		c.train.Skew.Turn(&in[clampSkew], s.count)
		c.fit(in, &edge.pressed.overlap, s.count)
	}
	left, right := &s.edges[0].pressed.clamp, &s.edges[1].pressed.clamp
	reportFits(left, right, s.out, &s.seated, s.count)
	s.out[eventOutsideRange] = s.outside
	for lane, seated := range s.seated[:s.count] {
		if seated != 0 {
			s.take(lane)
			for e := range s.edges {
				s.prepareGas(m.layout.Gas, e)
				edge := &s.edges[e]
				edge.pressed.gas.Set(lane, &edge.gas)
				edge.pressed.clamp.change[lane] = edge.preloadChange(&m.layout.Thread, edge.joint)
			}
		}
	}
	for e := range s.edges {
		c := &s.edges[e].pressed.clamp
		c.screw.Tighten(&m.layout.Thread, s.count)
		m.train.SolveBlock(&c.train, s.count)
		c.report(s.out, e, &s.seated, s.count)
	}
	reportHolding(left, right, s.in.rows, s.out, &s.seated, s.count)
	for lane, seated := range s.seated[:s.count] {
		s.pressed[lane] = seated != 0 && left.train.OnFlange[lane] > 0 && right.train.OnFlange[lane] > 0
		if seated != 0 && !s.pressed[lane] {
			s.out[eventUnclamped][lane] = 1
		}
	}
}

// fit is findFit, with what the ramps overlap.
func (c *clampBlock) fit(in []lanes.Row, overlap *lanes.Row, count int) {
	zero, all := none.Vector(), whole.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		height := in[clampHeight].At(i)
		expansion, travel := in[slotWidth].At(i).Sub(in[flangeThickness].At(i)).Sub(height), in[clampTravel].At(i).Min(height)
		c.expansion.Put(i, expansion)
		c.travel.Put(i, travel)
		c.seated.Put(i, lanes.Keep(expansion.GreaterEqual(zero).And(travel.GreaterEqual(expansion)), all))
		overlap.Put(i, zero.Max(height.Sub(expansion)).Div(c.train.Ramp.Sin.At(i)))
	}
	lanes.Done()
}

// reportFits is reportFit, but for what was moved, with whether both clamps take hold.
func reportFits(left, right *clampBlock, out []lanes.Row, seated *lanes.Row, count int) {
	zero, all := none.Vector(), whole.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		a, b := left.expansion.At(i), right.expansion.At(i)
		spareA, spareB := left.travel.At(i).Sub(a), right.travel.At(i).Sub(b)
		out[fitInsertion].Put(i, a.Min(b))
		out[fitTravel].Put(i, spareA.Min(spareB))
		jamsA, jamsB := a.Less(zero), b.Less(zero)
		out[eventNoEntry].Put(i, lanes.Keep(jamsA.Or(jamsB), all))
		looseA, looseB := lanes.Drop(jamsA, all.Sub(left.seated.At(i))), lanes.Drop(jamsB, all.Sub(right.seated.At(i)))
		out[eventNoTravel].Put(i, looseA.Max(looseB))
		seated.Put(i, left.seated.At(i).Mul(right.seated.At(i)))
	}
	lanes.Done()
}

// report is what reportForces and reportTrains say of one edge, for cards whose clamps take hold.
func (c *clampBlock) report(out []lanes.Row, e int, seated *lanes.Row, count int) {
	zero := none.Vector()
	axial, face, screw, stripping, jammed, locking := &out[axialLeft+e], &out[faceLeft+e], &out[utilisationScrew], &out[utilisationStripping], &out[eventJammed], &out[eventSelfLocking]
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		holds := seated.At(i).Greater(zero)
		axial.Put(i, lanes.Keep(holds, c.screw.Axial.At(i)))
		face.Put(i, lanes.Keep(holds, c.train.OnFlange.At(i)))
		screw.Put(i, lanes.Keep(holds, c.screw.Utilisation.At(i)).Max(screw.At(i)))
		stripping.Put(i, lanes.Keep(holds, c.screw.Stripping.At(i)).Max(stripping.At(i)))
		jammed.Put(i, lanes.Keep(holds, c.train.Jammed.At(i)).Max(jammed.At(i)))
		locking.Put(i, lanes.Keep(holds, c.train.SelfLocking.At(i)).Max(locking.At(i)))
	}
	lanes.Done()
}

// reportHolding is what reportForces says of both edges together.
func reportHolding(left, right *clampBlock, in, out []lanes.Row, seated *lanes.Row, count int) {
	zero, twice := none.Vector(), two.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		holds := seated.At(i).Greater(zero)
		out[fitPreload].Put(i, lanes.Keep(holds, left.screw.Spare.At(i).Min(right.screw.Spare.At(i))))
		a, b := twice.Mul(left.train.OnFlange.At(i)).Add(left.train.OnSide.At(i)), twice.Mul(right.train.OnFlange.At(i)).Add(right.train.OnSide.At(i))
		held := left.train.WallFriction.At(i).Mul(a).Add(right.train.WallFriction.At(i).Mul(b))
		demand := in[cardMass].At(i).Mul(in[cardAcceleration].At(i))
		out[utilisationHolding].Put(i, lanes.Keep(holds.And(demand.NotEqual(zero)), demand.Div(held)))
	}
	lanes.Done()
}
