package contact

import (
	"clampodds/joint/lanes"
)

// Bench is the scratch of the stages of a FaceBlock: numbers of every card that one leaves for the next. The
// zero value is ready.
type Bench struct {
	loaded, closed         lanes.Row // 1, else 0
	area, strip            lanes.Row
	amplitude, wave        lanes.Row    // D, l
	q, lesser              lanes.Row    // q of the crown, the lesser of q and 1-q
	arc                    lanes.Places // the lesser's cell in the arcsine's table
	rest, start            lanes.Row    // of a number that is split: r, and what its logarithm begins with
	relative               lanes.Row
	spotStart, gapStart    lanes.Row
	flow, drop, separation lanes.Row // of the spots; Y
	across                 PartialBlock
	odd                    bool // some card's spots need touchOdd

	coats coatBench
	pair  pairBench

	cards [lanes.Count]Pressing // of conductEach
}

// Conduct gives one face of the first count cards of a block the conductance and the local pressure that
// Evaluate gives, but for rounding. It is faster in three ways:
//
//   - Each number of a face hangs on the one before. Each stage goes through all cards before the next one
//     starts: what a card has to wait for, others have done.
//   - The tables of coats are cut at a K once, for all faces that have it (CoatCurves); by vectors, always anew.
//   - Resistances are carried as flows over drops and divided once, at the end.
//
// Vectors, which want pairs from Join, and single cards, whose pairs are Set, have the same bits; with vectors branches
// become choices between two results. Card by card it writes to the curves of the bodies; else what is said of Evaluate holds.
//
// ranges gets what holds of a card beside what it has of other faces.
func (b *Bench) Conduct(f *FaceBlock, gas *GasBlock, factor *lanes.Row, ranges *RangesBlock, count int) {
	if !lanes.Fast {
		b.conductEach(f, gas, factor, ranges, count)
		return
	}
	b.conductVectors(f, gas, factor, ranges, count)
}

func (b *Bench) conductVectors(f *FaceBlock, gas *GasBlock, factor *lanes.Row, ranges *RangesBlock, count int) {
	b.odd = false
	if f.Force == nil {
		b.lie(f, count)
	} else {
		b.press(f, count)
		b.splitRatio(count)
		b.close(f, ranges, count)
		b.splitPressure(f.Pair.coated, count)
		b.touch(f, count)
		if f.Pair.coated {
			b.coat(f, count)
		}
		b.touchOdd(f, count)
	}
	b.join(f, gas, factor, count)
}

var (
	zero, half, one, two, minusOne                 = lanes.Same(0), lanes.Same(0.5), lanes.Same(1), lanes.Same(2), lanes.Same(-1)
	aForce                                         = lanes.Same(leastForce)
	spotsFrom, spotsTo, gapFrom, gapTo             = lanes.Same(leastRelativePressure), lanes.Same(mostRelativePressure), lanes.Same(gapLow), lanes.Same(gapHigh)
	gapAtLeast, gapAtMost                          = lanes.Same(unloadedSeparation), lanes.Same(gapPowerHigh)
	logarithm3, logarithm4, logarithm5, logarithm6 = lanes.Same(1.0 / 3), lanes.Same(1.0 / 4), lanes.Same(1.0 / 5), lanes.Same(1.0 / 6)
	perArc, arcCell, lastArc                       = lanes.Same(2 * arcCells), lanes.Same(0.5 / arcCells), lanes.Same(arcCells)
	spotBinomial, gapBinomial                      = spotPower.constants(), gapPower.constants()
)

func (p *power) constants() (c [6]lanes.Constant) {
	for k := range c {
		c[k] = lanes.Same(p.binomial[k])
	}
	return c
}

// lie is a face without load.
func (b *Bench) lie(f *FaceBlock, count int) {
	none, halves, low := zero.Vector(), half.Vector(), gapAtLeast.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		b.loaded.Put(i, none)
		b.area.Put(i, f.Length.At(i).Mul(f.Width.At(i)))
		b.across.Fraction.Put(i, none)
		b.across.Gap.Put(i, halves.Mul(f.Crown.At(i).Add(f.Taper.At(i))))
		b.separation.Put(i, f.Pair.gapScale.At(i).Mul(low))
		f.LocalPressure.Put(i, none)
	}
	lanes.Done()
}

