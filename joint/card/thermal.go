package card

import (
	"fmt"

	"clampodds/joint/contact"
)

// pairKind is a combination of bodies that touch.
type pairKind int

const (
	flangeOnRail   pairKind = iota // direct
	flangeOnPiece                  // piece and rib: flange and rib are one body
	pieceOnChassis                 // upper and side: rail and side wall are one body
	pieceOnPiece                   // ramp
	pairKinds
)

func (k faceKind) pair() pairKind {
	return [faceKinds]pairKind{
		direct: flangeOnRail, piece: flangeOnPiece, upper: pieceOnChassis, ramp: pieceOnPiece, side: pieceOnChassis, rib: flangeOnPiece,
	}[k]
}

// plannedFace is what a layout fixes about a face.
type plannedFace struct {
	face
	pair       pairKind
	neighbours float64 // inner neighbours of the piece: 1 at the ends, 2 inside
	// along is the resistance along the train from the middle of the pieces to
	// the ramp, in units of Lp/(k W H).
	along float64
}

func planFaces(l *Layout) []plannedFace {
	isEnd := func(position int) bool { return position == 1 || position == l.Pieces }
	// A third of the length that feeds the ramp: the whole piece at the ends of
	// the train, half a piece inside.
	half := func(position int) float64 {
		if isEnd(position) {
			return 1.0 / 3
		}
		return 1.0 / 6
	}
	var plan []plannedFace
	for _, f := range l.faces() {
		p := plannedFace{face: f, pair: f.kind.pair(), neighbours: 2}
		if isEnd(f.position) {
			p.neighbours = 1
		}
		if f.kind == ramp {
			p.along = half(f.position) + half(f.position+1)
		}
		plan = append(plan, p)
	}
	return plan
}

// prepareGas sets the joint's temperature and the gas at it.
func (s *state) prepareGas(gas contact.Gas) {
	s.joint = s.in[jointTemperature]
	if s.joint == 0 {
		s.joint = s.in[wallTemperature]
	}
	pressure := s.in[gasPressure]
	if pressure == 0 {
		pressure = must(contact.StandardPressure(s.in[gasAltitude]))
	}
	s.gas = must(contact.NewGasState(gas, s.joint, pressure, s.in[gasAccommodation]))
}

// preparePairs combines the bodies of an edge.
func (edge *edgeState) preparePairs() {
	var body [bodies]contact.Body
	for i := range body {
		p := edge.in[bodyProperty(i, 0):bodyProperty(i+1, 0)]
		body[i] = contact.Body{
			Conductivity: p[conductivity], Modulus: p[modulus], Poisson: p[poisson], Hardness: p[hardness],
			Roughness: p[roughness], Slope: p[slope], Yield: p[yield],
		}
		if p[slope] == 0 { // here once instead of in every pair
			body[i].Slope = contact.SlopeFromRoughness(p[roughness])
		}
	}
	edge.pairs = [pairKinds]contact.Pair{
		flangeOnRail:   must(contact.NewPair(body[flangeBody], body[railBody], 0)),
		flangeOnPiece:  must(contact.NewPair(body[flangeBody], body[clampBody], 0)),
		pieceOnChassis: must(contact.NewPair(body[clampBody], body[railBody], 0)),
		pieceOnPiece:   must(contact.NewPair(body[clampBody], body[clampBody], 0)),
	}
}

// prepareStiffness sets the stiffness of flange and rail against the bow.
func (edge *edgeState) prepareStiffness() {
	in := edge.in
	layer := func(body, thickness int) contact.Layer {
		return contact.Layer{Modulus: in[bodyProperty(body, modulus)], Poisson: in[bodyProperty(body, poisson)], Thickness: in[thickness]}
	}
	edge.stiffness = contact.BowStiffness(in[clampLength], layer(flangeBody, flangeThickness), layer(railBody, railThickness))
}

// must passes on what contact makes of inputs that lie in the ranges of the
// parameter table, which are inside those that contact accepts.
func must[T any](value T, err error) T {
	if err != nil {
		panic(fmt.Sprintf("card: the parameter table is wider than the contact model: %v", err))
	}
	return value
}

