package contact

import "clampodds/joint/lanes"

// FaceBlock is one face of the cards of a block: what presses on it, and what comes of it. A Pressing
// of one card has the same fields.
type FaceBlock struct {
	Pair                        *PairBlock
	Length, Width, Crown, Taper *lanes.Row
	Along                       *PartialBlock // nil: flat
	Film                        *lanes.Row    // what fills the gap, without the pair's coats
	Force                       *lanes.Row    // nil: no load
	Conductance, LocalPressure  lanes.Row
}

// PairBlock is a pair of bodies of every card.
type PairBlock struct {
	spotScale, gapScale, softness, openness, spread, yieldBearing, film lanes.Row

	anyCoated bool
	coated    lanes.Row // 1, else 0
	sides     [2]sideBlock
	coats     []Pair // of the coated
}

// Set gives a card its pair. Who shares the curves of a coat among cards of unlike conductivity has
// them cut anew for every face.
func (b *PairBlock) Set(lane int, p *Pair) {
	b.spotScale[lane], b.gapScale[lane], b.softness[lane] = p.spotScale, p.gapScale, p.softness
	b.openness[lane], b.spread[lane], b.yieldBearing[lane] = p.openness, p.spread, p.yieldBearing
	b.film[lane] = p.CoatResistance
	b.coated[lane] = 0
	if p.table != nil {
		b.setCoats(lane, p)
	}
}

func (b *PairBlock) setCoats(lane int, p *Pair) {
	if b.coats == nil {
		b.coats = make([]Pair, lanes.Count)
	}
	b.anyCoated, b.coated[lane], b.coats[lane] = true, 1, *p
	for i := range b.sides {
		b.sides[i].set(lane, &p.sides[i])
	}
}

// pair is enough of the pair of a card for one face of it.
func (b *PairBlock) pair(lane int) Pair {
	if b.coated[lane] != 0 {
		return b.coats[lane]
	}
	return Pair{
		spotScale: b.spotScale[lane], gapScale: b.gapScale[lane], softness: b.softness[lane],
		openness: b.openness[lane], spread: b.spread[lane], yieldBearing: b.yieldBearing[lane],
	}
}

// PartialBlock is a Partial of every card.
type PartialBlock struct{ Fraction, Gap, Constriction lanes.Row }

// Set gives a card its own.
func (b *PartialBlock) Set(lane int, p Partial) {
	b.Fraction[lane], b.Gap[lane], b.Constriction[lane] = p.Fraction, p.Gap, p.Constriction
}

// At is that of a card.
func (b *PartialBlock) At(lane int) Partial {
	return Partial{b.Fraction[lane], b.Gap[lane], b.Constriction[lane]}
}

// GasBlock is a GasState of every card.
type GasBlock struct{ Conductivity, JumpDistance, Radiation lanes.Row }

// Set gives a card its own.
func (b *GasBlock) Set(lane int, g *GasState) {
	b.Conductivity[lane], b.JumpDistance[lane], b.Radiation[lane] = g.Conductivity, g.JumpDistance, g.Radiation
}

func (b *GasBlock) at(lane int) GasState {
	return GasState{b.Conductivity[lane], b.JumpDistance[lane], b.Radiation[lane]}
}

// RangesBlock are the Ranges of every card, 1 for one that holds, else 0.
type RangesBlock struct{ PressureBelow, PressureAbove, OverYield lanes.Row }

// add adds what holds of a face.
func (b *RangesBlock) add(lane int, r Ranges) {
	if r.PressureBelow {
		b.PressureBelow[lane] = 1
	}
	if r.PressureAbove {
		b.PressureAbove[lane] = 1
	}
	if r.OverYield {
		b.OverYield[lane] = 1
	}
}

// Of is the face of one card, with its pair and what presses on it.
func (f *FaceBlock) Of(lane int, pair *Pair) Pressing {
	p := Pressing{
		Pair: pair, Film: f.Film[lane] + f.Pair.film[lane],
		Face: Face{Length: f.Length[lane], Width: f.Width[lane], Crown: f.Crown[lane], Taper: f.Taper[lane]},
	}
	if f.Force != nil {
		p.Force = f.Force[lane]
	}
	if f.Along != nil {
		p.Face.Along = f.Along.At(lane)
	}
	return p
}

// conductEach is Conduct card by card, by the stages of the function.
func (b *Bench) conductEach(f *FaceBlock, gas *GasBlock, factor *lanes.Row, ranges *RangesBlock, count int) {
	cards := b.cards[:count]
	for lane := range cards {
		p := &cards[lane]
		b.pairs[lane] = f.Pair.pair(lane)
		*p = f.Of(lane, &b.pairs[lane])
		p.close()
		ranges.add(lane, p.ranges())
	}
	touch(cards)
	for lane := range cards {
		p, state := &cards[lane], gas.at(lane)
		p.join(&state, factor[lane])
		f.Conductance[lane], f.LocalPressure[lane] = p.Conductance, p.LocalPressure
	}
}