// press finds the pressure in the strips of the bow and how far it closes the crown.
func (b *Bench) press(f *FaceBlock, count int) {
	none, halves, whole, twice, least := zero.Vector(), half.Vector(), one.Vector(), two.Vector(), aForce.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		width, force := f.Width.At(i), f.Force.At(i)
		area := f.Length.At(i).Mul(width)
		strip := force.Div(area)
		loaded := lanes.Keep(force.Greater(least).And(area.Greater(none)), whole)
		if f.Along != nil {
			fraction, bowed := f.Along.Fraction.At(i), f.Along.Gap.At(i).Greater(none)
			loaded = lanes.Drop(bowed.And(fraction.Equal(none)), loaded)
			strip = lanes.Pick(bowed.And(fraction.Less(whole)), strip.Div(fraction), strip)
		}
		b.area.Put(i, area)
		b.strip.Put(i, strip)
		b.loaded.Put(i, loaded)
		crown, taper := f.Crown.At(i), f.Taper.At(i)
		height := crown.Add(taper)
		amplitude := halves.Mul(height)
		b.amplitude.Put(i, amplitude)
		b.wave.Put(i, width.Mul(crown.Add(twice.Mul(taper))).Div(height))
		q := strip.Mul(width).Mul(f.Pair.openness.At(i)).Div(twice.Mul(crown).Add(taper))
		closed := q.GreaterEqual(whole).Or(amplitude.Equal(none))
		b.closed.Put(i, lanes.Keep(closed, whole))
		b.putRatio(i, lanes.Pick(closed.Or(loaded.Equal(none)), halves, q)) // any number, where nobody looks
	}
	lanes.Done()
}

// putRatio puts the share of its closing pressure that each wave has from lane i on, above 0 and below 1, where
// splitRatio and closing look.
func (b *Bench) putRatio(i int, q lanes.Vector) {
	b.q.Put(i, q)
	lesser := one.Vector().Sub(q)
	lesser = q.Min(lesser)
	b.lesser.Put(i, lesser)
	cell, _ := cells(lesser.Mul(perArc.Vector()), &lastArc)
	b.arc.Put(i, cell)
}

// closing is closeWave from lane i on.
func (b *Bench) closing(i int, spread lanes.Vector) (fraction, gap, constriction lanes.Vector) {
	whole, q, lesser := one.Vector(), b.q.At(i), b.lesser.At(i)
	ln := b.start.At(i).Add(logarithmSeries(b.rest.At(i)))
	gap = whole.Sub(q).Add(q.Mul(ln))
	gap = b.amplitude.At(i).Mul(zero.Vector().Max(gap))
	constriction = minusOne.Vector().Mul(spread).Mul(ln)
	fraction = lesser.Sqrt().Mul(arcSeriesOn(lesser, (*[lanes.Width]int32)(b.arc[i:])))
	return lanes.Pick(half.Vector().Less(q), whole.Sub(fraction), fraction), gap, constriction
}

// splitRatio looks up what the logarithm of q needs.
func (b *Bench) splitRatio(count int) {
	for i := range min(count+lanes.Width-1, lanes.Count) {
		n := split(b.q[i])
		b.rest[i], b.start[i] = n.r, n.logarithmStart()
	}
}

