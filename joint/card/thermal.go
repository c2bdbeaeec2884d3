package card

import "clampodds/joint/contact"

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

// pieceSize is what the faces of an edge have in common.
type pieceSize struct {
	length, width, height float64 // of a piece, m
	cone                  float64 // by which a load spreads through the flange, m
	// Resistances of a piece, K/W: half its height, half its width, its length.
	up, aside, along float64
}

func (m *Model) pieceSize(in []float64) pieceSize {
	p := pieceSize{length: in[clampLength] / float64(m.layout.Pieces), width: in[clampWidth], height: in[clampHeight]}
	p.cone = min(in[flangeThickness], p.length/2) // 45 degrees through the flange
	k := in[bodyProperty(clampBody, conductivity)]
	p.up = p.height / (2 * k * p.length * p.width)
	p.aside = p.width / (2 * k * p.length * p.height)
	p.along = p.length / (k * p.width * p.height)
	return p
}

// pressFaces evaluates every contact face of an edge.
func (m *Model) pressFaces(s *state, edge *edgeState) {
	in := edge.in
	outward, _ := edge.train.FaceForce()
	bow := contact.Bow{Height: in[directBow], Length: in[clampLength], Stiffness: edge.stiffness}
	edge.bow = bow.Close(outward/(in[clampLength]*in[clampWidth]), edge.pairs[flangeOnRail].Conductivity)
	size := m.pieceSize(in)
	for i := range m.faces {
		properties := (*[faceParameters]float64)(in[edgeParameters+i*faceParameters:])
		pressed := &edge.faces[i]
		edge.place(&m.faces[i], &size, pressed)
		pressed.geometry.Crown, pressed.geometry.Taper = properties[crown], properties[taper]
		pair := &edge.pairs[m.faces[i].pair]
		pair.Film = properties[film] + pair.CoatResistance
		contact.Evaluate(pair, &s.gas, &pressed.geometry, pressed.force, s.in[contactFactor], &pressed.contact)
	}
}

// place sets where a face is: its lengths, its force, and the resistance of the
// bodies behind it.
func (edge *edgeState) place(f *plannedFace, size *pieceSize, pressed *pressedFace) {
	i, geometry := f.position-1, &pressed.geometry
	geometry.Length, geometry.Width = size.length, size.width
	switch f.kind {
	case direct:
		geometry.Along = edge.bow
		if f.position%2 == 1 {
			geometry.Length, pressed.force = size.length+f.neighbours*size.cone, edge.train.Outward[i]
		} else {
			geometry.Length, pressed.force = size.length-2*size.cone, 0
		}
	case piece, upper:
		pressed.force = edge.train.Outward[i]
		pressed.bodies = size.up
	case side, rib:
		geometry.Width = size.height
		pressed.force = edge.train.Sideways[i]
		pressed.bodies = size.aside
	case ramp:
		geometry.Length = edge.overlap
		pressed.force = edge.train.RampNormal[i]
		pressed.bodies = f.along * size.along
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
