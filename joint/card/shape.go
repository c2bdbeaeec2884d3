package card

import (
	"clampodds/joint/contact"
	"clampodds/joint/lanes"
)

// shapeBench is what the stages of shapes leave for one another.
type shapeBench struct {
	slant          lanes.Row // cotangent of the ramps, no more than leaves a short base
	up, end, inner lanes.Row // exponents of a piece, then what they give
	flange, rail   lanes.Row // compliances against a wave, m/Pa
	bow, waves     contact.WaveBlock
	closedWaves    contact.PartialBlock
	pieces         lanes.Constant // how many
}

var (
	none, half, whole, two, three             = lanes.Same(0), lanes.Same(0.5), lanes.Same(1), lanes.Same(2), lanes.Same(3)
	upBySlant, alongBySlant, reach, feedShare = lanes.Same(-slantUp), lanes.Same(-slantAlong), lanes.Same(slantReach), lanes.Same(feedAlong)
)

// shapes lays sizes and bow of the pressed cards' edges into its block: of all cards together where vectors are
// fast, else one by one.
func (m *Model) shapes(s *state, edge *edgeState) {
	if lanes.Fast {
		m.shapeBlock(s, edge)
		return
	}
	for lane := range s.count {
		if s.pressed[lane] {
			edge.in.lane = lane
			m.shape(edge)
		}
	}
}

// shape is shapes of one card.
func (m *Model) shape(edge *edgeState) {
	b, lane, form := &edge.pressed, edge.in.lane, formOf(&edge.in)
	b.bow.Set(lane, edge.closeAlong(form))
	b.crown[lane] = form.crown
	size := m.pieceSize(edge)
	b.under[underEnd][lane], b.under[underOdd][lane], b.under[underEven][lane] = size.length+size.cone, size.length+2*size.cone, size.length-2*size.cone
	b.length[lane] = size.length
	b.up[lane], b.aside[lane] = size.up, size.aside
	b.end.set(lane, size.end)
	b.inner.set(lane, size.inner)
}

// shapeBlock is shape of all cards, to the last bit; of one that is not pressed nobody asks.
func (m *Model) shapeBlock(s *state, edge *edgeState) {
	b, t := &edge.pressed, &s.shape
	for lane := range s.count {
		t.slant[lane] = edge.cotangent(lane)
	}
	t.sizes(b, edge.in.rows, s.count)
	t.end.Exp(&t.end)
	t.inner.Exp(&t.inner)
	if m.layout.Family == TwoFace {
		t.up.Exp(&t.up)
		t.shorten(b, s.count)
	}
	t.rods(b, edge.in.rows, s.count)
	t.forms(b, edge.in.rows, s.count)
	m.bendBlock(s, edge)
}

// sizes is pieceSize as far as its exponentials.
func (t *shapeBench) sizes(b *edgeBlock, in []lanes.Row, count int) {
	halves, thrice := half.Vector(), three.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		length, width, height := in[clampLength].At(i).Div(t.pieces.Vector()), in[clampWidth].At(i), in[clampHeight].At(i)
		cone, most := in[flangeThickness].At(i), length.Mul(halves)
		cone = cone.Min(most)
		b.under[underEnd].Put(i, length.Add(cone))
		twice := two.Vector().Mul(cone)
		b.under[underOdd].Put(i, length.Add(twice))
		b.under[underEven].Put(i, length.Sub(twice))
		b.length.Put(i, length)
		k := thrice.Mul(in[bodyProperty(clampBody, conductivity)].At(i)).Mul(length)
		b.up.Put(i, height.Div(k.Mul(width)))
		b.aside.Put(i, width.Div(k.Mul(height)))
		ratio, slant := length.Div(height), t.slant.At(i)
		slant = slant.Min(ratio)
		t.up.Put(i, upBySlant.Vector().Mul(slant))
		slant = alongBySlant.Vector().Mul(slant)
		t.end.Put(i, slant.Div(ratio.Add(reach.Vector())))
		t.inner.Put(i, slant.Div(most.Div(height).Add(reach.Vector())))
	}
	lanes.Done()
}

// shorten brings base and ramps of a piece closer together. Not inlined: a function has vectors or floats.
//
//go:noinline
func (t *shapeBench) shorten(b *edgeBlock, count int) {
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		b.up.Put(i, b.up.At(i).Mul(t.up.At(i)))
	}
	lanes.Done()
}

// rods is the end of pieceSize.
func (t *shapeBench) rods(b *edgeBlock, in []lanes.Row, count int) {
	halves, thrice, feed := half.Vector(), three.Vector(), feedShare.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		length, height := b.length.At(i), in[clampHeight].At(i)
		k := in[bodyProperty(clampBody, conductivity)].At(i).Mul(in[clampWidth].At(i))
		c, l := t.end.At(i), length.Div(height).Div(k)
		b.end.third.Put(i, c.Mul(l).Div(thrice))
		b.end.feed.Put(i, feed.Mul(l).Div(c).Mul(length).Div(length))
		short := length.Mul(halves)
		c, l = t.inner.At(i), short.Div(height).Div(k)
		b.inner.third.Put(i, c.Mul(l).Div(thrice))
		b.inner.feed.Put(i, feed.Mul(l).Div(c).Mul(short).Div(length))
	}
	lanes.Done()
}