// close finds the strips in contact across and their pressure.
func (b *Bench) close(f *FaceBlock, ranges *RangesBlock, count int) {
	none, whole := zero.Vector(), one.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		fraction, gap, constriction := b.closing(i, b.wave.At(i).Mul(f.Pair.spread.At(i)))
		closed := b.closed.At(i).NotEqual(none)
		fraction = lanes.Pick(closed, whole, fraction)
		loaded := b.loaded.At(i).NotEqual(none)
		b.across.Fraction.Put(i, lanes.Keep(loaded, fraction))
		b.across.Gap.Put(i, lanes.Pick(loaded, lanes.Drop(closed, gap), b.amplitude.At(i)))
		b.across.Constriction.Put(i, lanes.Drop(closed, constriction))
		local := lanes.Keep(loaded, b.strip.At(i).Div(fraction))
		f.LocalPressure.Put(i, local)
		relative := lanes.Pick(loaded, local.Mul(f.Pair.softness.At(i)), whole)
		b.relative.Put(i, relative)
		below, above, over := &ranges.PressureBelow, &ranges.PressureAbove, &ranges.OverYield
		if outside := relative.Less(spotsFrom.Vector()); outside.ToBits() != 0 {
			below.Put(i, lanes.Pick(outside, whole, below.At(i)))
		}
		if outside := loaded.And(relative.Greater(spotsTo.Vector())); outside.ToBits() != 0 {
			above.Put(i, lanes.Pick(outside, whole, above.At(i)))
		}
		if outside := local.Greater(f.Pair.yieldBearing.At(i)); outside.ToBits() != 0 {
			over.Put(i, lanes.Pick(outside, whole, over.At(i)))
		}
	}
	lanes.Done()
}

// logarithmSeries is the series of parts.logarithm.
func logarithmSeries(r lanes.Vector) lanes.Vector {
	square := r.Mul(r)
	near := logarithm3.Vector().Sub(logarithm4.Vector().Mul(r))
	far := logarithm5.Vector().Sub(logarithm6.Vector().Mul(r))
	return r.Add(square.Mul(r.Mul(near.Add(square.Mul(far))).Sub(half.Vector())))
}

// arcSeriesOn is arcSeriesAt of every lane.
func arcSeriesOn(q lanes.Vector, cell *[lanes.Width]int32) lanes.Vector {
	r := q.Sub(q.Mul(perArc.Vector()).Floor().Add(half.Vector()).Mul(arcCell.Vector()))
	square := r.Mul(r)
	c0, c1, c2, c3 := lanes.Look(&arcTable[0][0], arcTerms/4, cell)
	c4, c5, c6, c7 := lanes.Look(&arcTable[0][1], arcTerms/4, cell)
	far := c4.Add(r.Mul(c5)).Add(square.Mul(c6.Add(r.Mul(c7))))
	return c0.Add(r.Mul(c1)).Add(square.Mul(c2.Add(r.Mul(c3)).Add(square.Mul(far))))
}

// splitPressure looks up what the powers of P_l/H need.
func (b *Bench) splitPressure(coated bool, count int) {
	for i := range min(count+lanes.Width-1, lanes.Count) {
		n := split(b.relative[i])
		b.rest[i], b.spotStart[i], b.gapStart[i] = n.r, spotPower.start(n), gapPower.start(n)
		b.odd = b.odd || !n.ordinary()
		if coated {
			b.coats.ln[i] = n.logarithmStart()
		}
	}
}

// touch finds the spots and the gap between them, without coats.
func (b *Bench) touch(f *FaceBlock, count int) {
	whole := one.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		r, relative := b.rest.At(i), b.relative.At(i)
		square := r.Mul(r)
		start := b.spotStart.At(i)
		b.flow.Put(i, f.Pair.spotScale.At(i).Mul(start.Add(start.Mul(binomial(&spotBinomial, r, square)))))
		b.drop.Put(i, whole)
		start = b.gapStart.At(i)
		gap := start.Add(start.Mul(binomial(&gapBinomial, r, square)))
		gap = lanes.Pick(relative.Greater(gapTo.Vector()), gapAtMost.Vector(), gap)
		low := relative.Less(gapFrom.Vector()).Or(b.loaded.At(i).Equal(zero.Vector()))
		b.separation.Put(i, f.Pair.gapScale.At(i).Mul(lanes.Pick(low, gapAtLeast.Vector(), gap)))
	}
	lanes.Done()
}

// binomial is the series of power.at.
func binomial(c *[6]lanes.Constant, r, square lanes.Vector) lanes.Vector {
	near := c[2].Vector().Add(r.Mul(c[3].Vector()))
	far := c[4].Vector().Add(r.Mul(c[5].Vector()))
	return r.Mul(c[1].Vector()).Add(square.Mul(near.Add(square.Mul(far))))
}

