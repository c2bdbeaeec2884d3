package sim

import (
	"crypto/sha256"
	"encoding/binary"

	//lint:ignore SA1019 The module is pinned; its PCG XSL-RR source is the
	// published generator with check values, which math/rand/v2 (DXSM) is not.
	"golang.org/x/exp/rand"
)

// Stream is one stream of random numbers, addressed by what it is for: any
// worker that asks for the same address gets the same numbers, whatever other
// streams exist. A Stream is not safe for concurrent use. It satisfies
// math/rand/v2.Source.
//
// Generator: PCG XSL-RR 128/64, O'Neill, "PCG: A family of simple fast
// space-efficient statistically good algorithms for random number generation",
// 2014, period 2^128. Streams are stretches of the one cycle that start at
// hashed states: two of a billion streams of a million numbers each overlap
// with a probability below 1e-14.
type Stream struct {
	source rand.PCGSource
}

// NewStream returns the stream of one variable in one block of one purpose.
// Every seed is valid, 0 included. The 128-bit state is the head of the
// SHA-256 of all four: consecutive seeds or blocks would otherwise start with
// visibly related numbers.
func NewStream(seed uint64, purpose string, block uint64, variable string) Stream {
	var buffer [256]byte // on the stack for all ordinary names
	key := binary.BigEndian.AppendUint64(buffer[:0], seed)
	key = binary.BigEndian.AppendUint64(key, block)
	// The length keeps ("ab", "c") and ("a", "bc") apart.
	key = binary.BigEndian.AppendUint64(key, uint64(len(purpose)))
	key = append(key, purpose...)
	key = append(key, variable...)
	state := sha256.Sum256(key)
	var s Stream
	if err := s.source.UnmarshalBinary(state[:16]); err != nil {
		panic(err) // only for fewer than 16 bytes
	}
	return s
}

// Uint64 returns the next 64 random bits.
func (s *Stream) Uint64() uint64 { return s.source.Uint64() }

// Uniform returns the next point of the open unit interval, one of the 2^52
// odd multiples of 2^-53: never 0 or 1, so that every quantile is finite.
func (s *Stream) Uniform() float64 { return openUnit(s.source.Uint64()) }

// openUnit maps random bits to the middle of one of 2^52 equal intervals.
func openUnit(bits uint64) float64 { return (float64(int64(bits>>12)) + 0.5) * 0x1p-52 }

// Fill sets all of u to the next points of the open unit interval.
func (s *Stream) Fill(u []float64) {
	source := s.source // a copy, which stays in registers
	for i := range u {
		u[i] = openUnit(source.Uint64())
	}
	s.source = source
}

// FillBoth is Fill of two streams, whose columns have one length. Each number of a stream hangs on the one before: what
// a processor has to wait for in one, it does in the other.
func FillBoth(first, second *Stream, u, v []float64) {
	a, b := first.source, second.source
	v = v[:len(u)]
	for i := range u {
		u[i] = openUnit(a.Uint64())
		v[i] = openUnit(b.Uint64())
	}
	first.source, second.source = a, b
}
