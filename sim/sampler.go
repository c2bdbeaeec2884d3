package sim

// Sampler lays out the points of one block of a run in the unit cube. The
// samplers of this package are Random, LatinHypercube and Halton.
type Sampler interface {
	// Name says the plan in words, for reports.
	Name() string
	// Dependent reports that the points of one block depend on one another: the
	// block as a whole is then one independent replicate, and intervals come
	// from the scatter between blocks.
	Dependent() bool
	// Fill sets u[d][i] to coordinate d of point i of a block, in the open unit
	// interval. dimensions[d] names the coordinate and keys its random numbers.
	// Every coordinate is uniform, blocks are independent. It keeps no
	// reference and is safe for concurrent use.
	Fill(u [][]float64, dimensions []string, seed, block uint64)
}

// Random is plain random sampling: every point is independent. The numbers of a
// dimension depend on its name, the seed and the block only.
type Random struct{}

// Name returns "random".
func (Random) Name() string { return "random" }

// Dependent returns false.
func (Random) Dependent() bool { return false }

func (Random) Fill(u [][]float64, dimensions []string, seed, block uint64) {
	last := len(dimensions) - 1
	for d := 0; d < last; d += 2 {
		first, second := NewStream(seed, "random", block, dimensions[d]), NewStream(seed, "random", block, dimensions[d+1])
		fillBoth(&first, &second, u[d], u[d+1])
	}
	if last%2 == 0 {
		stream := NewStream(seed, "random", block, dimensions[last])
		stream.Fill(u[last])
	}
}

// openInterval moves p into [2^-53, 1-2^-53].
func openInterval(p float64) float64 { return min(max(p, 0x1p-53), 1-0x1p-53) }
