package card

// The card's frame as a bar: from its middle to the left and to the right edge, each
// half the resistance R of its edge, in as many strips as the flange has pieces. Heat Q
// that enters at a place u of the way from the middle to an edge, alike in all strips,
// is for the rest of the network Q (1-u) in the middle and Q u at the edge (lever
// rule). The place itself is at
//
//	(1-u) T_middle + u T_edge + R sum_j Q_j min(u, u_j) (1 - max(u, u_j))
//
// over the heat on the same half, the bar's own rise between ends held cold
// (conduction with a source, Carslaw and Jaeger).

// spot is where heat enters the bar.
type spot struct {
	edge int     // the half it is on
	out  float64 // u
}

func spotAt(place float64) spot {
	if place < inTheMiddle {
		return spot{0, 1 - 2*place}
	}
	return spot{1, 2*place - 1}
}

// heatCard puts the heat in and conducts the components'.
func (m *Model) heatCard(s *state) {
	s.heat[s.in.lane] = 0
	m.heatBar(s, m.wiring.card, s.in.at(cardPower), s.in.at(cardPlace))
	for i, c := range m.wiring.components {
		s.conductance[c.element][s.in.lane] = 1 / s.in.at(componentResistance(i))
		m.heatBar(s, c.node, s.in.at(componentPower(i)), s.in.at(componentPlace(i)))
	}
}

// heatBar puts power in at a place; node takes what is the middle's.
func (m *Model) heatBar(s *state, node int, power, place float64) {
	at, lane := spotAt(place), s.in.lane
	s.heat[lane] += power
	s.source[node][lane] += power * (1 - at.out)
	if at.out == 0 {
		return
	}
	inner := m.wiring.edges[at.edge].inner
	for _, n := range inner {
		s.source[n][lane] += power * at.out / float64(len(inner))
	}
}

// component is the temperature of component i over the reference, K.
func (m *Model) component(s *state, i int) float64 {
	node := m.wiring.components[i].node
	at := spotAt(s.in.at(componentPlace(i)))
	if at.out == 0 {
		return s.temperature[node][s.in.lane]
	}
	edge := s.meanOf(m.wiring.edges[at.edge].inner)
	return (1-at.out)*s.temperature[m.wiring.card][s.in.lane] + at.out*edge +
		s.in.at(componentPower(i))*s.in.at(componentResistance(i)) + s.edges[at.edge].in.at(frameResistance)*m.between(s, at)
}

// between is the sum over the heat on the half of a spot: W.
func (m *Model) between(s *state, at spot) float64 {
	own := func(power, place float64) float64 {
		other := spotAt(place)
		if other.edge != at.edge {
			return 0
		}
		return power * min(at.out, other.out) * (1 - max(at.out, other.out))
	}
	sum := own(s.in.at(cardPower), s.in.at(cardPlace))
	for i := range m.layout.Components {
		sum += own(s.in.at(componentPower(i)), s.in.at(componentPlace(i)))
	}
	return sum
}

// meanOf is the mean temperature of nodes over the reference, K.
func (s *state) meanOf(nodes []int) float64 {
	sum := 0.0
	for _, node := range nodes {
		sum += s.temperature[node][s.in.lane]
	}
	return sum / float64(len(nodes))
}
