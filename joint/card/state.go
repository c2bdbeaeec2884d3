package card

import (
	"fmt"
	"sync"

	"clampodds/joint/contact"
	"clampodds/joint/force"
	"clampodds/joint/lanes"
	"clampodds/joint/network"
)

// state is the scratch of Evaluate and the source of Trace: a block of cards. What only one
// stage needs is that of the card which is worked on.
type state struct {
	serves  *Model
	count   int               // cards of the block
	in      inputs            // of the card worked on
	out     []lanes.Row       // every output, kept or not
	outside lanes.Row         // 1 where an input was moved into its range
	seated  lanes.Row         // 1 where both clamps take hold, of vectors
	pressed [lanes.Count]bool // both clamps press, so that the card has temperatures
	heat    lanes.Row         // all the heat put in, W
	cold    lanes.Row         // the colder edge's wall, which temperatures are counted from, K
	edges   [edges]edgeState
	bench   contact.Bench
	shape   shapeBench
	behind  lanes.Row // what lies behind one side of a ramp, K/W
	ranges  contact.RangesBlock

	// Of the network. The walls' heat is what they would give to nodes as cold as
	// the colder wall; it is in source.
	conductance, source, temperature []lanes.Row
	work                             *network.Work
}

// inputs are the input vectors of a block, of which one card is worked on.
type inputs struct {
	rows []lanes.Row // by slot
	lane int
}

// at is the card's input of a slot.
func (in *inputs) at(slot int) float64 { return in.rows[slot][in.lane] }

// edgeState is one edge of it.
type edgeState struct {
	in inputs // the edge's block of them

	expansion, travel, overlap float64 // m
	fit                        force.Fit

	surroundings     surroundings
	standardPressure float64          // of the altitude in surroundings, Pa
	joint            float64          // temperature of the joint, K
	gas              contact.GasState // of surroundings

	tightened, axial, threadTorque float64 // N after tightening, N now, N*m
	spare                          float64 // N
	train                          force.TrainForces
	ramp, skew                     force.Angle

	bodies   bodyBlock
	prepared bool
	body     [bodies]contact.BodyBlock  // for vectors; else the pairs of cards one by one:
	pairs    *bodyPairs                 // of bodies
	made     [lanes.Count + 1]bodyPairs // of every card that has its own; last, from the block before
	coats    [bodies]coatCurves
	bent     [2][2]bentLayer // by bow and waves: flange, rail

	pressed edgeBlock
	blocks  *[pairKinds]contact.PairBlock // of pressed, or of that of the left edge
	faces   []contact.FaceBlock           // as Model.faces
	joined  []joined                      // likewise
	walls   [walls]wallBlock
}

// coatCurves are the curves of a body's coat: one for every ratio of conductivities among the cards of a
// block, as they follow each other. Those of the last card of a block stay its own in the next, which begins
// with the first again, so that they lie near the processor.
type coatCurves struct {
	ratio           float64 // that of now
	now, next, kept int
	list            [1 + lanes.Count]contact.CoatCurves
}

// of are those for a ratio.
func (c *coatCurves) of(ratio float64) *contact.CoatCurves {
	if ratio != c.ratio {
		if c.next == c.kept {
			c.next++
		}
		c.ratio, c.now = ratio, c.next
		c.next++
	}
	return &c.list[c.now]
}

// keep begins a block.
func (c *coatCurves) keep() { c.kept, c.next = c.now, 0 }

type bodyPairs [pairKinds]contact.Pair

// edgeBlock is what presses on the faces of every card's edge, and what the faces share.
type edgeBlock struct {
	gas             contact.GasBlock
	pairs           [pairKinds]contact.PairBlock
	bow             contact.PartialBlock // with the waves within it
	clamp           clampBlock
	under           [underKinds]lanes.Row // lengths of the direct face
	crown           lanes.Row             // of all direct faces, besides their own
	crowns          [force.MaxPieces]lanes.Row
	length, overlap lanes.Row // of a piece, of a ramp
	up, aside       lanes.Row // resistances of a piece, K/W
	end, inner      rodBlock
}

// What a direct face lies under: an end piece, another odd one, an even one.
const (
	underEnd = iota
	underOdd
	underEven
	underKinds
)

