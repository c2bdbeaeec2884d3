package rig

import (
	"context"
	"fmt"
	"math"
	"slices"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/sim/batch"
	"clampodds/sim/calibrate"
)

// plannedNoise is the standard deviation of a reading of a rig test that is only planned, K; common
// practice for thermocouples read against the wall, no source.
const plannedNoise = 0.3

// Planned is a rig test before it is made: cards of one lot or several, tightened once, both edges read at the study's
// nominal torque, power and wall.
type Planned struct {
	// Of one card it is 1/(1/left - 1), left the part of the input's variance that remains, the sum of what each card has of its
	// own, what the cards of a lot share, and what no card tells apart from the input.
	Card, Lot, Rest float64
}

// Plan finds out what such a test tells of an input, by calibrations with one card, four of a lot and four of each of four lots, whose
// readings are as expected; how far they narrow depends little on what is read. Of o what says how (draws, seed, workers,
// confidence) is taken.
func Plan(ctx context.Context, s *study.Study, input string, o calibrate.Problem) (Planned, error) {
	const many = 4
	var open [3]float64
	for i, test := range []struct{ lots, cards int }{{1, 1}, {1, many}, {many, many}} {
		left, err := narrowedBy(ctx, s, input, test.lots, test.cards, o)
		if err != nil {
			return Planned{}, err
		}
		if !(left < 1) {
			return Planned{}, fmt.Errorf("a rig test tells nothing of %s", input)
		}
		open[i] = 1 / (1/left - 1)
	}
	const taken = 1 - 1./many // of what is divided by four
	p := Planned{Card: math.Max(0, (open[0]-open[1])/taken)}
	p.Lot = math.Max(0, (open[1]-open[2])/taken-p.Card/many)
	p.Rest = math.Max(0, open[0]-p.Card-p.Lot)
	return p, nil
}

// Left is the part of the variance that so many cards of each of so many lots leave.
func (p Planned) Left(lots, cards float64) float64 {
	open := p.Rest + (p.Lot+p.Card/cards)/lots
	return open / (1 + open)
}

// The most that is planned, and how many cards a lot more is worth: a guess at what it takes to get one.
const (
	mostLots   = 20
	mostCards  = 200
	lotInCards = 10
)

// Test is the cheapest test that leaves no more than this part of the variance, a lot being worth ten cards; ok is false
// where none does.
func (p Planned) Test(left float64) (lots, cards int, ok bool) {
	least := math.Inf(1)
	for l := 1; l <= mostLots; l++ {
		for c := 1; c <= mostCards; c++ {
			if p.Left(float64(l), float64(c)) > left {
				continue
			}
			if cost := float64(l * (lotInCards + c)); cost < least {
				least, lots, cards, ok = cost, l, c, true
			}
			break
		}
	}
	return lots, cards, ok
}

// narrowedBy is the part of the variance of the input's normal score that a test leaves.
func narrowedBy(ctx context.Context, s *study.Study, input string, lots, cards int, o calibrate.Problem) (float64, error) {
	t := planned(s, lots, cards)
	if err := t.expect(s, input); err != nil {
		return 0, err
	}
	c, err := t.Calibrate(s, []string{input})
	if err != nil {
		return 0, err
	}
	p := &c.Problem
	p.Draws, p.Seed, p.Workers, p.Confidence = o.Draws, o.Seed, o.Workers, o.Confidence
	result, err := p.Solve(ctx)
	if err != nil {
		return 0, err
	}
	left := result.Marginals[0].ScoreStdDev()
	return left * left, nil
}

// planned is the table of so many cards of each of so many lots, without its readings.
func planned(s *study.Study, lots, each int) *Table {
	t := &Table{Name: "planned test", Lots: lots}
	cards := lots * each
	set := func(key, input string, q units.Quantity, value float64) {
		t.Set = append(t.Set, Quantity{Key: key, Name: input, Quantity: q, Unit: string(q), Values: slices.Repeat([]float64{value}, cards)})
	}
	set("torque", torqueInput, "N*m", s.At(torqueInput, 0).Nominal)
	set("power", "card.power", "W", totalPower(s))
	set("wall", "wall.temperature", units.Temperature, s.At("wall.temperature", 0).Nominal)
	t.Noise = slices.Repeat([]float64{plannedNoise}, cards)
	for row := range cards {
		t.Lot = append(t.Lot, row/each)
		t.Lines, t.Card, t.Cards = append(t.Lines, row+1), append(t.Card, row), append(t.Cards, fmt.Sprint(row+1))
	}
	for _, edge := range []string{"left", "right"} {
		t.Read = append(t.Read, Quantity{Key: edge, Name: "edge." + edge, Quantity: units.Temperature, Unit: "K", Values: make([]float64, cards)})
	}
	return t
}

// expect fills in what a card reads with everything at its median.
func (t *Table) expect(s *study.Study, input string) error {
	prepared, err := t.prepared(s)
	if err != nil {
		return err
	}
	m, err := newModel(prepared, t, []string{input})
	if err != nil {
		return err
	}
	if s.Input(input) == nil || s.Input(input).Dist == nil {
		return fmt.Errorf("the study has no input %q that is not known", input)
	}
	y := batch.Columns(len(t.Lines)*len(t.Read), 1)
	m.prepare(batch.Columns(len(m.free), 1))([]float64{s.Input(input).Dist.Quantile(0.5)}, y)
	for row := range t.Lines {
		for i := range t.Read {
			x := m.scale.From(row, y[row*len(t.Read)+i][0])
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return fmt.Errorf("the card of a planned test has no temperature")
			}
			t.Read[i].Values[row] = x
		}
	}
	return nil
}
