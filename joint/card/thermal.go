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
		edge.place(i, &m.faces[i], &size, form.crown)
	}
	edge.ranges = contact.Conduct(edge.faces, &edge.gas, s.in[contactFactor])
	for i := range m.faces {
		edge.joined[i].conductance = edge.faces[i].Conductance * in[edgeParameters+i*faceParameters+faceFactor]
	}
	for i := range m.faces {
		if f := &m.faces[i]; f.kind == ramp {
			first, second := size.behind(f.position, m.layout.Pieces), size.behind(f.position+1, m.layout.Pieces)
			edge.joined[i].bodies = first.resistance(edge.joined[f.bases[0]].conductance) + second.resistance(edge.joined[f.bases[1]].conductance)
		}
	}
}

// place sets what face i is and what presses on it, and the resistance of the bodies
// behind it but for ramps, where that hangs on other faces.
func (edge *edgeState) place(i int, f *plannedFace, size *pieceSize, directCrown float64) {
	pressed, properties := &edge.faces[i], (*[faceParameters]float64)(edge.in[edgeParameters+i*faceParameters:])
	at, face := f.position-1, &pressed.Face
	face.Length, face.Width, face.Crown, face.Taper = size.length, size.width, properties[crown], properties[taper]
	pressed.Pair = &edge.pairs[f.pair]
	pressed.Film = properties[film] + pressed.Pair.CoatResistance
	switch f.kind {
	case direct:
		face.Along = edge.bow
		face.Crown += directCrown
		if f.position%2 == 1 {
			face.Length, pressed.Force = size.length+f.neighbours*size.cone, edge.train.Outward[at]
		} else {
			face.Length, pressed.Force = size.length-2*size.cone, 0
		}
	case piece, upper:
		pressed.Force = edge.train.Outward[at]
		edge.joined[i].bodies = size.up
	case side, rib:
		face.Width = size.height
		pressed.Force = edge.train.Sideways[at]
		edge.joined[i].bodies = size.aside
	case ramp:
		face.Length = edge.overlap
		pressed.Force = edge.train.RampNormal[at]
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
		joined := &edge.joined[i]
		g[element] = joined.conductance / (1 + joined.conductance*joined.bodies)
	}
}
