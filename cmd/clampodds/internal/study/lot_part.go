package study

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"clampodds/dist"
	"clampodds/dist/fit"
	"clampodds/joint/card"
	"clampodds/sim"
)

// lotPart is what the units of a lot have in common beside their own draws: the level of the lot, added to each, or a
// factor for what is never negative. The logarithm of the factor is normal with mean 0.
type lotPart struct {
	sd     float64 // between lots: of the level, SI; of the logarithm of a factor
	factor bool
	origin float64           // the factor is that of the distance from it
	read   int               // lots that sd comes from; 0: it is known
	within dist.Distribution // of the own draw, as if its parameters were known
}

// The keys of a lot's part in the file, and that of the input it becomes, behind the key of its own.
const (
	lotSD      = "lot_sd"
	lotSigma   = "lot_sigma_ln"
	lotsRead   = "lots_read"
	levelOfLot = ".lot"
)

var lotKeys = []string{lotSD, lotSigma, lotsRead}

// lotPart reads that of a shape with distribution d; nil where there is none.
func (s *shapeReader) lotPart(d dist.Distribution) *lotPart {
	given := slices.DeleteFunc([]string{lotSD, lotSigma}, func(key string) bool { _, ok := s.table[key]; return !ok })
	read, counted := s.table[lotsRead]
	switch {
	case len(given) == 0 && !counted:
		return nil
	case len(given) != 1:
		s.refuse(s.entry, s.part, nil, "one of "+lotSD+" and "+lotSigma+" expected", "a level of the lot that is added, or a factor for what is never negative")
		return nil
	case s.part != "":
		s.refuse(s.entry, s.part+"."+given[0], nil, "a lot of a mixture has no part of a lot", "")
		return nil
	}
	key := given[0]
	sd, ok := s.value(key, s.table[key])
	p := &lotPart{sd: sd, factor: key == lotSigma, within: s.asIfKnown}
	if ok && !(p.sd > 0) {
		s.wrong(key, "must be above 0", "leave it out where lots do not differ")
	}
	if low, _ := d.Support(); p.factor && low < 0 {
		s.wrong(key, "a factor is for shapes that are never negative", lotSD+" adds the level of the lot")
	}
	for _, cut := range limitWords {
		if _, isCut := s.table[cut]; isCut && !slices.Contains(slices.Concat(dist.ShapeKeys(fmt.Sprint(s.table["shape"]))...), cut) {
			s.wrong(cut, "a cut does not go with the part of a lot: it would be one of the unit's own draw", "")
		}
	}
	if counted {
		n, _ := read.(int64) // any other type is no number of lots
		if p.read = int(n); n < 3 {
			s.refuse(s.entry, "."+lotsRead, read, "a whole number from 3 on expected: of fewer lots nothing is known of others", "")
		}
	}
	return p
}

// refuseLot reports an input that cannot have the part of a lot.
func (r *reader) refuseLot(e entry, in *Input) bool {
	switch {
	case in.lot == nil:
	case in.Level <= sim.Lot:
		r.refuse(e, ".per", in.Level.String(), "with the part of a lot the rest is drawn more finely than per lot", "leave per out")
		return true
	case in.Knowledge:
		r.refuse(e, ".knowledge", true, "the part of a lot is variation, not lack of knowledge", "")
		return true
	}
	return false
}

// levelOfLot is the input that stands for the levels of the lots, in standard deviations between them; none without.
func (in *Input) levelOfLot() []Input {
	if in.lot == nil {
		return nil
	}
	level := in.part(levelOfLot, "level of the lot of "+in.Key+", in standard deviations between lots")
	level.Typed, level.Dist, level.Level = "normal, sd 1", standardNormal, sim.Lot
	if in.lot.read > 0 {
		averaged, open := in.lot.open()
		level.open = &leftOpen{Open: open, averaged: averaged, readings: in.lot.read}
	}
	return []Input{level}
}

// withParts adds the inputs that stand for the levels of lots, and for what readings leave open, lots among them.
func withParts(list []Input) []Input {
	for i := range list {
		list = append(list, list[i].levelOfLot()...)
	}
	for i := range list {
		list = append(list, list[i].leftOpen()...)
	}
	return list
}

var standardNormal dist.Distribution = dist.Must(dist.NewNormal(0, 1))

// open is what so few lots leave open, with the level of a lot averaged over it.
func (p *lotPart) open() (averaged dist.Distribution, open fit.Open) {
	standard := dist.Spec{Shape: string(fit.Normal), Values: map[string]float64{"mean": 0, "sd": 1}}
	open, _, _, _ = fit.NewOpen(standard, p.read)              // fails where the next does
	return dist.Must(fit.WithReadings(standard, p.read)), open // the number of lots was checked
}

// mostFactor is the logarithm of the largest factor: three lots leave it so open that some draws would be infinite.
const mostFactor = 50

// given is a value in a lot of a level, in standard deviations between lots.
func (p *lotPart) given(x, level float64) float64 {
	if p.factor {
		return p.origin + (x-p.origin)*math.Exp(max(-mostFactor, min(p.sd*level, mostFactor)))
	}
	return x + p.sd*level
}

// averaged is the distribution of one unit of a new lot, what few lots leave open averaged over; the draw within a lot, which
// rests on more readings, is as if its parameters were known. It is a mixture over levels at normal scores a
// quarter apart, which are steps where the draw within a lot spreads by less than a quarter of the levels.
func (p *lotPart) averaged() (dist.Distribution, error) {
	levels := standardNormal
	if p.read > 0 {
		levels, _ = p.open()
	}
	var weights []float64
	var parts []dist.Distribution
	for score := -5.0; score <= 5; score += 0.25 {
		level := dist.FromNormalScore(levels, score)
		part, err := dist.Multiplied(p.within, p.given(p.origin+1, level)-p.given(p.origin, level))
		if err == nil {
			part, err = dist.Shifted(part, p.given(0, level))
		}
		if err != nil {
			return nil, err
		}
		weights, parts = append(weights, math.Exp(dist.NormalLogDensity(score))), append(parts, part)
	}
	return dist.NewMixture(weights, parts)
}

// moved is the part of values times factor plus shift, whose own draws have the distribution within.
func (p lotPart) moved(factor, shift float64, within dist.Distribution) *lotPart {
	p.within = within
	if p.factor {
		p.origin = factor*p.origin + shift
	} else {
		p.sd *= factor
	}
	return &p
}

// leftOpen is what few readings leave open of an input: its mean and its spread, or of a shape with a scale alone its
// spread, become inputs of their own, the same unknown numbers for all cards.
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
	spread := dist.Must(in.open.Spread()) // the number of readings was checked
	part := func(key, meaning, typed string, nominal float64, d dist.Distribution) Input {
		part := in.part(key, meaning+": left open by the readings")
		part.Typed, part.Nominal, part.Dist, part.Level, part.Knowledge = typed, nominal, d, sim.Design, true
		return part
	}
	list := []Input{part(openSpread, "true standard deviation of "+in.Key+" over that read", fmt.Sprintf("√(%d/χ²)", in.open.Freedom()), 1, spread)}
	if in.open.OnlySpread() {
		return list
	}
	mean := part(openMean, "true mean of "+in.Key+" less that read, in standard deviations", fmt.Sprintf("normal, sd 1/√%d", in.open.readings), 0, dist.Must(in.open.Mean()))
	return append([]Input{mean}, list...)
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
