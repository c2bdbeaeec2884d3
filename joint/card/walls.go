package card

import "math"

// The network counts temperatures from one reference, the colder edge's wall. A wall
// that is warmer by d behind a conductance G gives the heat G d to a node at the
// reference; as a source of that heat at the node it leaves the network as it is,
// and every number in it a sum of positive ones (Norton).
//
// Coolant that warms along the edge makes the wall of piece i warmer by
// d_i = rise (i-1)/(n-1). A wall stays one node: its faces have the conductances g_i,
// S = G + sum g_i. Seen from the faces (star-mesh) that is a conductance
// G g_i/S from each face's node straight into the coolant, and links
// g_i g_j/S between them. The coolant of the first is taken at the face's own place,
// so the source G g_i/S d_i goes to that node [own]: the wall carries the heat
// between the pieces as before, what it passes on is at its place. Without a rise
// nothing changes; what is hotter never cools anything; the wall's face at piece i is
// warmer than at the first by G/S d_i.

// wallState is one wall of an edge.
type wallState struct {
	offset float64 // of its coolant where it comes in, over the reference, K
	mean   float64 // warming of the coolant, mean over the heat it takes from equal faces, K
	share  float64 // G/S
	given  float64 // sum of G g_i/S d_i, W
}

// rise is how much the coolant has warmed a share of the way along the edge.
func rise(all, along float64) float64 {
	if all < 0 {
		along = 1 - along
	}
	return math.Abs(all) * along
}

// warmWalls puts the heat of an edge's walls into the network. It comes after
// conductEdge.
func (m *Model) warmWalls(s *state, e int) {
	edge, w := &s.edges[e], &m.wiring.edges[e]
	for i, wall := range w.walls {
		g := s.conductance[wall.element]
		warm := wallState{offset: edge.in[wallTemperature] - s.cold}
		s.source[wall.node] += g * warm.offset
		if all := edge.in[wallRise]; all != 0 {
			pressed, warmed := 0.0, 0.0
			for _, f := range w.onWall[i] {
				pressed += s.conductance[f.element]
				warmed += s.conductance[f.element] * rise(all, f.along)
			}
			warm.share = g / (g + pressed)
			warm.given = warm.share * warmed
			if pressed > 0 {
				warm.mean = warmed / pressed
			}
			for _, f := range w.onWall[i] {
				s.source[f.node] += s.warmed(f, warm.share, all)
			}
		}
		edge.walls[i] = warm
	}
}

// warmed is the heat that a wall face gets from the coolant's rise, W.
func (s *state) warmed(f wallFace, share, all float64) float64 {
	return share * s.conductance[f.element] * rise(all, f.along)
}

// intoWall is the heat that leaves by a wall, W.
func (s *state) intoWall(edge *edgeState, w *edgeWiring, i int) float64 {
	warm := &edge.walls[i]
	return s.conductance[w.walls[i].element]*(s.temperature[w.walls[i].node]-warm.offset) - warm.given
}

// traceWalls puts the walls' own temperatures into those of the nodes and takes what
// the walls give out of the heat through faces and walls: heat as it flows.
func (m *Model) traceWalls(s *state, temperature, heat []float64) {
	for e := range s.edges {
		edge, w := &s.edges[e], &m.wiring.edges[e]
		for i, wall := range w.walls {
			heat[wall.element] = s.intoWall(edge, w, i)
			warm := &edge.walls[i]
			temperature[wall.node] += warm.share * warm.mean
			for _, f := range w.onWall[i] {
				heat[f.element] -= s.warmed(f, warm.share, edge.in[wallRise])
			}
		}
	}
}
