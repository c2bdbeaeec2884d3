package rig

import (
	"fmt"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/sim"
)

// prepared returns the study with a variable for everything that the table sets,
// so that the model takes it row by row.
func (t *Table) prepared(s *study.Study) (*study.Study, error) {
	for _, q := range t.Set {
		for _, key := range q.inputs(s) {
			in := *s.Input(key)
			if in.Dist != nil {
				continue
			}
			constant, err := dist.NewFixed(in.Nominal)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", key, err)
			}
			in.Dist, in.Level = constant, sim.Design
			s = s.WithInput(in)
		}
	}
	return s, nil
}

// inputs are the study's inputs that a condition sets.
func (q *Quantity) inputs(s *study.Study) []string {
	var list []string
	for _, in := range s.Edges(q.Name) {
		list = append(list, in.Key)
	}
	if q.Key != "power" {
		return list
	}
	for _, name := range s.Layout.Components {
		list = append(list, "component."+name+".power")
	}
	return list
}

// check refuses conditions that do not fit the study.
func (t *Table) check(s *study.Study) error {
	var wrong []string
	for i := range t.Set {
		wrong = append(wrong, t.outside(&t.Set[i], s)...)
	}
	if of(t.Set, "altitude") != nil && s.Input("gas.pressure").Nominal != 0 {
		wrong = append(wrong, "the study gives gas.pressure: an altitude would not be used; leave its column out with --column altitude=")
	}
	if of(t.Set, "power") != nil && !(totalPower(s) > 0) {
		wrong = append(wrong, "the study has no power whose shares could be kept")
	}
	if of(t.Set, "torque") != nil && s.Tool.Scatter == study.Fraction && !(min(s.At(torqueInput, 0).Nominal, s.At(torqueInput, 1).Nominal) > 0) {
		wrong = append(wrong, "the study's torque is 0: the scatter of the tool is no fraction of it")
	}
	if len(wrong) > 0 {
		return fmt.Errorf("%s: %s", t.Name, strings.Join(wrong, "\n"+t.Name+": "))
	}
	return nil
}

// outside lists the rows whose condition the model does not take.
func (t *Table) outside(q *Quantity, s *study.Study) (wrong []string) {
	p := s.At(q.Name, 0).Parameter
	for row, x := range q.Values {
		if !(x >= p.Low && x <= p.High) {
			format := func(x float64) string { return units.Format(x, q.Quantity, q.Unit) }
			wrong = append(wrong, fmt.Sprintf("line %d (%s): %s, allowed is %s to %s", t.Lines[row], q.Key, format(x), format(p.Low), format(p.High)))
		}
	}
	return wrong
}

// totalPower is the nominal heat of the card.
func totalPower(s *study.Study) float64 {
	sum := s.Input("card.power").Nominal
	for _, name := range s.Layout.Components {
		sum += s.Input("component." + name + ".power").Nominal
	}
	return sum
}

// setups numbers the tightenings: rows that follow one another with the same card
// and torque are one.
func (t *Table) setups() []int {
	list := make([]int, len(t.Lines))
	torque := of(t.Set, "torque")
	for row := 1; row < len(list); row++ {
		list[row] = list[row-1]
		if t.Card[row] != t.Card[row-1] || torque != nil && torque.Values[row] != torque.Values[row-1] {
			list[row]++
		}
	}
	return list
}
