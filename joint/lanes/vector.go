//go:build goexperiment.simd && amd64

package lanes

import (
	"simd/archsimd"
	"unsafe"
)

// Width is how many lanes a Vector has.
const Width = 4

// Vector is a number of Width cards.
type Vector = archsimd.Float64x4

// Mask is a choice of them.
type Mask = archsimd.Mask64x4

// Every is all bits of a Mask of which every lane is set.
const Every = 1<<Width - 1

// Fast reports whether a Vector has several lanes and the processor can work on them. It has to be asked
// before any is touched.
var Fast = archsimd.X86.AVX2()

// At is the vector from lane i on, a multiple of Width.
func (r *Row) At(i int) Vector {
	return archsimd.LoadFloat64x4((*[Width]float64)(unsafe.Pointer(&r[i])))
}

// Put writes a vector from lane i on.
func (r *Row) Put(i int, x Vector) { x.Store((*[Width]float64)(unsafe.Pointer(&r[i]))) }

// Vector is the constant in every lane.
func (c *Constant) Vector() Vector { return archsimd.LoadFloat64x4((*[Width]float64)(c)) }

// Lanes are a Vector in memory.
type Lanes [Width]float64

// Get is what lies there.
func (l *Lanes) Get() Vector { return archsimd.LoadFloat64x4((*[Width]float64)(l)) }

// Set writes it.
func (l *Lanes) Set(x Vector) { x.Store((*[Width]float64)(l)) }

// Turn takes four numbers of each of Width cards, which are stride fours apart, and returns the first of
// all, the second of all and so on.
func Turn(table *[4]float64, stride int) (first, second, third, fourth Vector) {
	size := stride * int(unsafe.Sizeof(*table))
	return turn(table, (*[4]float64)(unsafe.Add(unsafe.Pointer(table), size)),
		(*[4]float64)(unsafe.Add(unsafe.Pointer(table), 2*size)), (*[4]float64)(unsafe.Add(unsafe.Pointer(table), 3*size)))
}

// Look is Turn of what lies at the cards' places in a table. Nobody checks that they are in it.
func Look(table *[4]float64, stride int, at *[Width]int32) (first, second, third, fourth Vector) {
	size := stride * int(unsafe.Sizeof(*table))
	return turn((*[4]float64)(unsafe.Add(unsafe.Pointer(table), int(at[0])*size)), (*[4]float64)(unsafe.Add(unsafe.Pointer(table), int(at[1])*size)),
		(*[4]float64)(unsafe.Add(unsafe.Pointer(table), int(at[2])*size)), (*[4]float64)(unsafe.Add(unsafe.Pointer(table), int(at[3])*size)))
}

func turn(card0, card1, card2, card3 *[4]float64) (first, second, third, fourth Vector) {
	a, b, c, d := archsimd.LoadFloat64x4(card0), archsimd.LoadFloat64x4(card1), archsimd.LoadFloat64x4(card2), archsimd.LoadFloat64x4(card3)
	even, odd := a.SelectFromPairGrouped(0, 2, b), a.SelectFromPairGrouped(1, 3, b)
	evens, odds := c.SelectFromPairGrouped(0, 2, d), c.SelectFromPairGrouped(1, 3, d)
	return even.Select128FromPair(0, 2, evens), odd.Select128FromPair(0, 2, odds), even.Select128FromPair(1, 3, evens), odd.Select128FromPair(1, 3, odds)
}

// Put sets the cut of cards from lane i on.
func (c *Cut) Put(i int, first, w0, w1, w2, w3 Vector) {
	c.first.Put(i, first)
	for k, w := range [...]Vector{w0, w1, w2, w3} {
		even, odd := w.SelectFromPairGrouped(0, 0, w), w.SelectFromPairGrouped(1, 1, w)
		even.Select128FromPair(0, 0, even).Store((*[Width]float64)(&c.weight[i][k]))
		odd.Select128FromPair(0, 0, odd).Store((*[Width]float64)(&c.weight[i+1][k]))
		even.Select128FromPair(1, 1, even).Store((*[Width]float64)(&c.weight[i+2][k]))
		odd.Select128FromPair(1, 1, odd).Store((*[Width]float64)(&c.weight[i+3][k]))
	}
}

