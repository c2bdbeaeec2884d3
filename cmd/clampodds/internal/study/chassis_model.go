package study

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"clampodds/joint/card"
)

// chassisModel evaluates whole chassis: a row is one, with a card in each slot.
//
// The heat Q_j of each card leaves by the wall, and a coolant of the heat capacity rate C (mass flow
// times specific heat) that passes the slots in their order takes it up. Energy balance of steady flow,
// C (T_out - T_in) = Q, slot by slot (first law; Incropera and DeWitt, Fundamentals of Heat
// and Mass Transfer, section 1.3), with the mean over its own slot, halfway through its heat:
//
//	T_i = T_wall + R ΣQ + (Q_1 + ... + Q_(i-1) + Q_i/2)/C
//
// T_wall is wall.temperature, R chassis.wall_resistance from the wall to its cold side. Both edges
// of a card lie on walls of the same flow. All heat is counted, also that of a card which is not clamped.
type chassisModel struct {
	slots   []slotModel
	rate    card.Source // C; the constant 0 for none
	wall    card.Source // R
	columns int         // of the inputs; the walls of a slot follow behind, by edge
	any     []anyOutput
	outputs []card.Output
	only    int       // the slot that is evaluated; negative for all, with the outputs of the chassis
	scratch sync.Pool // of *chassisScratch
}

// slotModel is the card of a slot: its outputs, behind that of the wall, begin with first.
type slotModel struct {
	*card.Model
	first int
	reads []int                   // columns of the inputs
	heat  []card.Source           // of its card and components
	wall  [len(sides)]card.Source // as stated, by edge
}

// anyOutput is how far the worst card is above its own limit.
type anyOutput struct {
	at    int
	of    []int
	limit []float64
}

// Outputs of a chassis are those of the cards behind the names of their slots,
// "power.2/edge.spot", and besides:
//
//	SLOT/wall.temperature   K, of the wall behind the card, mean of both edges
//	any/OUTPUT              of the slots that limit the output, the largest excess over its own limit
//	any/event.NAME          of any card
//	chassis/heat            W, of all cards
//	chassis/rise            K, of the coolant from the first slot to behind the last

// The outputs of the chassis, first in the list.
const (
	chassisHeat = iota
	chassisRise
)

var chassisOutputs = []card.Output{{Name: "chassis/heat", Unit: "W", Bin: 1e-3}, {Name: "chassis/rise", Unit: "dK", Bin: 1e-4}}

// newChassisModel wires the slots; columns gives the number of each variable.
func (s *Study) newChassisModel(columns map[string]int) (*chassisModel, error) {
	m := &chassisModel{
		only: -1, columns: len(columns), outputs: slices.Clone(chassisOutputs),
		rate: s.Input("chassis.capacity_rate").source(columns, "", card.Instance{}),
		wall: s.Input("chassis.wall_resistance").source(columns, "", card.Instance{}),
	}
	m.scratch.New = func() any { return new(chassisScratch) }
	for i, at := range s.seats() {
		slot, err := s.slotModel(columns, i, at)
		if err != nil {
			return nil, fmt.Errorf("slot %s: %w", at.slot, err)
		}
		slot.first = len(m.outputs) + 1
		m.slots = append(m.slots, slot)
		for _, o := range append([]card.Output{{Name: wallKey, Unit: "K", Bin: 1e-4}}, slot.Outputs()...) {
			o.Name = at.slot + "/" + o.Name
			m.outputs = append(m.outputs, o)
		}
	}
	m.addAny(s)
	return m, nil
}

const wallKey = "wall.temperature"

// slotModel binds the inputs of a slot. What its walls are at is worked out for each row.
func (s *Study) slotModel(columns map[string]int, number int, at seat) (slot slotModel, err error) {
	err = s.bind(columns, number, at, func(in *Input, instance card.Instance, source card.Source) card.Source {
		if source.Column >= 0 {
			slot.reads = append(slot.reads, source.Column)
		}
		switch key := in.Parameter.Key; {
		case key == wallKey:
			slot.wall[instance.Edge] = source
			return card.FromColumn(len(columns) + instance.Edge)
		case isHeat(key):
			slot.heat = append(slot.heat, source)
		}
		return source
	})
	if err == nil {
		slot.Model, err = card.New(at.Binding)
	}
	return slot, err
}

// mostHeat is the end of the range of card.power and of a component's power, W.
const mostHeat = 1e4

// isHeat reports whether an input is heat that a card puts into its wall.
func isHeat(key string) bool {
	return key == "card.power" || strings.HasPrefix(key, "component.") && strings.HasSuffix(key, ".power")
}

// SlotHeat is the nominal heat of a slot's card, by its number, W.
func (s *Study) SlotHeat(slot int) (heat float64) {
	for i := range s.Inputs {
		if in := &s.Inputs[i]; in.slots != nil && in.in(slot) && isHeat(in.Parameter.Key) {
			heat += in.Nominal
		}
	}
	return heat
}

