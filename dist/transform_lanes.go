package dist

import "clampodds/joint/lanes"

// block is scratch for as many quantiles as a lanes.Row has. They have the bits of the functions of one. What
// lies outside the table is rare: then all of a row are done one by one.
type block struct {
	t, middle lanes.Row // of a quantile's cell
	cell      lanes.Places
	out       lanes.Row
	p, q      lanes.Row // probabilities below and above, of which the other is 1 less
	score     lanes.Row // of a cut: the factor of a quantile
}

// each goes through rows where vectors are fast; what is left, and where a row's function fails, others do.
func each(dst, u []float64, row func(to, from *lanes.Row) bool, others func(to, from []float64)) {
	if !lanes.Fast {
		others(dst, u)
		return
	}
	for start := 0; start < len(u); start += lanes.Count {
		end := min(start+lanes.Count, len(u))
		if end-start < lanes.Count || !row((*lanes.Row)(dst[start:end]), (*lanes.Row)(u[start:end])) {
			others(dst[start:end], u[start:end])
		}
	}
}

var zero, half, whole = lanes.Same(0), lanes.Same(0.5), lanes.Same(1)

var (
	leadingCells = lanes.NewLeading(quantileShift)
	tableStart   = leadingCells.Start(firstCell)
	least        = lanes.Same(leastOfTable)
)

// find is findCell of all. It reports whether all are in the table; none may be above 1/2.
func (b *block) find() bool {
	inside := uint8(lanes.Every)
	for i := 0; i < lanes.Count; i += lanes.Width {
		t := b.t.At(i)
		inside &= t.GreaterEqual(least.Vector()).ToBits()
		cell, middle := leadingCells.Of(t, &tableStart)
		b.cell.Put(i, cell)
		b.middle.Put(i, middle)
	}
	lanes.Done()
	return inside == lanes.Every
}

// at is quantileCell.at from lane i on.
func (b *block) at(i int) lanes.Vector {
	cell, s := (*[lanes.Width]int32)(b.cell[i:]), b.t.At(i).Sub(b.middle.At(i))
	table := &quantileTable[0]
	c0, c1, c2, c3 := lanes.Look((*[4]float64)(table[0:]), quantileFours, cell)
	c4, c5, c6, c7 := lanes.Look((*[4]float64)(table[4:]), quantileFours, cell)
	square := s.Mul(s)
	even := c0.Add(square.Mul(c2.Add(square.Mul(c4.Add(square.Mul(c6))))))
	return even.Add(s.Mul(c1.Add(square.Mul(c3.Add(square.Mul(c5.Add(square.Mul(c7))))))))
}

// smaller puts the smaller tails of probabilities where find looks.
func (b *block) smaller(u *lanes.Row) {
	all := whole.Vector()
	for i := 0; i < lanes.Count; i += lanes.Width {
		p := u.At(i)
		q := all.Sub(p)
		b.t.Put(i, lanes.Pick(p.Less(q), p, q))
	}
	lanes.Done()
}

// scores sets out to quantiles of the standard normal distribution.
func (b *block) scores(u *lanes.Row) bool {
	b.smaller(u)
	if !b.find() {
		return false
	}
	middle := half.Vector()
	for i := 0; i < lanes.Count; i += lanes.Width {
		b.out.Put(i, u.At(i).Sub(middle).Mul(b.at(i)))
	}
	lanes.Done()
	return true
}

func (b *block) quantiles(dst, u *lanes.Row) bool {
	if !b.scores(u) {
		return false
	}
	*dst = b.out
	return true
}

func (b *block) normal(d Normal, dst, u *lanes.Row) bool {
	if !b.scores(u) {
		return false
	}
	mean, sd := lanes.Same(d.mean), lanes.Same(d.sd)
	b.scale(&mean, &sd, dst)
	return true
}

// scale is the end of normal. Not inlined: a function has vectors or floats.
//
//go:noinline
func (b *block) scale(mean, sd *lanes.Constant, dst *lanes.Row) {
	m, s := mean.Vector(), sd.Vector()
	for i := 0; i < lanes.Count; i += lanes.Width {
		dst.Put(i, m.Add(s.Mul(b.out.At(i))))
	}
	lanes.Done()
}

func (b *block) lognormal(d Lognormal, dst, u *lanes.Row) bool {
	if !b.scores(u) {
		return false
	}
	b.exponents(d, dst)
	return true
}

// exponents is the end of lognormal.
func (b *block) exponents(d Lognormal, dst *lanes.Row) {
	sigma, median := lanes.Same(d.sigma), lanes.Same(d.median)
	b.times(&sigma, &b.out)
	b.out.Exp(&b.out)
	b.times(&median, dst)
}

func (b *block) lognormalScores(d Lognormal, dst, z *lanes.Row) bool {
	b.out = *z
	b.exponents(d, dst)
	return true
}

// times puts multiples of out into a row. Not inlined, as scale.
//
//go:noinline
func (b *block) times(factor *lanes.Constant, dst *lanes.Row) {
	f := factor.Vector()
	for i := 0; i < lanes.Count; i += lanes.Width {
		dst.Put(i, f.Mul(b.out.At(i)))
	}
	lanes.Done()
}
