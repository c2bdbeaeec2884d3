package sim

import "math/rand/v2"

// Halton is the Halton sequence with random digit permutations, one independent
// scramble for each block: Owen, "A randomized Halton algorithm in R",
// arXiv:1706.02808. Dimensions take the primes in their order, so that the
// points of a run's first dimensions are the most even. The scramble of a
// dimension depends on its name, the seed, the block and its prime.
type Halton struct{}

// Name returns "scrambled Halton".
func (Halton) Name() string { return "scrambled Halton" }

// Dependent returns true.
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

// nextPrime returns the smallest prime above n.
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
