package contact

import (
	"math"

	"clampodds/joint/lanes"
)

// coatBench is the scratch of the coats' stages.
type coatBench struct {
	ln, eps, bare, radius, tau lanes.Row // a spotPlace of every card
	half, first, second        lanes.Row // H, A over their guesses
	flow, drop                 [2]lanes.Row
}

// sideBlock is the side of a pair of every card, as coated is of one. A side without coat
// is one with a thick coat of the body's own metal.
type sideBlock struct{ ratio, weight, tau, near, far lanes.Row }

func (b *sideBlock) set(lane int, s *coated) {
	if s.thickness == 0 {
		b.ratio[lane], b.weight[lane], b.tau[lane], b.near[lane], b.far[lane] = 1, s.share, math.Inf(1), 1, 1
		return
	}
	b.ratio[lane], b.weight[lane], b.tau[lane], b.near[lane], b.far[lane] = s.ratio, s.weight, s.tau, s.near, s.far
}

var (
	coatFrom, coatTo     = lanes.Same(leastRelativePressure), lanes.Same(mostCoatPressure)
	lnCoatFrom, lnCoatTo = lanes.Same(spotAxis.start), lanes.Same(lnMostCoatPressure)
	thick                = lanes.Same(mostZeta)
)

// coat divides the spots' coefficients by the coat factors: coatSpots of all cards.
func (b *Bench) coat(f *FaceBlock, count int) {
	t, c := coats(), &b.coats
	for i, relative := range b.relative[:count] {
		c.ln[i] = split(relative).logarithmStart()
	}
	c.spots(t, &b.relative, &b.rest, count)
	for i, ln := range c.ln[:count] {
		cell, u := spotAxis.cell((ln - spotAxis.start) * (1 / step))
		at := &t.cell[cell]
		c.radius[i], c.tau[i] = at.radius.at(u), at.place(u)
	}
	alike := true
	for side := range c.flow {
		if side == 1 && alike {
			c.flow[1], c.drop[1] = c.flow[0], c.drop[0]
			break
		}
		for i, pair := range f.Pair.pairs[:count] {
			if f.Pair.coated[i] != 0 {
				alike = alike && pair.alike
				c.look(t, &pair.sides[side], i)
			}
		}
		c.constrict(t, &f.Pair.sides[side], &c.flow[side], &c.drop[side], count)
	}
	c.divide(&f.Pair.coated, &b.flow, &b.drop, count)
}

// divide puts both sides together.
func (c *coatBench) divide(isCoated, flow, drop *lanes.Row, count int) {
	whole := one.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		over, under, bare := c.drop[0].At(i), c.drop[1].At(i), flow.At(i)
		coated := isCoated.At(i).Equal(whole)
		flow.Put(i, lanes.Pick(coated, bare.Mul(c.bare.At(i).Mul(over).Mul(under)), bare))
		drop.Put(i, lanes.Pick(coated, c.flow[0].At(i).Mul(under).Add(c.flow[1].At(i).Mul(over)), whole))
	}
	lanes.Done()
}

// spots finds ln P_l/H from its start, a/b and the bare constriction.
func (c *coatBench) spots(t *coatTable, relative, rest *lanes.Row, count int) {
	whole, from, to, lnFrom, lnTo := one.Vector(), coatFrom.Vector(), coatTo.Vector(), lnCoatFrom.Vector(), lnCoatTo.Vector()
	bare0, bare1 := t.bareConstant[0].Vector(), t.bareConstant[1].Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		x := relative.At(i)
		ln := c.ln.At(i).Add(logarithmSeries(rest.At(i)))
		low, high := x.Less(from), x.Greater(to)
		c.ln.Put(i, lanes.Pick(low, lnFrom, lanes.Pick(high, lnTo, ln)))
		eps := lanes.Pick(low, from, lanes.Pick(high, to, x)).Sqrt()
		c.eps.Put(i, eps)
		c.bare.Put(i, whole.Sub(eps.Mul(bare0.Add(eps.Mul(eps).Mul(bare1)))))
	}
	lanes.Done()
}

// look looks up the tables at a side of one card.
func (c *coatBench) look(t *coatTable, s *coated, i int) {
	if s.thickness == 0 {
		return
	}
	cell, u := tauAxis.cell(s.place + c.tau[i])
	half := s.curves.halfIn(t, cell, s.ratio).at(u)
	if least := leastTau * c.radius[i]; s.tau < least {
		half = 1 + float64((half-1)*(s.tau/least))
	}
	cell, u = zetaAxis.cell(s.place + (c.tau[i] + float64(c.ln[i]*(0.5/step))))
	lines := s.curves.wallIn(t, cell, s.ratio)
	c.half[i], c.first[i], c.second[i] = half, lines[0].at(u), lines[1].at(u)
}

// constrict is coated.constriction of all cards.
func (c *coatBench) constrict(t *coatTable, s *sideBlock, toFlow, toDrop *lanes.Row, count int) {
	whole, most, bare0 := one.Vector(), thick.Vector(), t.bareConstant[0].Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		a, eps, n := c.radius.At(i), c.eps.At(i), s.near.At(i)
		z, ka := s.far.At(i).Mul(eps), s.ratio.At(i).Mul(a)
		over, under := a.Add(n), a.Add(z)
		wall := eps.Mul(bare0).Mul(c.first.At(i).Add(eps.Mul(eps).Mul(c.second.At(i))))
		flow := c.half.At(i).Mul(ka.Add(n)).Mul(under).Sub(wall.Mul(ka.Add(z)).Mul(over))
		unfelt := s.tau.At(i).Mul(eps).Greater(most.Mul(a)) // the body
		toFlow.Put(i, s.weight.At(i).Mul(lanes.Pick(unfelt, c.bare.At(i), flow)))
		toDrop.Put(i, lanes.Pick(unfelt, whole, over.Mul(under)))
	}
	lanes.Done()
}
