package card

import (
	"slices"

	"clampodds/joint/contact"
	"clampodds/joint/force"
	"clampodds/joint/network"
)

// state is the scratch of Evaluate and the source of Trace: some cards, and one of them
// with every intermediate result.
type state struct {
	rows      [together]rowState
	*rowState // the one of them that is worked on
	edges     [edges]edgeState
	work      []network.Four
}

// rowState is what of a card has to wait until the networks of all are solved.
type rowState struct {
	in      []float64        // input vector
	blocks  [edges][]float64 // the edges' blocks of it
	outside bool             // an input was moved into its range
	pressed bool             // both clamps press, so that it has temperatures
	heat    float64          // all the heat put in, W
	cold    float64          // the colder edge's wall, which temperatures are counted from, K
	walls   [edges][walls]wallState

	// Of the network. The walls' heat is what they would give to nodes as cold as
	// the colder wall; it is in source.
	conductance, source, temperature []float64

	out []float64 // every output, kept or not
}

// edgeState is one edge of it.
type edgeState struct {
	in []float64 // the edge's block of the input vector

	expansion, travel, overlap float64 // m
	fit                        force.Fit

	surroundings     surroundings
	standardPressure float64          // of the altitude in surroundings, Pa
	joint            float64          // temperature of the joint, K
	gas              contact.GasState // of surroundings

	tightened, axial, threadTorque float64 // N after tightening, N now, N*m
	spare                          float64 // N
	train                          force.TrainForces

	bodies bodyBlock
	pairs  [pairKinds]contact.Pair // of bodies
	curves [bodies]contact.CoatCurves
	bent   [2][2]bentLayer    // by bow and waves: flange, rail
	bow    contact.Partial    // with the waves within it
	faces  []contact.Pressing // as Model.faces
	joined []joined           // likewise
	ranges contact.Ranges
	walls  *[walls]wallState // of the row
}

// joined is what a contact face is in the network.
type joined struct {
	conductance float64 // of the face, its factor included, W/K
	bodies      float64 // resistance of the bodies behind the face, K/W
}

// misfit reports whether the clamp of either edge does not take hold in its slot.
func (s *state) misfit() bool {
	return s.edges[0].fit != force.Seated || s.edges[1].fit != force.Seated
}

// unclamped reports whether the clamp of either edge, which fits its slot, does not
// press.
func (s *state) unclamped() bool {
	return !s.edges[0].clamped() || !s.edges[1].clamped()
}

// newState allocates a state.
func (m *Model) newState() *state {
	n := m.wiring.Network
	s := &state{work: make([]network.Four, n.WorkSize())}
	for k := range s.rows {
		row := &s.rows[k]
		row.in, row.out = slices.Clone(m.inputs), make([]float64, ownOutputs+len(m.layout.Components))
		for e := range edges {
			row.blocks[e] = row.in[m.edgeSlot(e, 0):m.edgeSlot(e+1, 0)]
		}
		row.conductance = make([]float64, n.Elements())
		row.source, row.temperature = make([]float64, n.Nodes()), make([]float64, n.Nodes())
	}
	for e := range edges {
		edge := &s.edges[e]
		edge.faces, edge.joined = make([]contact.Pressing, len(m.faces)), make([]joined, len(m.faces))
	}
	return s
}

// take turns to one of the rows.
func (s *state) take(row *rowState) {
	s.rowState = row
	for e := range s.edges {
		s.edges[e].in, s.edges[e].walls = row.blocks[e], &row.walls[e]
	}
}

// evaluateRows follows cards from their input vectors to their outputs, all of them to
// the networks and then from there on.
func (m *Model) evaluateRows(s *state, rows []rowState) {
	for k := range rows {
		s.take(&rows[k])
		m.press(s)
	}
	m.solve(s, len(rows))
	for k := range rows {
		if rows[k].pressed {
			s.take(&rows[k])
			m.reportTemperatures(s)
			m.reportHeat(s)
		}
	}
}

// press follows one card to its network, and reports it but for temperatures and heat.
func (m *Model) press(s *state) {
	s.pressed = false
	for e := range s.edges {
		s.edges[e].findFit()
	}
	if s.misfit() {
		m.reportMisfit(s)
		return
	}
	for e := range s.edges {
		s.prepareGas(m.layout.Gas, e)
		s.edges[e].tighten(&m.layout.Thread, m.train)
	}
	if s.unclamped() {
		m.reportUnclamped(s)
		return
	}
	s.pressed = true
	clear(s.source)
	s.cold = min(s.edges[0].in[wallTemperature], s.edges[1].in[wallTemperature])
	for e := range s.edges {
		edge := &s.edges[e]
		edge.preparePairs(&s.edges[0])
		m.pressFaces(s, edge)
		m.conductEdge(s, e)
		m.warmWalls(s, e)
	}
	m.heatCard(s)
	m.reportPressed(s)
}

// solve finds the temperatures of the first rows. One that is not pressed has
// the conductances of an earlier card, or none; nobody asks for its temperatures.
func (m *Model) solve(s *state, count int) {
	for first := 0; first < count; first += 4 {
		var conductance, source, temperature [4][]float64
		for k := range 4 {
			row := &s.rows[first+k]
			conductance[k], source[k], temperature[k] = row.conductance, row.source, row.temperature
		}
		m.wiring.SolveFour(conductance, source, s.work, temperature)
	}
}
