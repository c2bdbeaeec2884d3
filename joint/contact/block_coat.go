package contact

import "clampodds/joint/lanes"

// coatBench is the scratch of the coats' stages.
type coatBench struct {
	ln, eps, bare, radius, tau lanes.Row // a spotPlace of every card
	cell, wall                 lanes.Places
	u, wallU                   lanes.Row
	flow, drop                 [2]lanes.Row
	curves                     [lanes.Count][sideFours][4]float64 // see Cut.Mix
}

// sideFours is how many curves a side of a card looks at, cut from the tables at its K: H, A_0 and A_1 in their cells.
const sideFours = 3

var (
	coatFrom, coatTo            = lanes.Same(leastRelativePressure), lanes.Same(mostCoatPressure)
	lnCoatFrom, lnCoatTo        = lanes.Same(spotAxis.start), lanes.Same(lnMostCoatPressure)
	thin, thick                 = lanes.Same(leastTau), lanes.Same(mostZeta)
	perStep, halfPerStep        = lanes.Same(1 / step), lanes.Same(0.5 / step)
	lastSpot, lastTau, lastWall = spotAxis.last(), tauAxis.last(), zetaAxis.last()
)

func (a *axis) last() lanes.Constant { return lanes.Same(float64(a.nodes - 2)) }

// cells is axis.cell.
func cells(place lanes.Vector, last *lanes.Constant) (cell, u lanes.Vector) {
	none, whole, most := zero.Vector(), one.Vector(), last.Vector()
	place = place.Max(none)
	cell = place.Floor()
	cell = most.Min(cell)
	u = place.Sub(cell)
	return cell, whole.Min(u)
}

// cubicOn is cubic.at, of the curves of cards that follow each other.
func cubicOn(curve *[4]float64, u lanes.Vector) lanes.Vector {
	c0, c1, c2, c3 := lanes.Turn(curve, sideFours)
	return c0.Add(u.Mul(c1.Add(u.Mul(c2.Add(u.Mul(c3))))))
}

// coat divides the spots' coefficients by the coat factors: coatSpots of all cards.
func (b *Bench) coat(f *FaceBlock, count int) {
	t, c := coats(), &b.coats
	c.spots(t, &b.relative, &b.rest, count)
	c.spotPlaces(t, count)
	for side := range c.flow {
		if side == 1 && f.Pair.alike {
			c.flow[1], c.drop[1] = c.flow[0], c.drop[0]
			break
		}
		c.places(&f.Pair.sides[side], count)
		c.look(t, &f.Pair.sides[side], count)
		c.constrict(t, &f.Pair.sides[side], &c.flow[side], &c.drop[side], count)
	}
	c.divide(&f.Pair.coats, &b.flow, &b.drop, count)
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

// spots finds ln P_l/H from its start, a/b, the bare constriction and the cells of the spots' axis.
func (c *coatBench) spots(t *coatTable, relative, rest *lanes.Row, count int) {
	whole, from, to, lnFrom, lnTo := one.Vector(), coatFrom.Vector(), coatTo.Vector(), lnCoatFrom.Vector(), lnCoatTo.Vector()
	bare0, bare1 := t.bareConstant[0].Vector(), t.bareConstant[1].Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		x := relative.At(i)
		ln := c.ln.At(i).Add(logarithmSeries(rest.At(i)))
		low, high := x.Less(from), x.Greater(to)
		ln = lanes.Pick(low, lnFrom, lanes.Pick(high, lnTo, ln))
		c.ln.Put(i, ln)
		eps := from.Max(to.Min(x)).Sqrt()
		c.eps.Put(i, eps)
		c.bare.Put(i, whole.Sub(eps.Mul(bare0.Add(eps.Mul(eps).Mul(bare1)))))
		cell, u := cells(ln.Sub(lnFrom).Mul(perStep.Vector()), &lastSpot)
		c.cell.Put(i, cell)
		c.u.Put(i, u)
	}
	lanes.Done()
}

// spotPlaces finds the spots' radius and place: what spotCell says of all cards.
func (c *coatBench) spotPlaces(t *coatTable, count int) {
	table, halves := &t.spot[0], half.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		cells, u := (*[lanes.Width]int32)(c.cell[i:]), c.u.At(i)
		c0, c1, c2, c3 := lanes.Look((*[4]float64)(&table.radius), spotFours, cells)
		c.radius.Put(i, c0.Add(u.Mul(c1.Add(u.Mul(c2.Add(u.Mul(c3)))))))
		u = u.Sub(halves)
		square := u.Mul(u)
		l0, l1, l2, l3 := lanes.Look(&table.ln[0], spotFours, cells)
		l4, l5, l6, l7 := lanes.Look(&table.ln[1], spotFours, cells)
		far := l4.Add(u.Mul(l5)).Add(square.Mul(l6.Add(u.Mul(l7))))
		c.tau.Put(i, l0.Add(u.Mul(l1)).Add(square.Mul(l2.Add(u.Mul(l3)).Add(square.Mul(far)))))
	}
	lanes.Done()
}

// places finds the cells of H and A at a side.
func (c *coatBench) places(s *sideBlock, count int) {
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		place, tau := s.place.At(i), c.tau.At(i)
		cell, u := cells(place.Add(tau), &lastTau)
		c.cell.Put(i, cell)
		c.u.Put(i, u)
		cell, u = cells(place.Add(tau.Add(c.ln.At(i).Mul(halfPerStep.Vector()))), &lastWall)
		c.wall.Put(i, cell)
		c.wallU.Put(i, u)
	}
	lanes.Done()
}

// look cuts the curves of a side from the tables: four sums by a vector take less than to find out whether they
// have been cut before. Where there is no coat, nobody asks for what they give.
func (c *coatBench) look(t *coatTable, s *sideBlock, count int) {
	if s.cut == nil {
		return
	}
	s.cut.Mix(&c.curves[0], ratioNodes+2, (*[4]float64)(&t.half[0][0]), c.cell[:count], (*[4]float64)(&t.wall[0][0][0]), c.wall[:count])
}

// constrict is coated.constriction of all cards.
func (c *coatBench) constrict(t *coatTable, s *sideBlock, toFlow, toDrop *lanes.Row, count int) {
	whole, bare0 := one.Vector(), t.bareConstant[0].Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		a, eps, n, tau := c.radius.At(i), c.eps.At(i), s.near.At(i), s.tau.At(i)
		curves := &c.curves[i]
		half, least := cubicOn(&curves[0], c.u.At(i)), thin.Vector().Mul(a)
		if low := tau.Less(least); low.ToBits() != 0 {
			half = lanes.Pick(low, whole.Add(half.Sub(whole).Mul(tau.Div(least))), half)
		}
		u := c.wallU.At(i)
		first, second := cubicOn(&curves[1], u), cubicOn(&curves[2], u)
		z, ka := s.far.At(i).Mul(eps), s.ratio.At(i).Mul(a)
		over, under := a.Add(n), a.Add(z)
		wall := eps.Mul(bare0).Mul(first.Add(eps.Mul(eps).Mul(second)))
		flow := half.Mul(ka.Add(n)).Mul(under).Sub(wall.Mul(ka.Add(z)).Mul(over))
		unfelt := tau.Mul(eps).Greater(thick.Vector().Mul(a)) // the body
		toFlow.Put(i, s.weight.At(i).Mul(lanes.Pick(unfelt, c.bare.At(i), flow)))
		toDrop.Put(i, lanes.Pick(unfelt, whole, over.Mul(under)))
	}
	lanes.Done()
}