// Mix cuts lines of two tables, with a four and with two fours in a column, at the places of the first cards in each.
func (c *Cut) Mix(to *[3][4]float64, columns int, one *[4]float64, at []int32, two *[4]float64, atTwo []int32) {
	const size, sums = int(unsafe.Sizeof(*one)), unsafe.Sizeof(*to)
	for i := range min(len(at), len(atTwo), Count) {
		w, first := &c.weight[i], int(c.first[i])
		w0, w1, w2, w3 := w[0].Vector(), w[1].Vector(), w[2].Vector(), w[3].Vector()
		t := (*[4][4]float64)(unsafe.Add(unsafe.Pointer(one), (int(at[i])*columns+first)*size))
		a, b, c, d := archsimd.LoadFloat64x4(&t[0]), archsimd.LoadFloat64x4(&t[1]), archsimd.LoadFloat64x4(&t[2]), archsimd.LoadFloat64x4(&t[3])
		w0.Mul(a).Add(w1.Mul(b)).Add(w2.Mul(c).Add(w3.Mul(d))).Store(&to[0])
		u := (*[4][2][4]float64)(unsafe.Add(unsafe.Pointer(two), (int(atTwo[i])*columns+first)*2*size))
		a, b, c, d = archsimd.LoadFloat64x4(&u[0][0]), archsimd.LoadFloat64x4(&u[1][0]), archsimd.LoadFloat64x4(&u[2][0]), archsimd.LoadFloat64x4(&u[3][0])
		w0.Mul(a).Add(w1.Mul(b)).Add(w2.Mul(c).Add(w3.Mul(d))).Store(&to[1])
		a, b, c, d = archsimd.LoadFloat64x4(&u[0][1]), archsimd.LoadFloat64x4(&u[1][1]), archsimd.LoadFloat64x4(&u[2][1]), archsimd.LoadFloat64x4(&u[3][1])
		w0.Mul(a).Add(w1.Mul(b)).Add(w2.Mul(c).Add(w3.Mul(d))).Store(&to[2])
		to = (*[3][4]float64)(unsafe.Add(unsafe.Pointer(to), sums))
	}
	archsimd.ClearAVXUpperBits()
}

// Put writes whole numbers from lane i on.
func (p *Places) Put(i int, x Vector) {
	x.ConvertToInt32().Store((*[Width]int32)(unsafe.Pointer(&p[i])))
}

// Pick is x in the lanes of the mask, y in the others.
func Pick(m Mask, x, y Vector) Vector {
	chosen := m.ToInt64x4()
	return x.AsInt64x4().And(chosen).Or(y.AsInt64x4().AndNot(chosen)).AsFloat64x4()
}

// Of is the number of the cell counted from that of start, and the cell's middle.
func (l *Leading) Of(x Vector, start *Constant) (cell, middle Vector) {
	bits := x.AsUint64x4()
	cell = bits.ShiftRight(archsimd.LoadUint64x4(&l.shift)).Or(archsimd.LoadUint64x4(&l.whole)).AsFloat64x4().Sub(start.Vector())
	return cell, bits.And(archsimd.LoadUint64x4(&l.keep)).Or(archsimd.LoadUint64x4(&l.middle)).AsFloat64x4()
}

// Keep is x in the lanes of the mask, 0 in the others.
func Keep(m Mask, x Vector) Vector { return x.AsInt64x4().And(m.ToInt64x4()).AsFloat64x4() }

// Drop is 0 in the lanes of the mask, x in the others.
func Drop(m Mask, x Vector) Vector { return x.AsInt64x4().AndNot(m.ToInt64x4()).AsFloat64x4() }

// Done ends a stretch of vectors. Without it every plain instruction after it would wait for the
// upper halves of the registers, which it does not touch.
func Done() { archsimd.ClearAVXUpperBits() }