// forms is formOf, with the mean pressure of the direct face.
func (t *shapeBench) forms(b *edgeBlock, in []lanes.Row, count int) {
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		flatness := in[directFlatness].At(i)
		crown := in[directAcross].At(i).Mul(flatness)
		rest := flatness.Sub(crown)
		waves := in[directWaves].At(i).Mul(rest)
		b.crown.Put(i, crown)
		t.waves.Height.Put(i, waves)
		t.bow.Height.Put(i, in[directBow].At(i).Add(rest.Sub(waves)))
		t.bow.Pressure.Put(i, b.clamp.train.OnFlange.At(i).Div(in[clampLength].At(i).Mul(in[clampWidth].At(i))))
	}
	lanes.Done()
}

// bendBlock is closeAlong of all cards.
func (m *Model) bendBlock(s *state, edge *edgeState) {
	b, t, in := &edge.pressed, &s.shape, edge.in.rows
	t.bow.Length, t.bow.Conductivity = in[clampLength], edge.blocks[flangeOnRail].Conductivity
	t.stiffen(edge, &t.bow, bowWave, s.count)
	s.bench.Close(&t.bow, &b.bow, s.count)
	count, any := &in[directWaveCount], false
	for lane, height := range t.waves.Height[:s.count] {
		any = any || height != 0 && count[lane] != 0
	}
	if !any {
		return
	}
	t.waves.Conductivity = t.bow.Conductivity
	t.shortWaves(b, count, s.count)
	t.stiffen(edge, &t.waves, shortWaves, s.count)
	s.bench.Close(&t.waves, &t.closedWaves, s.count)
	for lane, height := range t.waves.Height[:s.count] {
		if height != 0 && count[lane] != 0 {
			waves := t.closedWaves.At(lane)
			b.bow.Set(lane, waves.Within(b.bow.At(lane)))
		}
	}
}

// stiffen sets the stiffness of flange and rail against waves.
func (t *shapeBench) stiffen(edge *edgeState, w *contact.WaveBlock, wave, count int) {
	in, rail := edge.in.rows, &edge.bent[wave][1]
	flange := contact.LayerBlock{Modulus: &in[bodyProperty(flangeBody, modulus)], Poisson: &in[bodyProperty(flangeBody, poisson)], Thickness: &in[flangeThickness]}
	flange.Compliance(&w.Length, &t.flange, count)
	under := contact.LayerBlock{Modulus: &in[bodyProperty(railBody, modulus)], Poisson: &in[bodyProperty(railBody, poisson)], Thickness: &in[railThickness]}
	for lane, length := range w.Length[:count] { // hardly ever drawn
		t.rail[lane] = rail.under(length, under.At(lane))
	}
	t.against(w, count)
}

// against is the end of stiffen. Not inlined, as shorten.
//
//go:noinline
func (t *shapeBench) against(w *contact.WaveBlock, count int) {
	all := whole.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		w.Stiffness.Put(i, all.Div(t.flange.At(i).Add(t.rail.At(i))))
	}
	lanes.Done()
}

// shortWaves finds length of and pressure on the waves in the strips that the bow leaves.
func (t *shapeBench) shortWaves(b *edgeBlock, count *lanes.Row, cards int) {
	zero, all := none.Vector(), whole.Vector()
	for i := 0; i < min(cards, lanes.Count); i += lanes.Width {
		n, fraction, pressure := count.At(i), b.bow.Fraction.At(i), t.bow.Pressure.At(i)
		n = lanes.Pick(n.Greater(zero), n, all)
		t.waves.Length.Put(i, t.bow.Length.At(i).Div(n))
		t.waves.Pressure.Put(i, lanes.Pick(fraction.Greater(zero), pressure.Div(fraction), pressure))
	}
	lanes.Done()
}

// form is how the direct face of an edge departs from a plane, peak to valley, m.
type form struct {
	crown float64 // across, besides that of each face
	bow   float64 // along, one wave over the clamp
	waves float64 // along, shorter
}

// formOf splits the flatness F into its parts and adds the bow given by itself:
//
//	crown = a F,  waves = w (1 - a) F,  bow = (1 - w)(1 - a) F
//
// a and w being the shares across and, of what lies along, in short waves. What
// varies along only and what varies across only have heights that add up, exactly; a
// bow and waves in the same direction add up to at most their heights.
func formOf(in *inputs) form {
	flatness := in.at(directFlatness)
	crown := float64(in.at(directAcross) * flatness)
	waves := float64(in.at(directWaves) * (flatness - crown)) // rounded, as shapeBlock's
	return form{crown: crown, bow: in.at(directBow) + (flatness - crown - waves), waves: waves}
}

// closeAlong is how far bow and waves have closed under the mean pressure of the direct face. The
// waves are closed by the pressure in the strips that the bow leaves, and bend the
// flange over their own, shorter length, B/count: twice as many are up to sixteen
// times as stiff.
func (edge *edgeState) closeAlong(f form) contact.Partial {
	in, conductivity := &edge.in, edge.blocks[flangeOnRail].Conductivity[edge.in.lane]
	pressure := edge.pressed.clamp.train.OnFlange[edge.in.lane] / (in.at(clampLength) * in.at(clampWidth))
	length := in.at(clampLength)
	bow := contact.Bow{Height: f.bow, Length: length, Stiffness: edge.stiffnessAgainst(bowWave, length)}
	closed := bow.Close(pressure, conductivity)
	if f.waves == 0 || in.at(directWaveCount) == 0 {
		return closed
	}
	length /= in.at(directWaveCount)
	if closed.Fraction > 0 {
		pressure /= closed.Fraction
	}
	waves := contact.Bow{Height: f.waves, Length: length, Stiffness: edge.stiffnessAgainst(shortWaves, length)}
	return waves.Close(pressure, conductivity).Within(closed)
}
