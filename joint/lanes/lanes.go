// Package lanes does arithmetic on many cards at once: a number of every card of a block lies in a
// Row, and a Vector takes Width of them out of it.
//
// There are two kinds of Vector. Programs for amd64 that are built with GOEXPERIMENT=simd have four
// lanes in a register (AVX2); all others have one lane, a plain number. What is written with Vector
// serves both. Every operation rounds by itself, as in float64(x*y) + z, so that the bits of a result
// hang neither on the kind nor on the machine.
//
// A vector should live in a short loop without calls: what else would keep a processor busy, the next
// vectors of the loop, has to stand near. Close such a stretch with Done.
package lanes

// Count is how many cards a block has.
const Count = 32

// Row is a number of every card of a block.
type Row [Count]float64

// Places are whole numbers of every card of a block, where in a table each has to look.
type Places [Count]int32

// Constant is the same number in every lane. It lies in memory: to spread a number over a register
// takes an instruction that waits for the upper halves of registers (see Done).
type Constant [4]float64

// Same is the constant of a number.
func Same(x float64) Constant { return Constant{x, x, x, x} }

// Cut mixes columns of a table that stand side by side: each card four of them, from its first on, each times
// its weight.
type Cut struct {
	first  Places
	weight [Count][4]Constant
}

// Leading counts cells of positive numbers by their leading bits: a power of 2 cells in every octave, evenly.
type Leading struct{ shift, whole, keep, middle [4]uint64 }

// NewLeading leaves out the last bits of numbers.
func NewLeading(last int) *Leading {
	all := func(bits uint64) [4]uint64 { return [4]uint64{bits, bits, bits, bits} }
	return &Leading{shift: all(uint64(last)), whole: all(wholeBits), keep: all(^uint64(0) << last), middle: all(1 << (last - 1))}
}

// Start is that of a cell for Of.
func (*Leading) Start(cell uint64) Constant { return Same(wholeFloat + float64(cell)) }

// A whole number below 2^52 in the last bits of this one makes it larger by that number.
const (
	wholeBits  = 0x433 << 52
	wholeFloat = 0x1p52
)

// Fill gives every card the same number.
func (r *Row) Fill(x float64) {
	for i := range r {
		r[i] = x
	}
}

// Kernel names what blocks of cards are computed with.
func Kernel() string {
	if Fast {
		return "AVX2 kernel"
	}
	return "scalar kernel"
}
