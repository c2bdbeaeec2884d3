package sim

import "math/rand/v2"

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

func (Random) Name() string    { return "random" }
func (Random) Dependent() bool { return false }

func (Random) Fill(u [][]float64, dimensions []string, seed, block uint64) {
	last := len(dimensions) - 1
	for d := 0; d < last; d += 2 {
		first, second := NewStream(seed, "random", block, dimensions[d]), NewStream(seed, "random", block, dimensions[d+1])
		FillBoth(&first, &second, u[d], u[d+1])
	}
	if last%2 == 0 {
		stream := NewStream(seed, "random", block, dimensions[last])
		stream.Fill(u[last])
	}
}

// openInterval moves p into [2^-53, 1-2^-53].
func openInterval(p float64) float64 { return min(max(p, 0x1p-53), 1-0x1p-53) }

// Halton is the Halton sequence with random digit permutations, one independent
// scramble for each block: Owen, "A randomized Halton algorithm in R",
// arXiv:1706.02808. Dimensions take the primes in their order, so that the
// points of a run's first dimensions are the most even. The scramble of a
// dimension depends on its name, the seed, the block and its prime.
type Halton struct{}

func (Halton) Name() string    { return "scrambled Halton" }
func (Halton) Dependent() bool { return true }

func (Halton) Fill(u [][]float64, dimensions []string, seed, block uint64) {
	prime := 1
	for d, name := range dimensions {
		prime = nextPrime(prime)
		stream := NewStream(seed, "Halton", block, name)
		scrambledRadicalInverse(u[d], prime, &stream)
	}
}

// scrambledRadicalInverse sets u[i] to the radical inverse of i in the base,
// the digits of each place sent through a permutation of the place's own. The
// places beyond the last one needed hold the digit 0 in all i: their permuted
// values are one common uniform number.
func scrambledRadicalInverse(u []float64, base int, stream *Stream) {
	clear(u)
	permutation := make([]float64, base)
	shuffler := rand.New(stream)
	scale := 1.0
	for place := 1; place < len(u); place *= base {
		for digit := range permutation {
			permutation[digit] = float64(digit)
		}
		shuffler.Shuffle(base, func(i, j int) {
			permutation[i], permutation[j] = permutation[j], permutation[i]
		})
		scale /= float64(base)
		for i, digit := 0, 0; i < len(u); digit++ {
			if digit == base {
				digit = 0
			}
			value := permutation[digit] * scale
			for end := min(i+place, len(u)); i < end; i++ {
				u[i] += value
			}
		}
	}
	rest := stream.Uniform() * scale
	for i := range u {
		u[i] = openInterval(u[i] + rest)
	}
}

func nextPrime(n int) int {
	for n++; !isPrime(n); n++ {
	}
	return n
}

func isPrime(n int) bool {
	for d := 2; d*d <= n; d++ {
		if n%d == 0 {
			return false
		}
	}
	return n >= 2
}

// LatinHypercube divides each coordinate of a block of n points into n equal
// intervals, each met once, the order shuffled: McKay, Beckman & Conover,
// Technometrics 21 (1979) 239. Its variance is at most n/(n-1) times that of
// random sampling (Owen, Ann. Statist. 25 (1997) 1541), and small where the
// output is nearly a sum of effects of single inputs; far tails gain little.
// The numbers of a dimension depend on its name, the seed and the block only.
type LatinHypercube struct{}

func (LatinHypercube) Name() string    { return "Latin hypercube" }
func (LatinHypercube) Dependent() bool { return true }

func (LatinHypercube) Fill(u [][]float64, dimensions []string, seed, block uint64) {
	for d, name := range dimensions {
		stream := NewStream(seed, "Latin hypercube", block, name)
		points := u[d]
		for i := range points {
			points[i] = float64(i)
		}
		rand.New(&stream).Shuffle(len(points), func(i, j int) {
			points[i], points[j] = points[j], points[i]
		})
		for i, interval := range points {
			points[i] = openInterval((interval + stream.Uniform()) / float64(len(points)))
		}
	}
}
