package card

import (
	"math"

	"clampodds/joint/lanes"
)

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

// wallBlock is one wall of every card's edge.
type wallBlock struct {
	offset lanes.Row // of its coolant where it comes in, over the reference, K
	mean   lanes.Row // warming of the coolant, mean over the heat it takes from equal faces, K
	share  lanes.Row // G/S
	given  lanes.Row // sum of G g_i/S d_i, W
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
		warm, g, source := &edge.walls[i], &s.conductance[wall.element], &s.source[wall.node]
		for lane, temperature := range edge.in.rows[wallTemperature][:s.count] {
			warm.offset[lane] = temperature - s.cold[lane]
			source[lane] += g[lane] * warm.offset[lane]
		}
		for lane, all := range edge.in.rows[wallRise][:s.count] {
			warm.mean[lane], warm.share[lane], warm.given[lane] = 0, 0, 0
			if all != 0 {
				s.warmWall(warm, w.onWall[i], lane, g[lane], all)
			}
		}
	}
}

// warmWall is that for a card's wall of the conductance g, whose coolant warms by all.
func (s *state) warmWall(warm *wallBlock, faces []wallFace, lane int, g, all float64) {
	pressed, warmed := 0.0, 0.0
	for _, f := range faces {
		pressed += s.conductance[f.element][lane]
		warmed += s.conductance[f.element][lane] * rise(all, f.along)
	}
	warm.share[lane] = g / (g + pressed)
	warm.given[lane] = warm.share[lane] * warmed
	if pressed > 0 {
		warm.mean[lane] = warmed / pressed
	}
	for _, f := range faces {
		s.source[f.node][lane] += s.warmed(f, warm, lane, all)
	}
}

// warmed is the heat that a wall face gets from the coolant's rise, W.
func (s *state) warmed(f wallFace, warm *wallBlock, lane int, all float64) float64 {
	return warm.share[lane] * s.conductance[f.element][lane] * rise(all, f.along)
}

// intoWall is the heat that leaves by a wall, W.
func (s *state) intoWall(warm *wallBlock, wall part, lane int) float64 {
	return s.conductance[wall.element][lane]*(s.temperature[wall.node][lane]-warm.offset[lane]) - warm.given[lane]
}

// traceWalls puts the walls' own temperatures into those of the nodes and takes what
// the walls give out of the heat through faces and walls: heat as it flows.
func (m *Model) traceWalls(s *state, temperature, heat []float64) {
	for e := range s.edges {
		edge, w := &s.edges[e], &m.wiring.edges[e]
		for i, wall := range w.walls {
			warm, lane := &edge.walls[i], s.in.lane
			heat[wall.element] = s.intoWall(warm, wall, lane)
			temperature[wall.node] += warm.share[lane] * warm.mean[lane]
			for _, f := range w.onWall[i] {
				heat[f.element] -= s.warmed(f, warm, lane, edge.in.at(wallRise))
			}
		}
	}
}
