package card

import (
	"fmt"

	"clampodds/joint/contact"
)

// What follows from inputs that are constants, or whose draw the cards of a chassis
// share, is computed anew only when one of them is not what it was in the row
// before. Every result here is kept beside the inputs it was computed from.

// surroundings are the inputs of the gas's state; joint is 0 for that of the wall,
// pressure for that of the altitude, accommodation for that of the gas.
type surroundings struct{ joint, wall, pressure, altitude, accommodation float64 }

// bodyBlock holds the inputs of the bodies, as they lie in the input vector.
type bodyBlock [bodies * bodyParameters]float64

// bentLayers are the inputs of the stiffness against the bow.
type bentLayers struct {
	length       float64
	flange, rail contact.Layer
}

// prepareGas sets the joint's temperature and the gas at it.
func (s *state) prepareGas(gas contact.Gas) {
	now := surroundings{s.in[jointTemperature], s.in[wallTemperature], s.in[gasPressure], s.in[gasAltitude], s.in[gasAccommodation]}
	if now == s.surroundings {
		return
	}
	if now.altitude != s.surroundings.altitude || s.standardPressure == 0 {
		s.standardPressure = must(contact.StandardPressure(now.altitude))
	}
	s.surroundings = now
	s.joint = now.joint
	if s.joint == 0 {
		s.joint = now.wall
	}
	pressure := now.pressure
	if pressure == 0 {
		pressure = s.standardPressure
	}
	accommodation := now.accommodation
	if accommodation == 0 {
		accommodation = gas.Accommodation()
	}
	s.gas = must(contact.NewGasState(gas, s.joint, pressure, accommodation))
}

// preparePairs combines the bodies of an edge; left is the left edge, whose bodies
// are often the same.
func (edge *edgeState) preparePairs(left *edgeState) {
	block := (*bodyBlock)(edge.in[ownEdgeParameters:])
	if *block == edge.bodies {
		return
	}
	edge.bodies = *block
	if *block == left.bodies && edge != left {
		edge.pairs = left.pairs
		return
	}
	var body [bodies]contact.Body
	for i := range body {
		p := (*[bodyParameters]float64)(block[i*bodyParameters:])
		body[i] = contact.Body{
			Conductivity: p[conductivity], Modulus: p[modulus], Poisson: p[poisson], Hardness: p[hardness],
			Roughness: p[roughness], Slope: p[slope], Yield: p[yield],
			Coat: contact.Coat{Thickness: p[coatThickness], Conductivity: p[coatConductivity], Hardness: p[coatHardness]},
		}
		if p[slope] == 0 { // here once instead of in every pair
			body[i].Slope = contact.SlopeFromRoughness(p[roughness])
		}
	}
	// The parameter table lies inside the ranges that contact accepts.
	edge.pairs = [pairKinds]contact.Pair{
		flangeOnRail:   contact.PairOf(&body[flangeBody], &body[railBody], 0),
		flangeOnPiece:  contact.PairOf(&body[flangeBody], &body[clampBody], 0),
		pieceOnChassis: contact.PairOf(&body[clampBody], &body[railBody], 0),
		pieceOnPiece:   contact.PairOf(&body[clampBody], &body[clampBody], 0),
	}
}

// prepareStiffness sets the stiffness of flange and rail against the bow.
func (edge *edgeState) prepareStiffness() {
	in := edge.in
	bent := bentLayers{
		in[clampLength],
		contact.Layer{Modulus: in[bodyProperty(flangeBody, modulus)], Poisson: in[bodyProperty(flangeBody, poisson)], Thickness: in[flangeThickness]},
		contact.Layer{Modulus: in[bodyProperty(railBody, modulus)], Poisson: in[bodyProperty(railBody, poisson)], Thickness: in[railThickness]},
	}
	if bent != edge.bent {
		edge.bent, edge.stiffness = bent, contact.BowStiffness(bent.length, bent.flange, bent.rail)
	}
}

// must passes on what contact makes of inputs that lie in the ranges of the
// parameter table, which are inside those that contact accepts.
func must[T any](value T, err error) T {
	if err != nil {
		panic(fmt.Sprintf("card: the parameter table is wider than the contact model: %v", err))
	}
	return value
}
