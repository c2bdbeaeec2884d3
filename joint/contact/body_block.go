package contact

import (
	"math"
	"slices"

	"clampodds/joint/lanes"
)

// BodyBlock is a body of every card, as Body is of one.
type BodyBlock struct {
	Conductivity, Modulus, Poisson, Hardness, Roughness, Slope, Yield *lanes.Row
	CoatThickness, CoatConductivity, CoatHardness                     *lanes.Row

	compliance, slope lanes.Row
	coated            bool      // a card's is
	resistance        lanes.Row // of the coat
	ratio             lanes.Row // K
	harder            lanes.Row // the coat's hardness over the body's, then its logarithm
	cut               lanes.Cut // of the tables of coats at K
}

// card is that of one.
func (b *BodyBlock) card(lane int) Body {
	return Body{
		Conductivity: b.Conductivity[lane], Modulus: b.Modulus[lane], Poisson: b.Poisson[lane], Hardness: b.Hardness[lane],
		Roughness: b.Roughness[lane], Slope: b.Slope[lane], Yield: b.Yield[lane],
		Coat: Coat{b.CoatThickness[lane], b.CoatConductivity[lane], b.CoatHardness[lane]},
	}
}

// Prepare works out what follows from the body of each of the first count cards by itself. It is for vectors, and
// comes before Join. The bodies are known to lie in the ranges that NewPair allows.
func (b *Bench) Prepare(body *BodyBlock, count int) {
	body.coated = slices.ContainsFunc(body.CoatThickness[:count], func(t float64) bool { return t > 0 })
	body.begin(count)
	if slices.Contains(body.Slope[:count], 0) {
		for i := range min(count+lanes.Width-1, lanes.Count) {
			n := split(1e6 * body.Roughness[i])
			b.rest[i], b.start[i] = n.r, slopePower.start(n)
		}
		body.slopes(&b.rest, &b.start, count)
	}
	if body.coated {
		b.logarithms(&body.harder, count)
		b.q = body.ratio
		b.logarithms(&b.q, count)
		body.place(&b.q, count)
	}
}

var (
	slopeAtOne            = lanes.Same(slopeScale)
	slopeBinomial         = slopePower.constants()
	leastRatio, mostRatio = lanes.Same(leastCoatRatio), lanes.Same(mostCoatRatio)
	ratioStart, lastRatio = lanes.Same(ratioAxis.start), ratioAxis.last()
	sixth, twoThirds      = lanes.Same(1.0 / 6), lanes.Same(2.0 / 3)
	depthOfSpots, deep    = lanes.Same(indentation), lanes.Same(deepCoat)
	soft, softLess        = lanes.Same(softRise), lanes.Same(softFall)
	rootOfTwo, infinite   = lanes.Same(math.Sqrt2), lanes.Same(math.Inf(1))
	spotTimes, gapTimes   = lanes.Same(spotFactor), lanes.Same(gapFactor)
	fourPerCircle         = lanes.Same(4 / math.Pi)
	yieldTimes            = lanes.Same(yieldFactor)
	tauStart              = lanes.Same(tauAxis.start)
)

func (b *BodyBlock) begin(count int) {
	none, whole := zero.Vector(), one.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		poisson := b.Poisson.At(i)
		b.compliance.Put(i, whole.Sub(poisson.Mul(poisson)).Div(b.Modulus.At(i)))
		b.slope.Put(i, b.Slope.At(i))
		thickness, conductivity := b.CoatThickness.At(i), b.CoatConductivity.At(i)
		coated := thickness.Greater(none)
		b.resistance.Put(i, lanes.Keep(coated, thickness.Div(conductivity)))
		ratio := leastRatio.Vector().Max(conductivity.Div(b.Conductivity.At(i)))
		b.ratio.Put(i, lanes.Pick(coated, mostRatio.Vector().Min(ratio), whole))
		b.harder.Put(i, lanes.Pick(coated, b.CoatHardness.At(i).Div(b.Hardness.At(i)), whole))
	}
	lanes.Done()
}

// slopes puts those of SlopeFromRoughness where none is given.
func (b *BodyBlock) slopes(rest, start *lanes.Row, count int) {
	none := zero.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		r, from, given := rest.At(i), start.At(i), b.slope.At(i)
		slope := slopeAtOne.Vector().Mul(from.Add(from.Mul(binomial(&slopeBinomial, r, r.Mul(r)))))
		b.slope.Put(i, lanes.Pick(given.Greater(none), given, slope))
	}
	lanes.Done()
}

// place is placeOf, of ln K.
func (b *BodyBlock) place(ln *lanes.Row, count int) {
	whole, halves, third, sixths := one.Vector(), half.Vector(), twoThirds.Vector(), sixth.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		cell, u := cells(ln.At(i).Sub(ratioStart.Vector()).Mul(perStep.Vector()), &lastRatio)
		v := whole.Sub(u)
		w0, w3 := v.Mul(v).Mul(v).Mul(sixths), u.Mul(u).Mul(u).Mul(sixths)
		w1 := third.Sub(u.Mul(u).Mul(whole.Sub(halves.Mul(u))))
		b.cut.Put(i, cell, w0, w1, whole.Sub(w0).Sub(w1).Sub(w3), w3)
	}
	lanes.Done()
}

// hardnesses is Body.hardness of spots that are pressed in by the depths.
func (b *BodyBlock) hardnesses(depth, to *lanes.Row, count int) {
	if !b.coated {
		*to = *b.Hardness
		return
	}
	b.exponents(depth, to, count)
	to.Exp(to)
	b.underCoat(depth, to, count)
}

// exponents are those of the factors by which hard coats raise the hardness.
func (b *BodyBlock) exponents(depth, to *lanes.Row, count int) {
	none, fully := zero.Vector(), deep.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		x := b.CoatThickness.At(i).Div(depth.At(i))
		rises := b.CoatHardness.At(i).GreaterEqual(b.Hardness.At(i)).And(x.Less(fully)).And(x.Greater(none))
		to.Put(i, lanes.Keep(rises, x.Div(fully).Mul(b.harder.At(i))))
	}
	lanes.Done()
}

func (b *BodyBlock) underCoat(depth, rise *lanes.Row, count int) {
	none, whole, most, fully := zero.Vector(), one.Vector(), soft.Vector(), deep.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		x, own, coat := b.CoatThickness.At(i).Div(depth.At(i)), b.Hardness.At(i), b.CoatHardness.At(i)
		shallow := own.Mul(whole.Sub(x)).Add(most.Mul(coat).Mul(x))
		factor := most.Sub(softLess.Vector().Mul(x.Sub(whole))).Max(whole)
		h := own.Min(lanes.Pick(x.Less(whole), shallow, factor.Mul(coat)))
		h = lanes.Pick(coat.GreaterEqual(own), own.Mul(rise.At(i)), h)
		h = lanes.Pick(x.GreaterEqual(fully), coat, h)
		rise.Put(i, lanes.Pick(x.Greater(none), h, own))
	}
	lanes.Done()
}

// logarithms sets numbers to their logarithms.
func (b *Bench) logarithms(row *lanes.Row, count int) {
	for i := range min(count+lanes.Width-1, lanes.Count) {
		n := split(row[i])
		b.rest[i], b.start[i] = n.r, n.logarithmStart()
	}
	b.addSeries(row, count)
}

// addSeries is the end of logarithms. Not inlined: a function has vectors or floats.
//
//go:noinline
func (b *Bench) addSeries(row *lanes.Row, count int) {
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		row.Put(i, b.start.At(i).Add(logarithmSeries(b.rest.At(i))))
	}
	lanes.Done()
}
