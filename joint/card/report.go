package card

import (
	"math"

	"clampodds/joint/force"
	"clampodds/joint/lanes"
)

// reportTrains judges the wedges.
func (s *state) reportTrains() {
	out, lane := s.out, s.in.lane
	for e := range s.edges {
		edge := &s.edges[e]
		out[eventJammed][lane] = max(out[eventJammed][lane], event(edge.train.Jammed))
		out[eventSelfLocking][lane] = max(out[eventSelfLocking][lane], event(edge.ramp.SelfLocking(edge.in.at(frictionRamp))))
	}
}

// reportFit sets what every row has: margins, misfits and whether an input was moved.
func (m *Model) reportFit(s *state) {
	out, lane := s.out, s.in.lane
	left, right := &s.edges[0], &s.edges[1]
	out[fitInsertion][lane] = min(left.expansion, right.expansion)
	out[fitTravel][lane] = min(left.travel-left.expansion, right.travel-right.expansion)
	out[eventNoEntry][lane] = event(left.fit == force.DoesNotEnter || right.fit == force.DoesNotEnter)
	out[eventNoTravel][lane] = event(left.fit == force.OutOfTravel || right.fit == force.OutOfTravel)
	out[eventOutsideRange][lane] = s.outside[lane]
}

// reportLoose takes back from a card that is not clamped what only clamped ones have.
func (m *Model) reportLoose(s *state) {
	out, lane := s.out, s.in.lane
	for _, i := range []int{edgeLeft, edgeRight, edgeHotter, edgeSpot, spotLeft, spotRight, resistanceLeft, resistanceRight} {
		out[i][lane] = math.Inf(1)
	}
	for i := range m.layout.Components {
		out[ownOutputs+i][lane] = math.Inf(1)
	}
	for _, i := range []int{shareDirect, shareUpper, shareSide, utilisationBearing, eventPressureBelow, eventPressureAbove, eventOverYield} {
		out[i][lane] = 0
	}
	out[utilisationHolding][lane] = force.HoldingUtilisation(s.in.at(cardMass), s.in.at(cardAcceleration), 0, 0)
}

// reportTemperatures sets those of all cards.
func (m *Model) reportTemperatures(s *state) {
	for e := range s.edges {
		mean, spot := &s.out[edgeLeft+e], &s.out[spotLeft+e]
		inner := m.wiring.edges[e].inner
		for _, node := range inner {
			addRows(mean, mean, &s.temperature[node])
			raise(spot, &s.temperature[node])
		}
		for lane, cold := range s.cold[:s.count] {
			mean[lane], spot[lane] = cold+mean[lane]/float64(len(inner)), cold+spot[lane]
		}
	}
	s.out[edgeHotter], s.out[edgeSpot] = s.out[edgeLeft], s.out[spotLeft]
	raise(&s.out[edgeHotter], &s.out[edgeRight])
	raise(&s.out[edgeSpot], &s.out[spotRight])
	for lane := range s.count {
		s.take(lane)
		for i := range m.wiring.components {
			s.out[ownOutputs+i][lane] = s.cold[lane] + m.component(s, i)
		}
	}
}

// reportHeat sets where the heat of all cards goes. The shares are of the heat that leaves,
// which is the heat put in but for rounding.
func (m *Model) reportHeat(s *state) {
	var total lanes.Row
	for e := range s.edges {
		var heat lanes.Row
		edge, w := &s.edges[e], &m.wiring.edges[e]
		for i, wall := range w.walls {
			byWall := &s.out[shareDirect+i]
			for lane := range s.count {
				through := s.intoWall(&edge.walls[i], wall, lane)
				byWall[lane] += through
				heat[lane] += through
			}
		}
		resistance, hot := &s.out[resistanceLeft+e], &s.out[edgeLeft+e]
		for lane, cold := range edge.in.rows[wallTemperature][:s.count] {
			resistance[lane] = math.Inf(1)
			if heat[lane] > 0 {
				resistance[lane] = (hot[lane] - cold) / heat[lane]
			}
			total[lane] += heat[lane]
		}
	}
	for i := range walls {
		for lane, all := range total[:s.count] {
			if share := &s.out[shareDirect+i][lane]; all > 0 {
				*share /= all
			} else {
				*share = 0
			}
		}
	}
}

func (m *Model) reportForces(s *state) {
	held, out, lane := 0.0, s.out, s.in.lane
	for e := range s.edges {
		edge := &s.edges[e]
		out[axialLeft+e][lane] = edge.axial
		out[faceLeft+e][lane], _ = edge.train.FaceForce()
		out[utilisationScrew][lane] = max(out[utilisationScrew][lane], edge.screwUtilisation(&m.layout.Thread))
		out[utilisationStripping][lane] = max(out[utilisationStripping][lane], edge.strippingUtilisation(&m.layout.Thread))
		held += float64(edge.in.at(frictionWall) * edge.heldForce())
	}
	out[fitPreload][lane] = min(s.edges[0].spare, s.edges[1].spare)
	out[utilisationHolding][lane] = force.HoldingUtilisation(s.in.at(cardMass), s.in.at(cardAcceleration), 1, held)
}

// reportFaces judges the faces of all cards: bearing, and whether the contact model was used
// where it holds.
func (m *Model) reportFaces(s *state) {
	bearing := &s.out[utilisationBearing]
	for e := range s.edges {
		edge := &s.edges[e]
		var worst [pairKinds]lanes.Row // pressure
		for i := range edge.faces {
			raise(&worst[m.faces[i].pair], &edge.faces[i].LocalPressure)
		}
		for kind, of := range pairedBodies {
			in := edge.in.rows
			bear(bearing, &worst[kind], &in[bodyProperty(of[0], allowable)], &in[bodyProperty(of[1], allowable)])
		}
	}
	s.out[eventPressureBelow], s.out[eventPressureAbove], s.out[eventOverYield] = s.ranges.PressureBelow, s.ranges.PressureAbove, s.ranges.OverYield
}

func event(happened bool) float64 {
	if happened {
		return 1
	}
	return 0
}