// joined is what a contact face of every card is in the network.
type joined struct {
	conductance lanes.Row  // of the face, its factor included, W/K
	bodies      *lanes.Row // resistance of the bodies behind the face, K/W
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

func (m *Model) newState() *state {
	n := m.wiring.Network
	s := &state{
		in: inputs{rows: make([]lanes.Row, len(m.inputs))}, out: make([]lanes.Row, ownOutputs+len(m.layout.Components)),
		conductance: make([]lanes.Row, n.Elements()), source: make([]lanes.Row, n.Nodes()), temperature: make([]lanes.Row, n.Nodes()),
		work: n.NewWork(),
	}
	s.shape.pieces = lanes.Same(float64(m.layout.Pieces))
	for e := range s.edges {
		edge := &s.edges[e]
		edge.in.rows = s.in.rows[m.edgeSlot(e, 0):m.edgeSlot(e+1, 0)]
		edge.pairs = &edge.made[lanes.Count]
		edge.blocks = &edge.pressed.pairs
		if m.sameBodies {
			edge.blocks = &s.edges[0].pressed.pairs
		}
		edge.bind(m.faces)
	}
	s.serve(m)
	return s
}

// serve turns to a model of the same kind.
func (s *state) serve(m *Model) {
	s.serves = m
	for slot, value := range m.inputs {
		s.in.rows[slot].Fill(value)
	}
	for e := range s.edges {
		s.edges[e].prepared = false
	}
}

// states are those that nobody works in, by the kind of model: a command has dozens of models of one layout.
var states sync.Map // of *sync.Pool

// statesOf are those of the model's kind.
func statesOf(m *Model) *sync.Pool {
	pool, _ := states.LoadOrStore(fmt.Sprintf("%+v %t", m.layout, m.sameBodies), new(sync.Pool))
	return pool.(*sync.Pool)
}

// state is one that serves the model.
func (m *Model) state() *state {
	s, ok := m.states.Get().(*state)
	switch {
	case !ok:
		return m.newState()
	case s.serves != m:
		s.serve(m)
	}
	return s
}

// bind tells the faces of an edge where their numbers lie.
func (edge *edgeState) bind(plan []plannedFace) {
	edge.faces, edge.joined = make([]contact.FaceBlock, len(plan)), make([]joined, len(plan))
	b, in := &edge.pressed, edge.in.rows
	b.clamp.bind(in)
	for kind := range b.pairs { // also of cards that never come to have some
		for lane := range lanes.Count {
			b.pairs[kind].Set(lane, &edge.pairs[kind])
		}
	}
	for i := range edge.body {
		p := func(property int) *lanes.Row { return &in[bodyProperty(i, property)] }
		edge.body[i] = contact.BodyBlock{
			Conductivity: p(conductivity), Modulus: p(modulus), Poisson: p(poisson), Hardness: p(hardness),
			Roughness: p(roughness), Slope: p(slope), Yield: p(yield),
			CoatThickness: p(coatThickness), CoatConductivity: p(coatConductivity), CoatHardness: p(coatHardness),
		}
	}
	for i := range plan {
		f, own := &plan[i], in[edgeParameters+i*faceParameters:][:faceParameters]
		at, bodies := f.position-1, new(lanes.Row)
		face := contact.FaceBlock{
			Pair: &edge.blocks[f.pair], Length: &b.length, Width: &in[clampWidth], Crown: &own[crown], Taper: &own[taper], Film: &own[film],
		}
		switch f.kind {
		case direct:
			face.Along, face.Crown, face.Length = &b.bow, &b.crowns[at], &b.under[f.under()]
			if f.under() != underEven {
				face.Force = &b.clamp.train.Outward[at]
			}
		case piece, upper:
			face.Force, bodies = &b.clamp.train.Outward[at], &b.up
		case side, rib:
			face.Force, face.Width, bodies = &b.clamp.train.Sideways[at], &in[clampHeight], &b.aside
		case ramp:
			face.Force, face.Length = &b.clamp.train.RampNormal[at], &b.overlap
		}
		edge.faces[i], edge.joined[i].bodies = face, bodies
	}
}

// take turns to one of the cards.
func (s *state) take(lane int) {
	s.in.lane = lane
	for e := range s.edges {
		s.edges[e].in.lane = lane
	}
}

// evaluateBlock follows the cards of a block from their input vectors to their outputs: each to
// its faces, then all of them together.
func (m *Model) evaluateBlock(s *state) {
	clear(s.out)
	if lanes.Fast {
		m.pressBlock(s)
	} else {
		m.pressEach(s)
	}
	if !m.mechanical {
		m.conduct(s)
		m.wiring.SolveBlock(s.conductance, s.source, s.work, s.temperature, s.count)
		m.reportFaces(s)
		m.reportTemperatures(s)
		m.reportHeat(s)
	}
	for lane := range s.count {
		if !s.pressed[lane] {
			s.take(lane)
			m.reportLoose(s)
		}
	}
}

// pressEach is press of all cards, one by one.
func (m *Model) pressEach(s *state) {
	s.edges[1].keepPairs() // first: they may be the left edge's
	s.edges[0].keepPairs()
	for lane := range s.count {
		s.take(lane)
		s.pressed[lane] = m.press(s)
	}
}

// press follows one card to what presses on its faces, and reports that. It tells whether both
// clamps press.
func (m *Model) press(s *state) bool {
	for e := range s.edges {
		s.edges[e].findFit()
	}
	m.reportFit(s)
	if s.misfit() {
		return false
	}
	for e := range s.edges {
		s.prepareGas(m.layout.Gas, e)
		s.edges[e].tighten(&m.layout.Thread, m.train)
	}
	m.reportForces(s)
	s.reportTrains()
	if s.unclamped() {
		s.out[eventUnclamped][s.in.lane] = 1
		return false
	}
	if m.mechanical {
		return true
	}
	for e := range s.edges {
		m.preparePairs(s, e)
		m.lay(&s.edges[e])
	}
	return true
}

// conduct fills the networks of all cards. One that is not pressed has numbers of an earlier
// card, or none; nobody asks for its temperatures.
func (m *Model) conduct(s *state) {
	clear(s.source)
	s.ranges = contact.RangesBlock{}
	left, right := &s.edges[0].in.rows[wallTemperature], &s.edges[1].in.rows[wallTemperature]
	for lane := range s.count {
		s.cold[lane] = min(left[lane], right[lane])
	}
	for e := range s.edges {
		if lanes.Fast {
			m.joinPairs(s, e)
		}
		m.shapes(s, &s.edges[e])
		m.pressFaces(s, &s.edges[e])
		m.conductEdge(s, e)
		m.warmWalls(s, e)
	}
	for lane := range s.count {
		s.take(lane)
		m.heatCard(s)
	}
}
