package card

import (
	"fmt"
	"slices"
	"sync"

	"clampodds/joint/force"
	"clampodds/joint/lanes"
)

// Model evaluates cards of one layout. It is immutable and safe for concurrent
// use.
type Model struct {
	layout  Layout
	train   force.Train
	rows    []row
	drawn   []drawn
	columns int
	faces   []plannedFace
	wiring  *wiring
	outputs []Output
	kept    []int // index of each output in the full row of results
	states  *sync.Pool
	inputs  []float64 // the constants, in their slots

	drawnBodies [edges][]int // which inputs of an edge's bodies are drawn
	sameBodies  bool         // of both edges
	mechanical  bool         // temperatures and what the faces make are left out
}

// New makes the model of a binding. The error lists every input that is missing,
// by instance, and every group given in part.
func New(b *Binding) (*Model, error) {
	if err := b.check(); err != nil {
		return nil, err
	}
	l := b.layout
	w, err := wire(&l)
	if err != nil {
		return nil, err
	}
	m := &Model{
		layout: l,
		train:  force.Train{Pieces: l.Pieces, Anchor: l.Anchor},
		rows:   b.rows,
		faces:  planFaces(&l),
		wiring: w,
	}
	m.drawn, m.columns = drawnSlots(b)
	m.inputs = make([]float64, len(b.sources))
	for slot, s := range b.sources {
		if s.Column < 0 {
			m.inputs[slot] = s.Value
		}
	}
	m.compareBodies(b)
	m.chooseOutputs(b)
	m.states = statesOf(m)
	return m, nil
}

// compareBodies finds which inputs of the bodies are drawn, and whether both edges have the same.
func (m *Model) compareBodies(b *Binding) {
	m.sameBodies = true
	for i := range len(bodyBlock{}) {
		at := ownEdgeParameters + i
		for e := range edges {
			if b.sources[m.edgeSlot(e, at)].Column >= 0 {
				m.drawnBodies[e] = append(m.drawnBodies[e], i)
			}
		}
		m.sameBodies = m.sameBodies && b.sources[m.edgeSlot(0, at)] == b.sources[m.edgeSlot(1, at)]
	}
}

// chooseOutputs leaves out what the binding does not judge and the family does
// not have.
func (m *Model) chooseOutputs(b *Binding) {
	on := func(properties ...int) bool {
		for e := range edges {
			for _, p := range properties {
				if !b.off(m.edgeSlot(e, p)) {
					return true
				}
			}
		}
		return false
	}
	absent := map[int]bool{
		shareSide:            m.layout.Family != FourFace,
		utilisationScrew:     !on(screwYield),
		utilisationStripping: !on(screwEngagement),
		utilisationBearing:   !on(bodyProperty(clampBody, allowable), bodyProperty(flangeBody, allowable), bodyProperty(railBody, allowable)),
		utilisationHolding:   b.off(cardMass),
	}
	for i, o := range outputTable(m.layout.Components) {
		if !absent[i] {
			m.outputs = append(m.outputs, o)
			m.kept = append(m.kept, i)
		}
	}
}

// Mechanical is the model of the outputs for which no face need conduct: forces, utilisations but that of
// bearing, fit and its events. A card takes a fraction of the time. It is nil where one of those named needs more.
func (m *Model) Mechanical(outputs ...string) *Model {
	one := *m
	one.mechanical, one.outputs, one.kept = true, nil, nil
	for j, i := range m.kept {
		if !ofFaces(i) {
			one.outputs, one.kept = append(one.outputs, m.outputs[j]), append(one.kept, i)
		}
	}
	for _, name := range outputs {
		if !slices.ContainsFunc(one.outputs, func(o Output) bool { return o.Name == name }) {
			return nil
		}
	}
	return &one
}

// ofFaces says of an output, by its index, that the faces must conduct for it.
func ofFaces(i int) bool {
	return i < axialLeft || i == utilisationBearing || i >= eventPressureBelow && i != eventOutsideRange
}

func (m *Model) edgeSlot(edge, property int) int {
	return m.layout.cardSlots() + edge*m.layout.edgeSlots() + property
}

// Outputs lists the columns of the output in order. A limit that is not judged
// and a path that the family does not have are left out.
//
//	edge.left, edge.right    K, mean of the flange's inner edge over the pieces
//	edge.hotter              K, the hotter of the two
//	edge.spot                K, the hottest place of either edge; edge.spot.left, edge.spot.right of one
//	component.NAME           K
//	share.direct, .upper, .side    of the card's heat: by the lower rails, the upper rails, the side walls
//	resistance.left, .right  K/W, edge less its cold wall (where the coolant comes in) over the heat that leaves by that edge
//	force.axial.left, .right N, screw force after losses
//	force.face.left, .right  N, total force of the flange on the lower rail
//	utilisation.screw        of 0.9 times the yield stress, at the larger of the force after tightening and now; worse edge
//	utilisation.stripping    of the thread, at the same force; worse edge
//	utilisation.bearing      pressure in the contact strips over the lower allowable of both bodies; worst face
//	utilisation.holding      mass times acceleration over friction of both edges
//	fit.insertion            m, expansion needed at the tighter edge; below 0 the card does not enter
//	fit.travel               m, travel less expansion at the wider edge; below 0 the clamp does not hold
//	fit.preload              N, force left in the looser screw; below 0 by what is missing
//	event.no_entry, .no_travel             a misfit at either edge
//	event.unclamped                        no force on a flange: none in the screw, or ramps that stick
//	event.jammed, .self_locking            of either train
//	event.pressure_below_range, .pressure_above_range, .over_yield   of any loaded face
//	event.outside_range                    an input had to be moved into its allowed range
//
// Ramps, the smallest faces, are the first with a pressure above the range. That says
// little about the heat: at P_l/H = 3e-2 the spot law is 1.3 % below its exact model.
//
// A card with a misfit has temperatures and resistances +Inf, shares and forces 0,
// and so no utilisation but an infinite one of holding; its events but the misfits
// and outside_range are 0. So has one that is not clamped, but for what was done to
// its screws: their forces, fit.preload, utilisation.screw and .stripping,
// event.jammed and event.self_locking. Three causes that exclude one another: the last is only judged where
// both clamps fit. A resistance is also +Inf when no heat leaves by the edge, and
// utilisation.holding when there is no friction. All else is finite. Walls of unlike
// temperature can pass heat through the card: a share is then below 0 or above 1.
func (m *Model) Outputs() []Output { return append([]Output(nil), m.outputs...) }

// Columns returns the number of columns of input the model reads.
func (m *Model) Columns() int { return m.columns }

// Evaluate computes rows of outputs: x[i][r] is input column i of row r in SI
// units, y[j][r] receives output j. Rows are as many as y's columns are long. No
// value of x makes a NaN: one outside its parameter's range, NaN included, is
// moved into it and counted. It panics when x or y has too few columns or a
// column is too short. Nothing but y is modified; nothing is allocated per row.
func (m *Model) Evaluate(x, y [][]float64) {
	if len(x) < m.columns || len(y) != len(m.outputs) {
		panic(fmt.Sprintf("card: Evaluate got %d input and %d output columns; want %d and %d", len(x), len(y), m.columns, len(m.outputs)))
	}
	s := m.state()
	defer m.states.Put(s)
	rows := len(y[0])
	for start := 0; start < rows; start += lanes.Count {
		s.gather(m.drawn, x, start, min(lanes.Count, rows-start))
		m.evaluateBlock(s)
		for j, i := range m.kept {
			copy(y[j][start:], s.out[i][:s.count])
		}
	}
}
