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
	// bases are the indices of the long bases of the two pieces of a ramp.
	bases [2]int
}

func planFaces(l *Layout) []plannedFace {
	base := make([]int, l.Pieces+1) // of the piece at each position
	faces := l.faces()
	for i, f := range faces {
		if f.kind == piece || f.kind == upper {
			base[f.position] = i
		}
	}
	var plan []plannedFace
	for _, f := range faces {
		p := plannedFace{face: f, pair: f.kind.pair(), neighbours: 2}
		if f.position == 1 || f.position == l.Pieces {
			p.neighbours = 1
		}
		if f.kind == ramp {
			p.bases = [2]int{base[f.position], base[f.position+1]}
		}
		plan = append(plan, p)
	}
	return plan
}

// pressFaces evaluates every contact face of an edge.
func (m *Model) pressFaces(s *state, edge *edgeState) {
	in := edge.in
	form := formOf(in)
	edge.closeAlong(form)
	size := m.pieceSize(in)
	for i := range m.faces {
		f := &m.faces[i]
		properties := (*[faceParameters]float64)(in[edgeParameters+i*faceParameters:])
		pressed := &edge.faces[i]
		edge.place(f, &size, pressed)
		pressed.geometry.Crown, pressed.geometry.Taper = properties[crown], properties[taper]
		if f.kind == direct {
			pressed.geometry.Crown += form.crown
		}
		pair := &edge.pairs[f.pair]
		pair.Film = properties[film] + pair.CoatResistance
		contact.Evaluate(pair, &edge.gas, &pressed.geometry, pressed.force, s.in[contactFactor], &pressed.contact)
		pressed.conductance = pressed.contact.Conductance * properties[faceFactor]
	}
	for i := range m.faces {
		if f := &m.faces[i]; f.kind == ramp {
			first, second := size.behind(f.position, m.layout.Pieces), size.behind(f.position+1, m.layout.Pieces)
			edge.faces[i].bodies = first.resistance(edge.faces[f.bases[0]].conductance) + second.resistance(edge.faces[f.bases[1]].conductance)
		}
	}
}

// place sets where a face is: its lengths, its force, and the resistance of the
// bodies behind it but for ramps, where that hangs on other faces.
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
		g[element] = pressed.conductance / (1 + pressed.conductance*pressed.bodies)
	}
}
