package card

import (
	"math"

	"clampodds/joint/contact"
	"clampodds/joint/force"
)

// reportPressed sets the outputs of a card whose clamps press, but for temperatures and
// heat.
func (m *Model) reportPressed(s *state) {
	m.reportFit(s)
	m.reportForces(s)
	m.reportFaces(s)
	s.reportTrains()
}

// reportTrains judges the wedges.
func (s *state) reportTrains() {
	for e := range s.edges {
		edge := &s.edges[e]
		s.out[eventJammed] = max(s.out[eventJammed], event(edge.train.Jammed))
		s.out[eventSelfLocking] = max(s.out[eventSelfLocking], event(force.SelfLocking(edge.in[clampRampAngle], edge.in[frictionRamp])))
	}
}

// reportFit clears the outputs and sets what every row has: margins, misfits and
// whether an input was moved.
func (m *Model) reportFit(s *state) {
	out := s.out
	clear(out)
	left, right := &s.edges[0], &s.edges[1]
	out[fitInsertion] = min(left.expansion, right.expansion)
	out[fitTravel] = min(left.travel-left.expansion, right.travel-right.expansion)
	out[eventNoEntry] = event(left.fit == force.DoesNotEnter || right.fit == force.DoesNotEnter)
	out[eventNoTravel] = event(left.fit == force.OutOfTravel || right.fit == force.OutOfTravel)
	out[eventOutsideRange] = event(s.outside)
}

// reportMisfit is the row of a card whose clamps do not fit.
func (m *Model) reportMisfit(s *state) {
	m.reportFit(s)
	m.reportLoose(s)
}

// reportUnclamped is the row of a card whose clamps fit and do not press.
func (m *Model) reportUnclamped(s *state) {
	m.reportFit(s)
	m.reportForces(s)
	m.reportLoose(s)
	s.reportTrains()
	s.out[eventUnclamped] = 1
}

// reportLoose is what no card has that is not clamped.
func (m *Model) reportLoose(s *state) {
	for _, i := range []int{edgeLeft, edgeRight, edgeHotter, edgeSpot, spotLeft, spotRight, resistanceLeft, resistanceRight} {
		s.out[i] = math.Inf(1)
	}
	for i := range m.layout.Components {
		s.out[ownOutputs+i] = math.Inf(1)
	}
	s.out[utilisationHolding] = force.HoldingUtilisation(s.in[cardMass], s.in[cardAcceleration], 0, 0)
}

func (m *Model) reportTemperatures(s *state) {
	for e := range s.edges {
		inner := m.wiring.edges[e].inner
		spot := 0.0
		for _, node := range inner {
			spot = max(spot, s.temperature[node])
		}
		s.out[edgeLeft+e], s.out[spotLeft+e] = s.cold+s.meanOf(inner), s.cold+spot
	}
	s.out[edgeHotter] = max(s.out[edgeLeft], s.out[edgeRight])
	s.out[edgeSpot] = max(s.out[spotLeft], s.out[spotRight])
	for i := range m.wiring.components {
		s.out[ownOutputs+i] = s.cold + m.component(s, i)
	}
}

// reportHeat sets where the heat goes. The shares are of the heat that leaves,
// which is the heat put in but for rounding.
func (m *Model) reportHeat(s *state) {
	total := 0.0
	var byWall [walls]float64
	for e := range s.edges {
		heat := 0.0
		edge, w := &s.edges[e], &m.wiring.edges[e]
		for i := range w.walls {
			through := s.intoWall(edge, w, i)
			byWall[i] += through
			heat += through
		}
		s.out[resistanceLeft+e] = math.Inf(1)
		if heat > 0 {
			s.out[resistanceLeft+e] = (s.out[edgeLeft+e] - edge.in[wallTemperature]) / heat
		}
		total += heat
	}
	if total > 0 {
		for i, heat := range byWall {
			s.out[shareDirect+i] = heat / total
		}
	}
}

func (m *Model) reportForces(s *state) {
	held := 0.0
	for e := range s.edges {
		edge := &s.edges[e]
		s.out[axialLeft+e] = edge.axial
		s.out[faceLeft+e], _ = edge.train.FaceForce()
		s.out[utilisationScrew] = max(s.out[utilisationScrew], edge.screwUtilisation(&m.layout.Thread))
		s.out[utilisationStripping] = max(s.out[utilisationStripping], edge.strippingUtilisation(&m.layout.Thread))
		held += edge.in[frictionWall] * edge.heldForce()
	}
	s.out[fitPreload] = min(s.edges[0].spare, s.edges[1].spare)
	s.out[utilisationHolding] = force.HoldingUtilisation(s.in[cardMass], s.in[cardAcceleration], 1, held)
}

// reportFaces judges the faces: bearing, and whether the contact model was used
// where it holds.
func (m *Model) reportFaces(s *state) {
	var ranges contact.Ranges
	bearing := 0.0
	for e := range s.edges {
		edge := &s.edges[e]
		ranges.PressureBelow = ranges.PressureBelow || edge.ranges.PressureBelow
		ranges.PressureAbove = ranges.PressureAbove || edge.ranges.PressureAbove
		ranges.OverYield = ranges.OverYield || edge.ranges.OverYield
		var pressure [pairKinds]float64
		for i := range edge.faces {
			worst := &pressure[m.faces[i].pair]
			*worst = max(*worst, edge.faces[i].LocalPressure)
		}
		for kind, allowed := range edge.allowables() {
			bearing = max(bearing, pressure[kind]/allowed)
		}
	}
	s.out[utilisationBearing] = bearing
	s.out[eventPressureBelow], s.out[eventPressureAbove], s.out[eventOverYield] = event(ranges.PressureBelow), event(ranges.PressureAbove), event(ranges.OverYield)
}

// allowables is the bearing pressure each pair may carry, Pa: the lower of the
// two bodies', +Inf where none is given.
func (edge *edgeState) allowables() [pairKinds]float64 {
	of := func(body int) float64 {
		if p := edge.in[bodyProperty(body, allowable)]; p > 0 {
			return p
		}
		return math.Inf(1)
	}
	clamp, flange, rail := of(clampBody), of(flangeBody), of(railBody)
	return [pairKinds]float64{
		flangeOnRail: min(flange, rail), flangeOnPiece: min(flange, clamp), pieceOnChassis: min(clamp, rail), pieceOnPiece: clamp,
	}
}

func event(happened bool) float64 {
	if happened {
		return 1
	}
	return 0
}
