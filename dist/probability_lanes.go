package dist

import "clampodds/joint/lanes"

// What is not made of a normal score takes the probabilities below and above it: those of a point of the unit
// interval, or the tails of a score.

// probabilities are those of points of the unit interval. It refuses the ends.
func (b *block) probabilities(u *lanes.Row) bool {
	none, all, inside := zero.Vector(), whole.Vector(), uint8(lanes.Every)
	for i := 0; i < lanes.Count; i += lanes.Width {
		p := u.At(i)
		q := all.Sub(p)
		inside &= p.Greater(none).And(q.Greater(none)).ToBits()
		b.p.Put(i, p)
		b.q.Put(i, q)
	}
	lanes.Done()
	return inside == lanes.Every
}

var tailsEnd, tailsPerUnit, tailWidth = lanes.Same(tailEnd), lanes.Same(64), lanes.Same(1.0 / 64)

// tails are the probabilities of scores. It refuses scores beyond the table.
func (b *block) tails(z *lanes.Row) bool {
	if !b.tailCells(z) {
		return false
	}
	none, all := zero.Vector(), whole.Vector()
	for i := 0; i < lanes.Count; i += lanes.Width {
		t := b.tailAt(i)
		rest := all.Sub(t)
		upper := z.At(i).Greater(none)
		b.p.Put(i, lanes.Pick(upper, rest, t))
		b.q.Put(i, lanes.Pick(upper, t, rest))
	}
	lanes.Done()
	return true
}

// tailCells finds the cells of scores, and how far from the middle of its cell each lies.
func (b *block) tailCells(z *lanes.Row) bool {
	none, end, inside := zero.Vector(), tailsEnd.Vector(), uint8(lanes.Every)
	for i := 0; i < lanes.Count; i += lanes.Width {
		x := z.At(i)
		x = x.Max(none.Sub(x))
		inside &= x.Less(end).ToBits()
		cell := x.Mul(tailsPerUnit.Vector()).Floor()
		b.cell.Put(i, cell)
		b.t.Put(i, x.Sub(cell.Add(half.Vector()).Mul(tailWidth.Vector())))
	}
	lanes.Done()
	return inside == lanes.Every
}

// tailAt is tail from lane i on.
func (b *block) tailAt(i int) lanes.Vector {
	cell, s := (*[lanes.Width]int32)(b.cell[i:]), b.t.At(i)
	table := &tailTable[0]
	c0, c1, c2, c3 := lanes.Look((*[4]float64)(table[0:]), tailFours, cell)
	c4, c5, c6, c7 := lanes.Look((*[4]float64)(table[4:]), tailFours, cell)
	square := s.Mul(s)
	far := c4.Add(s.Mul(c5)).Add(square.Mul(c6.Add(s.Mul(c7))))
	return c0.Add(s.Mul(c1)).Add(square.Mul(c2.Add(s.Mul(c3)).Add(square.Mul(far))))
}

func (b *block) halfNormalOf(d HalfNormal, dst *lanes.Row) bool {
	scale := lanes.Same(d.scale)
	b.halve()
	if !b.find() {
		return false
	}
	b.halfScores(&scale, dst)
	return true
}

// halve puts half of the upper tails where find looks. Not inlined, as scale.
//
//go:noinline
func (b *block) halve() {
	halves := half.Vector()
	for i := 0; i < lanes.Count; i += lanes.Width {
		b.t.Put(i, b.q.At(i).Mul(halves))
	}
	lanes.Done()
}

// halfScores is the end of halfNormalOf. Not inlined, as scale.
//
//go:noinline
func (b *block) halfScores(scale *lanes.Constant, dst *lanes.Row) {
	s, halves := scale.Vector(), half.Vector()
	for i := 0; i < lanes.Count; i += lanes.Width {
		dst.Put(i, s.Mul(b.p.At(i).Mul(halves)).Mul(b.at(i)))
	}
	lanes.Done()
}

func (b *block) uniformOf(d Uniform, dst *lanes.Row) bool {
	low, high, width := lanes.Same(d.low), lanes.Same(d.high), lanes.Same(d.high-d.low)
	b.between(&low, &high, &width, dst)
	return true
}

// between goes from the nearer end. Not inlined, as scale.
//
//go:noinline
func (b *block) between(low, high, width *lanes.Constant, dst *lanes.Row) {
	for i := 0; i < lanes.Count; i += lanes.Width {
		p, q := b.p.At(i), b.q.At(i)
		lower, upper := low.Vector().Add(p.Mul(width.Vector())), high.Vector().Sub(q.Mul(width.Vector()))
		dst.Put(i, lanes.Pick(q.Less(p), upper, lower))
	}
	lanes.Done()
}

// truncatedOf does cuts of normal and lognormal distributions.
func (b *block) truncatedOf(d Truncated, dst *lanes.Row) bool {
	below, above, kept, low, high := lanes.Same(d.below), lanes.Same(d.above), lanes.Same(d.kept), lanes.Same(d.low), lanes.Same(d.high)
	b.left(&below, &above, &kept)
	if !b.find() {
		return false
	}
	switch base := d.base.(type) {
	case Normal:
		mean, sd := lanes.Same(base.mean), lanes.Same(base.sd)
		b.signed()
		b.scale(&mean, &sd, &b.out)
	case Lognormal:
		b.signed()
		b.exponents(base, &b.out)
	default:
		return false
	}
	b.clip(&low, &high, dst)
	return true
}

// left puts the smaller tails of the base where find looks, in score that of its side less 1/2 with its sign. Not
// inlined, as scale, nor are signed and clip.
//
//go:noinline
func (b *block) left(below, above, kept *lanes.Constant) {
	none, middle, all := zero.Vector(), half.Vector(), whole.Vector()
	for i := 0; i < lanes.Count; i += lanes.Width {
		lower, upper := below.Vector().Add(b.p.At(i).Mul(kept.Vector())), above.Vector().Add(b.q.At(i).Mul(kept.Vector()))
		t := lower.Min(upper)
		b.t.Put(i, t.Min(all.Sub(t)))
		t = t.Sub(middle)
		b.score.Put(i, lanes.Pick(upper.Less(lower), none.Sub(t), t))
	}
	lanes.Done()
}

// signed sets out to the quantiles of left.
//
//go:noinline
func (b *block) signed() {
	for i := 0; i < lanes.Count; i += lanes.Width {
		b.out.Put(i, b.score.At(i).Mul(b.at(i)))
	}
	lanes.Done()
}

// clip holds out between cuts.
//
//go:noinline
func (b *block) clip(low, high *lanes.Constant, dst *lanes.Row) {
	least, most := low.Vector(), high.Vector()
	for i := 0; i < lanes.Count; i += lanes.Width {
		dst.Put(i, b.out.At(i).Max(least).Min(most))
	}
	lanes.Done()
}
