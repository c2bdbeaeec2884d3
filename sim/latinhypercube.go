package sim

import "math/rand/v2"

// LatinHypercube divides each coordinate of a block of n points into n equal
// intervals, each met once, the order shuffled: McKay, Beckman & Conover,
// Technometrics 21 (1979) 239. Its variance is at most n/(n-1) times that of
// random sampling (Owen, Ann. Statist. 25 (1997) 1541), and small where the
// output is nearly a sum of effects of single inputs; far tails gain little.
// The numbers of a dimension depend on its name, the seed and the block only.
type LatinHypercube struct{}

// Name returns "Latin hypercube".
func (LatinHypercube) Name() string { return "Latin hypercube" }

// Dependent returns true.
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