// addAny adds the outputs for any card: of each limit, and of each event.
func (m *chassisModel) addAny(s *Study) {
	add := func(name string, o card.Output, of int, limit float64) {
		name = AnyCard + "/" + name
		k := slices.IndexFunc(m.any, func(a anyOutput) bool { return m.outputs[a.at].Name == name })
		if k < 0 {
			k, o.Name = len(m.any), name
			m.any, m.outputs = append(m.any, anyOutput{at: len(m.outputs)}), append(m.outputs, o)
		}
		m.any[k].of, m.any[k].limit = append(m.any[k].of, of), append(m.any[k].limit, limit)
	}
	for of, o := range slices.Clone(m.outputs) {
		_, name, _ := strings.Cut(o.Name, "/")
		if strings.HasPrefix(name, "event.") {
			add(name, o, of, 0)
		}
		for i := range s.Limits {
			if l := &s.Limits[i]; l.Output == o.Name {
				o.Unit = string(l.Quantity.Difference())
				add(name, o, of, l.Max)
			}
		}
	}
}

// chassisScratch holds columns from one block to the next.
type chassisScratch struct {
	columns [][]float64
	own     [scratchColumns][]float64
}

// The columns of a chassisScratch: walls by edge, heat of all cards, of those upstream, rise of the wall.
const (
	allHeat = len(sides) + iota
	upstream
	warmer
	scratchColumns
)

// Evaluate is sim.Model's.
func (m *chassisModel) Evaluate(x, y [][]float64) {
	s := m.scratch.Get().(*chassisScratch)
	defer m.scratch.Put(s)
	rows := len(y[0])
	for i := range s.own {
		s.own[i] = slices.Grow(s.own[i][:0], rows)[:rows]
		clear(s.own[i])
	}
	if m.shares() || m.only < 0 {
		for _, slot := range m.slots {
			slot.addHeat(1, x, s.own[allHeat])
		}
	}
	if m.only < 0 {
		m.reportCoolant(s, x, y)
	}
	for i, slot := range m.slots {
		if m.only >= 0 && i != m.only {
			if i < m.only && m.warms() {
				slot.addHeat(1, x, s.own[upstream])
			}
			continue
		}
		slot.addHeat(0.5, x, s.own[upstream])
		for r := range rows {
			s.own[warmer][r] = at(m.wall, x, r)*s.own[allHeat][r] + m.rise(x, r, s.own[upstream][r])
			for edge, wall := range slot.wall {
				s.own[edge][r] = at(wall, x, r) + s.own[warmer][r]
			}
			y[slot.first-1][r] = (s.own[0][r] + s.own[1][r]) / 2
		}
		s.columns = append(append(s.columns[:0], x[:m.columns]...), s.own[:len(sides)]...)
		slot.Model.Evaluate(s.columns, y[slot.first:slot.first+len(slot.Outputs())])
		slot.addHeat(0.5, x, s.own[upstream])
	}
	for _, a := range m.any {
		a.evaluate(y)
	}
}

func (m *chassisModel) reportCoolant(s *chassisScratch, x, y [][]float64) {
	copy(y[chassisHeat], s.own[allHeat])
	for r, heat := range s.own[allHeat] {
		y[chassisRise][r] = m.rise(x, r, heat)
	}
}

// warms reports whether the coolant does.
func (m *chassisModel) warms() bool { return m.rate.Column >= 0 || m.rate.Value > 0 }

// shares reports whether the heat of all warms the wall of each.
func (m *chassisModel) shares() bool { return m.wall.Column >= 0 || m.wall.Value > 0 }

// rise is that of the coolant by a heat, K.
func (m *chassisModel) rise(x [][]float64, r int, heat float64) float64 {
	if !m.warms() {
		return 0
	}
	return heat / max(at(m.rate, x, r), chassisTable[0].Low)
}

func at(s card.Source, x [][]float64, r int) float64 {
	if s.Column < 0 {
		return s.Value
	}
	return x[s.Column][r]
}

// addHeat adds a share of the heat of the slot's card, in the range that the card's model allows.
func (slot *slotModel) addHeat(share float64, x [][]float64, to []float64) {
	for _, source := range slot.heat {
		for r := range to {
			to[r] += share * min(max(at(source, x, r), 0), mostHeat)
		}
	}
}

func (a *anyOutput) evaluate(y [][]float64) {
	worst := y[a.at]
	for i, of := range a.of {
		for r, value := range y[of] {
			if excess := value - a.limit[i]; i == 0 || excess > worst[r] {
				worst[r] = excess
			}
		}
	}
}

// ofSlot is the model of one slot, with the columns that it reads: its card's, those of the heat
// that warms its wall, and of how that does. It is nil where the outputs are not all of one slot.
func (m *chassisModel) ofSlot(outputs []string) (*chassisModel, []int) {
	for i, slot := range m.slots {
		own := m.outputs[slot.first-1 : slot.first+len(slot.Outputs())]
		isOwn := func(name string) bool {
			return slices.ContainsFunc(own, func(o card.Output) bool { return o.Name == name })
		}
		if slices.ContainsFunc(outputs, func(name string) bool { return !isOwn(name) }) {
			continue
		}
		one := &chassisModel{rate: m.rate, wall: m.wall, columns: m.columns, slots: slices.Clone(m.slots), only: i, outputs: own}
		one.scratch.New = m.scratch.New
		one.slots[i].first = 1
		reads := slices.Clone(slot.reads)
		for j, other := range m.slots {
			if j < i && m.warms() || m.shares() {
				for _, source := range other.heat {
					reads = append(reads, source.Column)
				}
			}
		}
		reads = append(reads, m.rate.Column, m.wall.Column)
		return one, slices.DeleteFunc(reads, func(column int) bool { return column < 0 })
	}
	return nil, nil
}
