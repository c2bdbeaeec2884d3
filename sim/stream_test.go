package sim

import (
	"encoding/binary"
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pcgReference steps PCG's 128-bit congruential generator in big integers.
type pcgReference struct{ state, multiplier, increment, modulus *big.Int }

func bigInt(s string) *big.Int {
	n, ok := new(big.Int).SetString(s, 0)
	if !ok {
		panic(s)
	}
	return n
}

func (p *pcgReference) step() {
	p.state.Mul(p.state, p.multiplier).Add(p.state, p.increment).Mod(p.state, p.modulus)
}

// The source has a fixed increment, the published demonstration another one
// (stream 54). Each state of the demonstration is therefore given to the source
// through the state that its own increment leads there from: this checks its
// multiplier, its increment and its output function against published output.
func TestStreamAgainstPublishedPCG(t *testing.T) {
	modulus := new(big.Int).Lsh(big.NewInt(1), 128)
	multiplier := bigInt("0x2360ED051FC65DA44385DF649FCCF645")
	reference := pcgReference{big.NewInt(0), multiplier, big.NewInt(2*54 + 1), modulus}
	reference.step()
	reference.state.Add(reference.state, big.NewInt(42))
	reference.step()
	ownIncrement := bigInt("117397592171526113268558934119004209487")
	inverse := new(big.Int).ModInverse(multiplier, modulus)

	// Reference C demonstration of PCG XSL-RR 128/64, seed 42, stream 54.
	for _, want := range []uint64{
		0x86b1da1d72062b68, 0x1304aa46c9853d39, 0xa3670e9e0dd50358,
		0xf9090e529a7dae00, 0xc85b9fd837996f2c, 0x606121f8e3919196,
	} {
		reference.step()
		before := new(big.Int).Sub(reference.state, ownIncrement)
		before.Mul(before, inverse).Mod(before, modulus)
		var s Stream
		require.NoError(t, s.source.UnmarshalBinary(before.FillBytes(make([]byte, 16))))
		assert.Equal(t, want, s.Uint64())
	}
}

func TestStreamsAreKeptApart(t *testing.T) {
	base := NewStream(1, "purpose", 2, "variable")
	first := base.Uint64()
	again := NewStream(1, "purpose", 2, "variable")
	assert.Equal(t, first, again.Uint64(), "the same address gives the same numbers")
	for _, other := range []Stream{
		NewStream(2, "purpose", 2, "variable"),
		NewStream(1, "purpos", 2, "evariable"),
		NewStream(1, "purpose", 1, "variable"),
		NewStream(1, "purpose", 2, "Variable"),
		NewStream(1, "other", 2, "variable"),
	} {
		assert.NotEqual(t, first, other.Uint64())
	}
}

// First draws over consecutive seeds, blocks and names are uniform: the trap
// that a plain seed falls into. Chi-square with 63 degrees of freedom stays
// below mean + 5 sd = 63 + 5 sqrt(126) with a false-alarm rate of 1e-5.
func TestFirstDrawsAreUniform(t *testing.T) {
	addresses := map[string]func(i int) Stream{
		"seed":  func(i int) Stream { return NewStream(uint64(i), "p", 0, "x") },
		"block": func(i int) Stream { return NewStream(0, "p", uint64(i), "x") },
		"name": func(i int) Stream {
			return NewStream(0, "p", 0, string(binary.BigEndian.AppendUint32(nil, uint32(i))))
		},
	}
	for name, address := range addresses {
		const draws, cells = 64000, 64
		var count [cells]float64
		for i := range draws {
			s := address(i)
			count[int(s.Uniform()*cells)]++
		}
		chi := 0.0
		for _, c := range count {
			chi += math.Pow(c-draws/cells, 2) / (draws / cells)
		}
		assert.Less(t, chi, 63+5*math.Sqrt(126), name)
	}
}

func TestUniformIsOpen(t *testing.T) {
	assert.Equal(t, 0x1p-53, openUnit(0))
	assert.Equal(t, 1-0x1p-53, openUnit(math.MaxUint64))
}

func TestStreamDoesNotAllocate(t *testing.T) {
	u := make([]float64, 64)
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		s := NewStream(1, "purpose", 2, "screw.torque/left")
		s.Fill(u)
	}))
}

func BenchmarkStream(b *testing.B) {
	u := make([]float64, 1024)
	b.Run("rows=1024", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			s := NewStream(1, "purpose", 2, "screw.torque/left")
			s.Fill(u)
		}
		b.ReportMetric(float64(b.N)*float64(len(u))/b.Elapsed().Seconds(), "draws/s")
	})
}
