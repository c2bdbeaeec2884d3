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

// Pick is x in the lanes of the mask, y in the others.
func Pick(m Mask, x, y Vector) Vector {
	chosen := m.ToInt64x4()
	return x.AsInt64x4().And(chosen).Or(y.AsInt64x4().AndNot(chosen)).AsFloat64x4()
}

// Done ends a stretch of vectors. Without it every plain instruction after it would wait for the
// upper halves of the registers, which it does not touch.
func Done() { archsimd.ClearAVXUpperBits() }
