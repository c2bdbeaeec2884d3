// Package rig reads a table of thermal readings, of a test rig or of cards in
// service, and makes of it and a study what sim/calibrate asks for.
//
// # The table
//
// A CSV file with a header line; dist/readings says what is taken. A row is one
// state in which temperatures were read. Columns are found by their headers,
// units stand in the header ("torque [N*m]") or are given:
//
//	torque            torque as set; the tool's scatter about it stays that of the study
//	power             heat of the whole card; the study's sources keep their shares
//	wall              temperature of the cold wall (also "wall temperature", "cold wall")
//	altitude          whose pressure is in the gaps
//	left, right       mean temperatures of the edges (also "left edge", "right edge")
//	hotter            mean temperature of the hotter edge (also "hotter edge")
//	spot              temperature of the hottest spot of both (also "hottest spot")
//	left resistance, right resistance
//	                  of the edges, edge less cold wall over the heat that leaves there
//	noise             standard deviation of the row's readings
//	card              any label; rows of one label were read on one card
//	lot               any label of the lot of the card; cards of one label in two lots are two
//
// Needed are one or more of left and right, or hotter, or spot, or one or both resistances,
// and the noise. What is not in the table is taken from the study, its scatter
// included.
//
// # What rows share
//
// Rows of one card share its flatness, its fits and its clamps; without a card
// column all rows are of one card, which is the cautious reading. Rows that follow
// one another with the same card and torque are one tightening; any other torque is
// a new one, with a new error of the tool. What the study draws per lot, roughness
// and friction, is shared by the rows of one lot, which are all rows without a lot
// column; chassis and lack of knowledge are shared by all rows.
//
// # Scale
//
// Conductances multiply, so the variation of a temperature rise is nearly normal
// on a logarithmic scale: with a wall column, observations are the logarithms of
// the edge's rise above the wall, with resistances their logarithms. Without the
// wall they are the temperatures themselves.
package rig

import (
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
	"clampodds/sim/calibrate"
)

// Calibration is a table wired to a study.
type Calibration struct {
	// Problem is ready to solve; what says how (draws, seed, workers, confidence) is
	// the caller's. Observation Row*len(Table.Read)+i is quantity i of a row.
	Problem calibrate.Problem
	Scale   Scale
}

// Calibrate wires a table to a study for the inputs in update, one to three. The
// error says which of them cannot be updated and why, or which row does not fit
// the study.
func (t *Table) Calibrate(s *study.Study, update []string) (*Calibration, error) {
	if err := t.check(s); err != nil {
		return nil, err
	}
	if err := t.updatable(s, update); err != nil {
		return nil, err
	}
	s, err := t.prepared(s)
	if err != nil {
		return nil, err
	}
	m, err := newModel(s, t, update)
	if err != nil {
		return nil, err
	}
	c := &Calibration{Scale: m.scale}
	c.Problem = calibrate.Problem{Variables: m.sharing(), Model: m.prepare, Observations: t.observations(&m.scale), Covariates: t.covariates()}
	c.Problem.NoiseAt = func(o int, value float64) float64 {
		row := o / len(t.Read)
		return m.scale.noise(row, m.scale.From(row, value), t.Noise[row])
	}
	for _, key := range update {
		c.Problem.Parameters = append(c.Problem.Parameters, calibrate.Parameter{Name: key, Prior: s.Input(key).Dist})
	}
	c.Problem.Correlation, err = m.correlation()
	return c, err
}

// updatable refuses inputs that are not one unknown positive number for all rows.
func (t *Table) updatable(s *study.Study, update []string) error {
	if len(update) < 1 || len(update) > 3 {
		return fmt.Errorf("%d inputs to update, must be 1 to 3", len(update))
	}
	for i, key := range update {
		in := s.Input(key)
		switch {
		case in == nil:
			return fmt.Errorf("the study has no input %q to update", key)
		case slices.Contains(update[:i], key):
			return fmt.Errorf("%s is to be updated twice", key)
		case in.Dist == nil:
			return fmt.Errorf("%s is a constant in the study: give it a distribution, which says what is known before the readings", key)
		case !in.Level.Shared():
			return fmt.Errorf("%s is drawn anew per %s, it is no one number that readings can narrow: give it per = \"design\" or knowledge = true", key, in.Level)
		case slices.ContainsFunc(t.Set, func(q Quantity) bool { return slices.Contains(q.inputs(s), key) }):
			return fmt.Errorf("%s is set by the table: it cannot be updated too", key)
		}
		if low, _ := in.Dist.Support(); !(low >= 0) {
			return fmt.Errorf("%s may be negative in the study: only positive inputs can be updated", key)
		}
	}
	return nil
}

