package card

import (
	"fmt"
	"math"
	"slices"

	"clampodds/joint/contact"
	"clampodds/joint/lanes"
)

// What follows from inputs that are constants, or whose draw the cards of a chassis
// share, is computed anew only when one of them is not what it was in the row
// before. Every result here is kept beside the inputs it was computed from.

// surroundings are the inputs of the gas's state; joint is 0 for the mean of the
// wall, pressure for that of the altitude, accommodation for that of the gas.
type surroundings struct{ joint, wall, rise, pressure, altitude, accommodation float64 }

// bodyBlock holds the inputs of the bodies, as they lie in the input vector.
type bodyBlock [bodies * bodyParameters]float64

// bentLayer is a layer that a wave along the edge bends: the inputs, the length of the
// wave among them, and what follows.
type bentLayer struct {
	length     float64
	layer      contact.Layer
	compliance float64
}

func (s *state) prepareGas(gas contact.Gas, e int) {
	edge, left := &s.edges[e], &s.edges[0]
	now := surroundings{s.in.at(jointTemperature), edge.in.at(wallTemperature), edge.in.at(wallRise), s.in.at(gasPressure), s.in.at(gasAltitude), s.in.at(gasAccommodation)}
	if now == edge.surroundings {
		return
	}
	if now == left.surroundings {
		edge.surroundings, edge.standardPressure, edge.joint, edge.gas = now, left.standardPressure, left.joint, left.gas
		return
	}
	if now.altitude != edge.surroundings.altitude || edge.standardPressure == 0 {
		edge.standardPressure = must(contact.StandardPressure(now.altitude))
	}
	edge.surroundings = now
	edge.joint = now.joint
	if edge.joint == 0 {
		edge.joint = now.wall + math.Abs(now.rise)/2
	}
	pressure := now.pressure
	if pressure == 0 {
		pressure = edge.standardPressure
	}
	accommodation := now.accommodation
	if accommodation == 0 {
		accommodation = gas.Accommodation()
	}
	edge.gas = must(contact.NewGasState(gas, edge.joint, pressure, accommodation))
}

// keepPairs keeps the pairs of the last card of a block, which the next may have as well.
func (edge *edgeState) keepPairs() {
	edge.made[lanes.Count] = *edge.pairs
	edge.pairs = &edge.made[lanes.Count]
	for i := range edge.coats {
		edge.coats[i].keep()
	}
}

// pairedBodies are the bodies of each pair.
var pairedBodies = [pairKinds][2]int{
	flangeOnRail: {flangeBody, railBody}, flangeOnPiece: {flangeBody, clampBody}, pieceOnChassis: {clampBody, railBody}, pieceOnPiece: {clampBody, clampBody},
}

// joinPairs combines the bodies of an edge of all cards, by vectors: that takes less than to find out which cards
// share them. What is not drawn is combined once.
func (m *Model) joinPairs(s *state, e int) {
	edge, count := &s.edges[e], s.count
	if edge.blocks != &edge.pressed.pairs {
		return
	}
	if len(m.drawnBodies[e]) == 0 {
		if edge.prepared {
			return
		}
		edge.prepared, count = true, lanes.Count
	}
	for i := range edge.body {
		s.bench.Prepare(&edge.body[i], count)
	}
	for kind, of := range pairedBodies {
		s.bench.Join(&edge.blocks[kind], &edge.body[of[0]], &edge.body[of[1]], count)
	}
}

// preparePairs is that of one card: bodies are often those of the left edge, or of the card before.
func (m *Model) preparePairs(s *state, e int) {
	edge, left := &s.edges[e], &s.edges[0]
	if edge != left && m.sameBodies {
		edge.pairs = left.pairs
		return
	}
	if !edge.newBodies(m.drawnBodies[e]) {
		return
	}
	block := &edge.bodies
	if edge != left && *block == left.bodies {
		edge.pairs = left.pairs
		return
	}
	var body [bodies]contact.Body
	for i := range body {
		p := (*[bodyParameters]float64)(block[i*bodyParameters:])
		body[i] = contact.Body{
			Conductivity: p[conductivity], Modulus: p[modulus], Poisson: p[poisson], Hardness: p[hardness],
			Roughness: p[roughness], Slope: p[slope], Yield: p[yield],
			Coat:   contact.Coat{Thickness: p[coatThickness], Conductivity: p[coatConductivity], Hardness: p[coatHardness]},
			Curves: edge.coats[i].of(p[coatConductivity] / p[conductivity]),
		}
		if p[slope] == 0 { // here once instead of in every pair
			body[i].Slope = contact.SlopeFromRoughness(p[roughness])
		}
	}
	// The parameter table lies inside the ranges that contact accepts.
	edge.pairs = &edge.made[edge.in.lane]
	for kind, of := range pairedBodies {
		edge.pairs[kind].Join(&body[of[0]], &body[of[1]], 0)
	}
}

// newBodies reports whether the card's bodies, of which these inputs are drawn, are not those of the card
// before, and takes them.
func (edge *edgeState) newBodies(drawn []int) bool {
	rows, lane := edge.in.rows[ownEdgeParameters:][:len(edge.bodies)], edge.in.lane
	if edge.prepared && !slices.ContainsFunc(drawn, func(i int) bool { return rows[i][lane] != edge.bodies[i] }) {
		return false
	}
	edge.prepared = true
	for i := range edge.bodies {
		edge.bodies[i] = rows[i][lane]
	}
	return true
}

// The waves along the edge that flange and rail are bent by.
const (
	bowWave = iota
	shortWaves
)

// stiffnessAgainst is that of flange and rail against one of the waves, of the given
// length, Pa/m.
func (edge *edgeState) stiffnessAgainst(wave int, length float64) float64 {
	in, bent := &edge.in, &edge.bent[wave]
	flange := contact.Layer{Modulus: in.at(bodyProperty(flangeBody, modulus)), Poisson: in.at(bodyProperty(flangeBody, poisson)), Thickness: in.at(flangeThickness)}
	rail := contact.Layer{Modulus: in.at(bodyProperty(railBody, modulus)), Poisson: in.at(bodyProperty(railBody, poisson)), Thickness: in.at(railThickness)}
	return 1 / (bent[0].under(length, flange) + bent[1].under(length, rail))
}

// under is the compliance of a layer under a wave, m/Pa.
func (b *bentLayer) under(length float64, layer contact.Layer) float64 {
	if b.length != length || b.layer != layer {
		*b = bentLayer{length, layer, layer.Compliance(length)}
	}
	return b.compliance
}

// must passes on what contact makes of inputs that lie in the ranges of the
// parameter table, which are inside those that contact accepts.
func must[T any](value T, err error) T {
	if err != nil {
		panic(fmt.Sprintf("card: the parameter table is wider than the contact model: %v", err))
	}
	return value
}