// pressFaces evaluates every contact face of an edge.
func (m *Model) pressFaces(s *state, edge *edgeState) {
	in := edge.in
	outward, _ := edge.train.FaceForce()
	bow := contact.Bow{Height: in[directBow], Length: in[clampLength], Stiffness: edge.stiffness}
	edge.bow = bow.Close(outward/(in[clampLength]*in[clampWidth]), edge.pairs[flangeOnRail].Conductivity)
	for i := range m.faces {
		properties := in[edgeParameters+i*faceParameters:]
		pressed := &edge.faces[i]
		m.place(edge, &m.faces[i], pressed)
		pressed.geometry.Crown, pressed.geometry.Taper = properties[crown], properties[taper]
		pair := &edge.pairs[m.faces[i].pair]
		pair.Film = properties[film]
		contact.Evaluate(pair, &s.gas, &pressed.geometry, pressed.force, s.in[contactFactor], &pressed.contact)
	}
}

// place sets where a face is: its lengths, its force, and the resistance of the
// bodies behind it.
func (m *Model) place(edge *edgeState, f *plannedFace, pressed *pressedFace) {
	in, i := edge.in, f.position-1
	length, width, height := in[clampLength]/float64(m.layout.Pieces), in[clampWidth], in[clampHeight]
	k := in[bodyProperty(clampBody, conductivity)]
	pressed.bodies = 0
	pressed.geometry = contact.Face{Length: length, Width: width}
	switch f.kind {
	case direct:
		pressed.geometry.Along = edge.bow
		cone := min(in[flangeThickness], length/2) // 45 degrees through the flange
		if f.position%2 == 1 {
			pressed.geometry.Length, pressed.force = length+f.neighbours*cone, edge.train.Outward[i]
		} else {
			pressed.geometry.Length, pressed.force = length-2*cone, 0
		}
	case piece, upper:
		pressed.force = edge.train.Outward[i]
		pressed.bodies = height / (2 * k * length * width)
	case side, rib:
		pressed.geometry.Width = height
		pressed.force = edge.train.Sideways[i]
		pressed.bodies = width / (2 * k * length * height)
	case ramp:
		pressed.geometry.Length = edge.overlap
		pressed.force = edge.train.RampNormal[i]
		pressed.bodies = f.along * length / (k * width * height)
	}
}

// conductEdge fills the network's conductances of one edge.
func (m *Model) conductEdge(s *state, e int) {
	edge, w, g := &s.edges[e], &m.wiring.edges[e], s.conductance
	in := edge.in
	for i, wall := range w.walls { // the three resistances follow each other
		g[wall.element] = 1 / in[wallLowerResistance+i]
	}
	pieces := float64(m.layout.Pieces)
	length := in[clampLength] / pieces
	section := in[bodyProperty(flangeBody, conductivity)] * in[flangeThickness]
	frame := 1 / (pieces * in[frameResistance])
	spread := 3 * section * length / in[clampWidth] // k t Lp over a third of W: first term of the fin
	for i := range w.frame {
		g[w.frame[i]], g[w.spread[i]] = frame, spread
	}
	along := section * in[flangeFrameWidth] / length
	for _, element := range w.along {
		g[element] = along
	}
	for i, element := range w.faces {
		pressed := &edge.faces[i]
		face := pressed.contact.Conductance * in[edgeParameters+i*faceParameters+faceFactor]
		g[element] = face / (1 + face*pressed.bodies)
	}
}

// conductCard fills in the components and the heat.
func (m *Model) conductCard(s *state) {
	s.source[m.wiring.card] = s.in[cardPower]
	s.heat = s.in[cardPower]
	for i, c := range m.wiring.components {
		s.conductance[c.element] = 1 / s.in[componentResistance(i)]
		s.source[c.node] = s.in[componentPower(i)]
		s.heat += s.in[componentPower(i)]
	}
}
