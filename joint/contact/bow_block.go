package contact

import (
	"math"

	"clampodds/joint/lanes"
)

// WaveBlock is a wave of every card that a mean pressure (Pa) closes between bodies of a conductivity, as Bow
// is of one.
type WaveBlock struct{ Height, Length, Stiffness, Pressure, Conductivity lanes.Row }

// Close is Bow.Close for the first count cards of a block, to the last bit.
func (b *Bench) Close(w *WaveBlock, to *PartialBlock, count int) {
	if lanes.Fast {
		b.closeWaves(w, to, count)
		return
	}
	for lane := range count {
		bow := Bow{w.Height[lane], w.Length[lane], w.Stiffness[lane]}
		to.Set(lane, bow.Close(w.Pressure[lane], w.Conductivity[lane]))
	}
}

func (b *Bench) closeWaves(w *WaveBlock, to *PartialBlock, count int) {
	b.ratios(w, count)
	b.splitRatio(count)
	none, whole := zero.Vector(), one.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		fraction, gap, constriction := b.closing(i, b.wave.At(i))
		closed, touched := b.closed.At(i).NotEqual(none), b.loaded.At(i).NotEqual(none)
		to.Fraction.Put(i, lanes.Keep(touched, lanes.Pick(closed, whole, fraction)))
		to.Gap.Put(i, lanes.Pick(touched, lanes.Drop(closed, gap), b.amplitude.At(i)))
		to.Constriction.Put(i, lanes.Keep(touched, lanes.Drop(closed, constriction)))
	}
	lanes.Done()
}

var leastShare, circle, halfCircle = lanes.Same(leastClosing), lanes.Same(2 * math.Pi), lanes.Same(math.Pi)

// ratios finds the share of its closing pressure that each wave has.
func (b *Bench) ratios(w *WaveBlock, count int) {
	none, halves, whole := zero.Vector(), half.Vector(), one.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		height, pressure := w.Height.At(i), w.Pressure.At(i)
		amplitude, closure := halves.Mul(height), w.Stiffness.At(i).Mul(height).Mul(halves)
		touched := pressure.Greater(closure.Mul(leastShare.Vector())).Or(height.Equal(none))
		q := pressure.Div(closure)
		closed := q.GreaterEqual(whole).Or(amplitude.Equal(none))
		b.amplitude.Put(i, amplitude)
		b.wave.Put(i, w.Length.At(i).Div(halfCircle.Vector().Mul(w.Conductivity.At(i))))
		b.loaded.Put(i, lanes.Keep(touched, whole))
		b.closed.Put(i, lanes.Keep(closed, whole))
		b.putRatio(i, lanes.Pick(touched, lanes.Pick(closed, halves, q), halves)) // any number, where nobody looks
	}
	lanes.Done()
}

// LayerBlock is a Layer of every card.
type LayerBlock struct{ Modulus, Poisson, Thickness *lanes.Row }

// At is that of a card.
func (l *LayerBlock) At(lane int) Layer {
	return Layer{l.Modulus[lane], l.Poisson[lane], l.Thickness[lane]}
}

// Compliance is Layer.Compliance for the first count cards of a block under waves of their lengths (m), to the
// last bit.
func (l *LayerBlock) Compliance(length, to *lanes.Row, count int) {
	if lanes.Fast && l.bend(length, to, count) {
		return
	}
	for lane := range count {
		layer := l.At(lane)
		to[lane] = layer.Compliance(length[lane])
	}
}

var layerConstants = func() (c [len(layerSeries)]struct{ numerator, denominator lanes.Constant }) {
	for n, term := range newLayerSeries() {
		c[n].numerator, c[n].denominator = lanes.Same(term.numerator), lanes.Same(term.denominator)
	}
	return c
}()

var four = lanes.Same(4)

// bend is Compliance of layers that are thin beside the wave, else it returns false.
func (l *LayerBlock) bend(length, to *lanes.Row, count int) bool {
	whole, halves, twice, thinner := one.Vector(), half.Vector(), two.Vector(), uint8(lanes.Every)
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		w, poisson := circle.Vector().Div(length.At(i)), l.Poisson.At(i)
		x := w.Mul(l.Thickness.At(i))
		thinner &= x.Less(whole).ToBits()
		square := four.Vector().Mul(x).Mul(x)
		numerator, denominator := layerSum(square, fewLayerTerms)
		if few := x.Less(halves); few.ToBits() != lanes.Every {
			more, below := layerSum(square, len(layerConstants))
			numerator, denominator = lanes.Pick(few, numerator, more), lanes.Pick(few, denominator, below)
		}
		factor := x.Mul(x).Mul(x).Mul(numerator).Div(denominator)
		to.Put(i, twice.Mul(whole.Sub(poisson.Mul(poisson))).Div(l.Modulus.At(i).Mul(w).Mul(factor)))
	}
	lanes.Done()
	return thinner == lanes.Every
}

// layerSum are the sums of layerFactor.
func layerSum(square lanes.Vector, terms int) (numerator, denominator lanes.Vector) {
	numerator, denominator = zero.Vector(), zero.Vector()
	for n := terms - 1; n >= 0; n-- {
		c := &layerConstants[n]
		numerator, denominator = numerator.Mul(square).Add(c.numerator.Vector()), denominator.Mul(square).Add(c.denominator.Vector())
	}
	return numerator, denominator
}
