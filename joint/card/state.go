package card

import (
	"slices"

	"clampodds/joint/contact"
	"clampodds/joint/force"
)

// state is one card with every intermediate result: the scratch of Evaluate and
// the source of Trace.
type state struct {
	rows    [together]rowState
	row     *rowState // the one that is worked on
	in, out []float64 // of row
	heat    float64   // all the heat put in, W
	cold    float64   // the colder edge's wall, which temperatures are counted from, K

	edges [edges]edgeState

	// Of the network. The walls' heat is what they would give to nodes as cold as
	// the colder wall; it is in source.
	conductance, source, work, temperature []float64
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

	bodies    bodyBlock
	pairs     [pairKinds]contact.Pair // of bodies
	curves    [bodies]contact.CoatCurves
	bent      [2]bentLayers      // by the bow, by the waves
	stiffness [2]float64         // of bent, Pa/m
	bow       contact.Partial    // with the waves within it
	faces     []contact.Pressing // as Model.faces
	joined    []joined           // likewise
	ranges    contact.Ranges
	walls     [walls]wallState
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
	s := &state{
		conductance: make([]float64, n.Elements()),
		source:      make([]float64, n.Nodes()),
		work:        make([]float64, n.WorkSize()),
		temperature: make([]float64, n.Nodes()),
	}
	for k := range s.rows {
		row := &s.rows[k]
		row.in, row.out = slices.Clone(m.inputs), make([]float64, ownOutputs+len(m.layout.Components))
		for e := range edges {
			row.edges[e] = row.in[m.edgeSlot(e, 0):m.edgeSlot(e+1, 0)]
		}
	}
	for e := range edges {
		edge := &s.edges[e]
		edge.faces, edge.joined = make([]contact.Pressing, len(m.faces)), make([]joined, len(m.faces))
	}
	return s
}

// take turns to one of the rows.
func (s *state) take(row *rowState) {
	s.row = row
	s.in, s.out = row.in, row.out
	for e := range s.edges {
		s.edges[e].in = row.edges[e]
	}
}

// evaluateRow follows one card from its input vector to its outputs.
func (m *Model) evaluateRow(s *state) {
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
	m.wiring.Solve(s.conductance, s.source, s.work, s.temperature)
	m.report(s)
}