// touchOdd does again, one by one, the cards with a pressure that no power has a start for.
func (b *Bench) touchOdd(f *FaceBlock, count int) {
	if !b.odd {
		return
	}
	for i, relative := range b.relative[:count] {
		if split(relative).ordinary() {
			continue
		}
		p := Pressing{Pair: f.Pair.card(i), relative: relative}
		p.touch()
		if p.Pair.table != nil {
			p.coatSpots()
		}
		b.flow[i], b.drop[i], b.separation[i] = p.spots[0], p.spots[1], p.separation
	}
}

// join puts strips, gas and bow together.
func (b *Bench) join(f *FaceBlock, gas *GasBlock, factor *lanes.Row, count int) {
	none, whole := zero.Vector(), one.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		g := gasVector{gas.Conductivity.At(i), gas.JumpDistance.At(i), gas.Radiation.At(i)}
		film := f.Film.At(i).Add(f.Pair.film.At(i))
		fraction, constriction, separation := b.across.Fraction.At(i), b.across.Constriction.At(i), b.separation.At(i)
		s := separation.Add(g.jump)
		drop := b.drop.At(i)
		flow := b.flow.At(i).Mul(s).Add(g.conductivity.Add(g.radiation.Mul(s)).Mul(drop))
		h := fraction.Mul(factor.At(i)).Mul(flow).Div(drop.Mul(s).Add(flow.Mul(film.Add(fraction.Mul(constriction)))))
		h = lanes.Keep(b.loaded.At(i).NotEqual(none), h)
		h = g.beside(h, fraction, b.across.Gap.At(i), separation, film, whole)
		if f.Along == nil {
			h = h.Mul(b.area.At(i))
		}
		f.Conductance.Put(i, h)
	}
	lanes.Done()
	if f.Along != nil {
		b.bend(f, gas, factor, count)
	}
}

// bend puts the bow around the coefficient of its strips, and both into the conductance.
func (b *Bench) bend(f *FaceBlock, gas *GasBlock, factor *lanes.Row, count int) {
	none, whole := zero.Vector(), one.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		g := gasVector{gas.Conductivity.At(i), gas.JumpDistance.At(i), gas.Radiation.At(i)}
		film := f.Film.At(i).Add(f.Pair.film.At(i))
		fraction, gap := f.Along.Fraction.At(i), f.Along.Gap.At(i)
		flat := f.Conductance.At(i)
		h := flat.Mul(fraction)
		h = h.Div(whole.Add(h.Mul(f.Along.Constriction.At(i)).Div(factor.At(i))))
		h = g.beside(h, fraction, gap, b.separation.At(i).Add(b.across.Gap.At(i)), film, whole)
		h = lanes.Pick(gap.Greater(none).And(fraction.Less(whole)), h, flat)
		f.Conductance.Put(i, h.Mul(b.area.At(i)))
	}
	lanes.Done()
}

// gasVector is the gas of some cards.
type gasVector struct{ conductivity, jump, radiation lanes.Vector }

// beside is Partial.beside.
func (g *gasVector) beside(h, fraction, gap, separation, film, whole lanes.Vector) lanes.Vector {
	open := whole.Sub(fraction)
	flow, drop := g.through(gap, separation, open, film)
	h = h.Add(lanes.Keep(fraction.Less(whole), open.Mul(flow).Div(drop)))
	flow, drop = g.through(gap, separation, whole, film)
	if governs := flow.Greater(h.Mul(drop)); governs.ToBits() != 0 {
		h = lanes.Pick(governs, flow.Div(drop), h)
	}
	return h
}

func (g *gasVector) through(gap, separation, share, film lanes.Vector) (flow, drop lanes.Vector) {
	s := gap.Add(share.Mul(separation.Add(g.jump)))
	flow = share.Mul(g.conductivity).Add(g.radiation.Mul(s))
	return flow, s.Add(film.Mul(flow))
}