// observations puts the readings on their scale.
func (t *Table) observations(scale *Scale) []calibrate.Observation {
	var list []calibrate.Observation
	setup := t.setups()
	for row := range t.Lines {
		for _, q := range t.Read {
			x := q.Values[row]
			list = append(list, calibrate.Observation{
				Value: scale.to(row, x), Noise: scale.noise(row, x, t.Noise[row]), Lot: t.Lot[row], Unit: t.Card[row], Setup: setup[row], State: row,
			})
		}
	}
	return list
}

// Order is the covariate of the rows' order: surfaces that change with use show in
// it.
const Order = "order"

// covariates are the conditions and the order of the rows.
func (t *Table) covariates() []calibrate.Covariate {
	order := make([]float64, len(t.Lines))
	for row := range order {
		order[row] = float64(row)
	}
	var list []calibrate.Covariate
	for _, q := range append(slices.Clone(t.Set), Quantity{Key: Order, Values: order}) {
		c := calibrate.Covariate{Name: q.Key}
		for _, x := range q.Values {
			c.Values = append(c.Values, slices.Repeat([]float64{x}, len(t.Read))...)
		}
		list = append(list, c)
	}
	return list
}

// correlation of the parameters' normal scores. A parameter that hangs together
// with an input that is not updated is refused: what the readings say of the one
// would be lost on the other.
func (m *model) correlation() (*mat.SymDense, error) {
	all := m.inputs.NormalCorrelation()
	variables := m.inputs.Variables()
	r := mat.NewSymDense(len(m.parameters), nil)
	for i, a := range m.parameters {
		for j, v := range variables {
			if all.At(a, j) == 0 {
				continue
			}
			if at := slices.Index(m.parameters, j); at >= 0 {
				r.SetSym(i, at, all.At(a, j))
				continue
			}
			return nil, fmt.Errorf("%s is correlated with %s: update both, or take the correlation out", variables[a].Input, v.Input)
		}
	}
	return r, nil
}

// sharing says which rows share a variable's draw.
func (m *model) sharing() []calibrate.Variable {
	var list []calibrate.Variable
	var retightened []string
	if torque := of(m.table.Set, "torque"); torque != nil {
		retightened = torque.inputs(m.study)
	}
	for _, i := range m.free {
		v := m.inputs.Variables()[i]
		sharing := calibrate.PerUnit
		switch {
		case v.Level == sim.Lot && !v.Knowledge:
			sharing = calibrate.PerLot
		case v.Level.Shared():
			sharing = calibrate.Common
		case slices.Contains(retightened, v.Input):
			sharing = calibrate.PerSetup
		}
		list = append(list, calibrate.Variable{Name: v.Name, Sharing: sharing})
	}
	return list
}

const torqueInput = "screw.torque"

// ColumnsNotUsed warns of columns under headers that are not known: a condition that was read, or which card or lot a row is of, may stand there.
const ColumnsNotUsed sim.WarningCode = "columns-not-used"

// Warnings are of columns that were not read.
func (t *Table) Warnings() []sim.Warning {
	if len(t.NotUsed) == 0 {
		return nil
	}
	var missing []string
	if t.Cards[0] == "" {
		missing = append(missing, cardColumn)
	}
	if t.Lots == 1 {
		missing = append(missing, lotColumn)
	}
	text := "not used: " + strings.Join(t.NotUsed, ", ")
	if len(missing) > 0 {
		text += "; no column " + strings.Join(missing, " or ") + " is known by its header, and rows of several are taken for those of one"
	}
	return []sim.Warning{{Code: ColumnsNotUsed, Text: fmt.Sprintf("%s. Headers that are known: %s; --column names others, as in --column card=%s", text, strings.Join(known(), ", "), t.NotUsed[0])}}
}

// Assumed says in words what the table leaves to the study.
func (t *Table) Assumed(s *study.Study) []string {
	var list []string
	cards := "no column card: all rows are taken as readings of one card"
	if t.Cards[0] != "" {
		cards = fmt.Sprintf("%d cards of one lot", len(t.Cards))
	}
	if t.Lots > 1 {
		cards = fmt.Sprintf("%d cards of %d lots", len(t.Cards), t.Lots)
	}
	list = append(list, cards)
	if len(t.NotUsed) > 0 {
		list = append(list, "columns that are not used: "+strings.Join(t.NotUsed, ", "))
	}
	if of(t.Set, "torque") != nil {
		setups := t.setups()
		list = append(list, fmt.Sprintf("tightenings: %d; rows that follow one another with the same card and torque are one", setups[len(setups)-1]+1))
	}
	var missing []string
	for _, c := range columns {
		if c.input == "" || of(t.Set, c.key) != nil {
			continue
		}
		in := s.Input(c.input)
		nominal := in.Nominal
		if c.key == "power" {
			nominal = totalPower(s)
		}
		text := c.key + " " + in.Format(nominal)
		if in.Dist != nil {
			text += " with its scatter"
		}
		missing = append(missing, text)
	}
	if len(missing) > 0 {
		list = append(list, "not in the table, as in the study: "+strings.Join(missing, ", "))
	}
	return list
}
