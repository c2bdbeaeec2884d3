//go:build !(goexperiment.simd && amd64)

package lanes

import (
	"math"
	"unsafe"
)

// Width is how many lanes a Vector has.
const Width = 1

// Vector is a number of Width cards.
type Vector float64

// Mask is a choice of them.
type Mask bool

// Every is all bits of a Mask of which every lane is set.
const Every = 1<<Width - 1

// Fast reports whether a Vector has several lanes and the processor can work on them. It has to be asked
// before any is touched.
const Fast = false

// At is the vector from lane i on, a multiple of Width.
func (r *Row) At(i int) Vector { return Vector(r[i]) }

// Put writes a vector from lane i on.
func (r *Row) Put(i int, x Vector) { r[i] = float64(x) }

// Vector is the constant in every lane.
func (c *Constant) Vector() Vector { return Vector(c[0]) }

// Lanes are a Vector in memory.
type Lanes [Width]float64

// Get is what lies there.
func (l *Lanes) Get() Vector { return Vector(l[0]) }

// Set writes it.
func (l *Lanes) Set(x Vector) { l[0] = float64(x) }

// Turn takes four numbers of each of Width cards, which are stride fours apart, and returns the first of
// all, the second of all and so on.
func Turn(table *[4]float64, _ int) (first, second, third, fourth Vector) {
	return Vector(table[0]), Vector(table[1]), Vector(table[2]), Vector(table[3])
}

// Look is Turn of what lies at the cards' places in a table. Nobody checks that they are in it.
func Look(table *[4]float64, stride int, at *[Width]int32) (first, second, third, fourth Vector) {
	return Turn((*[4]float64)(unsafe.Add(unsafe.Pointer(table), int(at[0])*stride*int(unsafe.Sizeof(*table)))), stride)
}

// Put sets the cut of cards from lane i on.
func (c *Cut) Put(i int, first, w0, w1, w2, w3 Vector) {
	c.first.Put(i, first)
	for k, w := range [...]Vector{w0, w1, w2, w3} {
		c.weight[i][k] = Same(float64(w))
	}
}

// Mix cuts lines of two tables, with a four and with two fours in a column, at the places of the first cards in each.
func (c *Cut) Mix(to *[3][4]float64, columns int, one *[4]float64, at []int32, two *[4]float64, atTwo []int32) {
	const size, sums = int(unsafe.Sizeof(*one)), unsafe.Sizeof(*to)
	for i := range at {
		w, first := &c.weight[i], int(c.first[i])
		t := (*[4][4]float64)(unsafe.Add(unsafe.Pointer(one), (int(at[i])*columns+first)*size))
		u := (*[4][2][4]float64)(unsafe.Add(unsafe.Pointer(two), (int(atTwo[i])*columns+first)*2*size))
		for n := range to[0] {
			sum := func(a, b, c, d float64) float64 {
				return (float64(w[0][0]*a) + float64(w[1][0]*b)) + (float64(w[2][0]*c) + float64(w[3][0]*d))
			}
			to[0][n] = sum(t[0][n], t[1][n], t[2][n], t[3][n])
			to[1][n] = sum(u[0][0][n], u[1][0][n], u[2][0][n], u[3][0][n])
			to[2][n] = sum(u[0][1][n], u[1][1][n], u[2][1][n], u[3][1][n])
		}
		to = (*[3][4]float64)(unsafe.Add(unsafe.Pointer(to), sums))
	}
}

// Put writes whole numbers from lane i on.
func (p *Places) Put(i int, x Vector) { p[i] = int32(x) }

// Pick is x in the lanes of the mask, y in the others. A choice between two words needs no branch,
// one between two floats does.
func Pick(m Mask, x, y Vector) Vector {
	chosen := math.Float64bits(float64(y))
	if m {
		chosen = math.Float64bits(float64(x))
	}
	return Vector(math.Float64frombits(chosen))
}

// Of is the number of the cell counted from that of start, and the cell's middle.
func (l *Leading) Of(x Vector, start *Constant) (cell, middle Vector) {
	bits := math.Float64bits(float64(x))
	cell = Vector(math.Float64frombits(bits>>l.shift[0]|l.whole[0]) - start[0])
	return cell, Vector(math.Float64frombits(bits&l.keep[0] | l.middle[0]))
}

// Keep is x in the lanes of the mask, 0 in the others.
func Keep(m Mask, x Vector) Vector { return Pick(m, x, 0) }

// Drop is 0 in the lanes of the mask, x in the others.
func Drop(m Mask, x Vector) Vector { return Pick(m, 0, x) }

// Done ends a stretch of vectors.
func Done() {}

// The methods are those of the vectors of the standard library that are used.

func (x Vector) Add(y Vector) Vector { return Vector(float64(x) + float64(y)) }

func (x Vector) Sub(y Vector) Vector { return Vector(float64(x) - float64(y)) }

// Mul rounds, as the conversion orders.
func (x Vector) Mul(y Vector) Vector { return Vector(float64(x) * float64(y)) }

func (x Vector) Div(y Vector) Vector { return Vector(float64(x) / float64(y)) }

func (x Vector) Sqrt() Vector { return Vector(math.Sqrt(float64(x))) }

func (x Vector) Floor() Vector { return Vector(math.Floor(float64(x))) }

// Min is y unless x is less.
func (x Vector) Min(y Vector) Vector { return Pick(x < y, x, y) }

// Max is y unless x is greater.
func (x Vector) Max(y Vector) Vector { return Pick(x > y, x, y) }

func (x Vector) Less(y Vector) Mask { return x < y }

func (x Vector) Greater(y Vector) Mask { return x > y }

func (x Vector) GreaterEqual(y Vector) Mask { return x >= y }

func (x Vector) Equal(y Vector) Mask { return x == y }

func (x Vector) NotEqual(y Vector) Mask { return x != y }

func (m Mask) And(n Mask) Mask { return m && n }

func (m Mask) Or(n Mask) Mask { return m || n }

// ToBits has a bit of every lane, the first in bit 0.
func (m Mask) ToBits() uint8 {
	if m {
		return 1
	}
	return 0
}
