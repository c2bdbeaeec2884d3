package rig

import (
	"context"
	"fmt"
	"math"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/sim/batch"
	"clampodds/sim/calibrate"
)

// PlannedNoise is the standard deviation of a reading of a rig test that is only planned, K; common
// practice for thermocouples read against the wall, no source.
const PlannedNoise = 0.3

// Planned is a rig test before it is made: cards of one lot, tightened once, both edges read at the study's nominal
// torque, power and wall.
type Planned struct {
	// 1/(1/left - 1) = floor + card/cards, left the part of the input's variance that remains: floor is what the cards of a lot
	// share, card what each has of its own.
	floor, card float64
}

// Plan finds out what such a test tells of an input, by calibrations with 1 and 4 cards whose readings are as
// expected; how far they narrow depends little on what is read. Of o what says how (draws, seed, workers, confidence) is taken.
func Plan(ctx context.Context, s *study.Study, input string, o calibrate.Problem) (Planned, error) {
	const few, many = 1, 4
	var open [2]float64
	for i, cards := range []int{few, many} {
		left, err := narrowedBy(ctx, s, input, cards, o)
		if err != nil {
			return Planned{}, err
		}
		if !(left < 1) {
			return Planned{}, fmt.Errorf("a rig test tells nothing of %s", input)
		}
		open[i] = 1 / (1/left - 1)
	}
	card := math.Max(0, (open[0]-open[1])/(1./few-1./many))
	return Planned{floor: math.Max(0, open[0]-card), card: card}, nil
}

// Left is the part of the variance that so many cards leave.
func (p Planned) Left(cards float64) float64 {
	open := p.floor + p.card/cards
	return open / (1 + open)
}

// MostCards is where planning ends.
const MostCards = 200

// Cards is the smallest number that leaves no more than this part of the variance; ok is false where none does.
func (p Planned) Cards(left float64) (cards int, ok bool) {
	for cards = 1; cards <= MostCards; cards++ {
		if p.Left(float64(cards)) <= left {
			return cards, true
		}
	}
	return 0, false
}

// narrowedBy is the part of the variance of the input's normal score that a test leaves.
func narrowedBy(ctx context.Context, s *study.Study, input string, cards int, o calibrate.Problem) (float64, error) {
	t := planned(s, cards)
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

// planned is the table without its readings.
func planned(s *study.Study, cards int) *Table {
	t := &Table{Name: "planned test"}
	set := func(key, input string, q units.Quantity, value float64) {
		column := Quantity{Key: key, Name: input, Quantity: q, Unit: string(q)}
		for range cards {
			column.Values = append(column.Values, value)
		}
		t.Set = append(t.Set, column)
	}
	set("torque", torqueInput, "N*m", s.At(torqueInput, 0).Nominal)
	set("power", "card.power", "W", totalPower(s))
	set("wall", "wall.temperature", units.Temperature, s.At("wall.temperature", 0).Nominal)
	for row := range cards {
		t.Lines, t.Card, t.Cards = append(t.Lines, row+1), append(t.Card, row), append(t.Cards, fmt.Sprint(row+1))
		t.Noise = append(t.Noise, PlannedNoise)
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
