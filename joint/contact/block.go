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

// RangesBlock says whether any loaded face of a card lies outside a range, 1, else 0.
type RangesBlock struct{ PressureBelow, PressureAbove, OverYield lanes.Row }

// add adds what holds of a face that is closed.
func (b *RangesBlock) add(lane int, f *Pressing) {
	if f.loaded {
		b.PressureBelow[lane] = max(b.PressureBelow[lane], event(f.relative < leastRelativePressure))
		b.PressureAbove[lane] = max(b.PressureAbove[lane], event(f.relative > mostRelativePressure))
		b.OverYield[lane] = max(b.OverYield[lane], event(f.LocalPressure > f.Pair.yieldBearing))
	}
}

func event(happened bool) float64 {
	if happened {
		return 1
	}
	return 0
}

// Card is the face of one card, with its pair and what presses on it.
func (f *FaceBlock) Card(lane int) (p Pressing) {
	f.lay(lane, &p)
	return p
}

func (f *FaceBlock) lay(lane int, p *Pressing) {
	face := &p.Face
	p.Pair, p.Film, p.Force = f.Pair.card(lane), f.Film[lane]+f.Pair.film[lane], 0
	face.Length, face.Width, face.Crown, face.Taper = f.Length[lane], f.Width[lane], f.Crown[lane], f.Taper[lane]
	if f.Force != nil {
		p.Force = f.Force[lane]
	}
	face.Along = Partial{}
	if f.Along != nil {
		face.Along = f.Along.At(lane)
	}
}

// conductEach is Conduct card by card.
func (b *Bench) conductEach(f *FaceBlock, gas *GasBlock, factor *lanes.Row, ranges *RangesBlock, count int) {
	cards := b.cards[:count]
	for lane := range cards {
		p := &cards[lane]
		f.lay(lane, p)
		p.close()
		ranges.add(lane, p)
	}
	touch(cards)
	for lane := range cards {
		p, state := &cards[lane], gas.at(lane)
		p.join(&state, factor[lane])
		f.Conductance[lane], f.LocalPressure[lane] = p.Conductance, p.LocalPressure
	}
}
