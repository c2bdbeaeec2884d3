package card

import "clampodds/joint/lanes"

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

// under is what a direct face lies under.
func (f *plannedFace) under() int {
	switch {
	case f.position%2 == 0:
		return underEven
	case f.neighbours == 1:
		return underEnd
	}
	return underOdd
}

// lay puts what presses on the faces of a card's edge into its block.
func (m *Model) lay(edge *edgeState) {
	b, lane := &edge.pressed, edge.in.lane
	b.gas.Set(lane, &edge.gas)
	if edge.blocks == &b.pairs {
		for kind := range b.pairs {
			b.pairs[kind].Set(lane, &edge.pairs[kind])
		}
	}
	b.clamp.train.OnFlange[lane], _ = edge.train.FaceForce()
	b.overlap[lane] = edge.overlap
	for i := range m.train.Pieces {
		b.clamp.train.Outward[i][lane], b.clamp.train.Sideways[i][lane] = edge.train.Outward[i], edge.train.Sideways[i]
	}
	for i := range m.train.Pieces - 1 {
		b.clamp.train.RampNormal[i][lane] = edge.train.RampNormal[i]
	}
}

// pressFaces evaluates every contact face of an edge.
func (m *Model) pressFaces(s *state, edge *edgeState) {
	b, in := &edge.pressed, edge.in.rows
	for i := range m.faces {
		f, pressed, joined := &m.faces[i], &edge.faces[i], &edge.joined[i]
		own := in[edgeParameters+i*faceParameters:][:faceParameters]
		if f.kind == direct {
			addRows(&b.crowns[f.position-1], &own[crown], &b.crown)
		}
		s.bench.Conduct(pressed, &b.gas, &s.in.rows[contactFactor], &s.ranges, s.count)
		multiplyRows(&joined.conductance, &pressed.Conductance, &own[faceFactor])
	}
	for i := range m.faces {
		if f := &m.faces[i]; f.kind == ramp {
			first, second := behind(&b.end, &b.inner, f.position, m.layout.Pieces), behind(&b.end, &b.inner, f.position+1, m.layout.Pieces)
			bases := [2]*lanes.Row{&edge.joined[f.bases[0]].conductance, &edge.joined[f.bases[1]].conductance}
			first.resistances(&s.behind, bases[0])
			second.resistances(edge.joined[i].bodies, bases[1])
			addRows(edge.joined[i].bodies, &s.behind, edge.joined[i].bodies)
		}
	}
}

func (m *Model) conductEdge(s *state, e int) {
	edge, w, g := &s.edges[e], &m.wiring.edges[e], s.conductance
	in, pieces := edge.in.rows, float64(m.layout.Pieces)
	for i, wall := range w.walls { // the three resistances follow each other
		for lane, r := range in[wallLowerResistance+i][:s.count] {
			g[wall.element][lane] = 1 / r
		}
	}
	frame, spread, along := &g[w.frame[0]], &g[w.spread[0]], &g[w.along[0]]
	for lane := range s.count {
		length := in[clampLength][lane] / pieces
		section := in[bodyProperty(flangeBody, conductivity)][lane] * in[flangeThickness][lane]
		frame[lane] = 1 / (pieces * in[frameResistance][lane])
		spread[lane] = 3 * section * length / in[clampWidth][lane] // k t Lp over a third of W: first term of the fin
		along[lane] = section * in[flangeFrameWidth][lane] / length
	}
	for i := range w.frame[1:] {
		g[w.frame[i+1]], g[w.spread[i+1]] = *frame, *spread
	}
	for _, element := range w.along[1:] {
		g[element] = *along
	}
	for i, element := range w.faces {
		edge.joined[i].join(&g[element])
	}
}
