package study

import (
	"fmt"
	"math"
	"strings"

	"clampodds/dist"
	"clampodds/dist/fit"
	"clampodds/joint/card"
	"clampodds/sim"
)

// leftOpen is what few readings leave open of an input: its mean and its spread
// become inputs of their own, the same unknown numbers for all cards.
type leftOpen struct {
	fit.Open
	averaged dist.Distribution // over mean and spread
	readings int
}

// The keys of what is left open, behind that of the input.
const (
	openMean   = ".mean_left_open"
	openSpread = ".spread_left_open"
)

// leftOpen returns the inputs that stand for what the readings leave open; none
// where the input does not rest on few readings.
func (in *Input) leftOpen() []Input {
	if in.open == nil {
		return nil
	}
	mean, spread := dist.Must(in.open.Mean()), dist.Must(in.open.Spread()) // the number of readings was checked
	part := func(key, meaning, typed string, nominal float64, d dist.Distribution) Input {
		part := in.part(key, meaning+": left open by the readings")
		part.Typed, part.Nominal, part.Dist, part.Level, part.Knowledge = typed, nominal, d, sim.Design, true
		return part
	}
	return []Input{
		part(openMean, "true mean of "+in.Key+" less that read, in standard deviations", fmt.Sprintf("normal, sd 1/√%d", in.open.readings), 0, mean),
		part(openSpread, "true standard deviation of "+in.Key+" over that read", fmt.Sprintf("√(%d/χ²)", in.open.readings-1), 1, spread),
	}
}

// part is an input that stands for something of this one, a pure number.
func (in *Input) part(key, meaning string) Input {
	key = in.Key + key
	return Input{
		Key: key, Origin: in.Origin, File: in.File, Line: in.Line, Source: in.Source,
		Parameter: card.Parameter{Key: key, Unit: "1", Low: math.Inf(-1), High: math.Inf(1), Meaning: meaning},
	}
}

// Averaged is the distribution of one draw, whatever is left open averaged over, and the level of its lot.
func (in *Input) Averaged() dist.Distribution {
	switch {
	case in.lot != nil:
		return dist.Must(in.lot.averaged()) // both parts were checked
	case in.open != nil:
		return in.open.averaged
	}
	return in.Dist
}

// Averaged is the study with what few readings leave open, and the levels of lots beside a unit's own draw, averaged
// over draw by draw, in place of inputs of their own.
func (s *Study) Averaged() *Study {
	derived := *s
	derived.Inputs = nil
	for _, in := range s.Inputs {
		if !in.partOfOpen() {
			in.Dist, in.open, in.lot = in.Averaged(), nil, nil
			derived.Inputs = append(derived.Inputs, in)
		}
	}
	return &derived
}

// move multiplies the distribution by factor >= 0 and adds shift.
func (in *Input) move(factor, shift float64) error {
	moved := func(d dist.Distribution) (dist.Distribution, error) {
		d, err := dist.Multiplied(d, factor)
		if err != nil {
			return nil, err
		}
		return dist.Shifted(d, shift)
	}
	d, err := moved(in.Dist)
	if err != nil {
		return err
	}
	in.Dist = d
	if factor == 0 {
		in.open, in.lot = nil, nil
	}
	if in.lot != nil {
		within, err := moved(in.lot.within)
		if err != nil {
			return err
		}
		in.lot = in.lot.moved(factor, shift, within)
	}
	if in.open != nil {
		open := *in.open
		if open.averaged, err = moved(open.averaged); err != nil {
			return err
		}
		open.Open, in.open = open.Moved(factor, shift), &open
	}
	return nil
}

// RestsOn returns the input that a variable stands for, the one itself or the one whose true mean or spread it is, with the number of readings
// that leave it open; 0 where it does not rest on readings.
func (s *Study) RestsOn(variable string) (input string, readings int) {
	for _, part := range []string{openMean, openSpread} {
		if key, found := strings.CutSuffix(variable, part); found {
			if in := s.Input(key); in != nil && in.open != nil {
				return key, in.open.readings
			}
		}
	}
	return variable, 0
}
