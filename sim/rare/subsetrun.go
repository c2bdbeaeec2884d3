package rare

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat"
)

const (
	levelShare     = 0.1  // p0: of the sample, kept as seeds of the next level
	wantedAccepts  = 0.44 // of the moves, Papaioannou et al. 2015
	firstScale     = 0.6  // of the moves
	adaptationGain = 1.0
	fewestSeeds    = 5
	steady         = 1e3 // interquartile ranges from failure, of what never varies
	mostLevels     = 16  // 1e-16: further down the bound is all there is to say
)

// subsetRun is one run of subset simulation (Au & Beck, Prob. Eng. Mech. 16
// (2001) 263) with adaptive conditional sampling (Papaioannou, Betz, Zwirglmaier
// & Straub, Prob. Eng. Mech. 41 (2015) 89).
type subsetRun struct {
	*meter
	random      *rand.Rand
	now, next   batch // samples of this level and the next
	depth, then []float64
	unit        []float64 // of each event's limit state: its interquartile range
	scale       float64   // of the moves
	probability float64
	level       int
	stuck       bool
}

func (m *meter) newSubsetRun(random *rand.Rand, n int) *subsetRun {
	return &subsetRun{
		meter: m, random: random, now: m.newBatch(n), next: m.newBatch(n),
		depth: make([]float64, n), then: make([]float64, n), scale: firstScale, probability: 1,
	}
}

// descend takes the sample level by level into the failure domain.
func (s *subsetRun) descend() {
	n := len(s.depth)
	if !s.affords(n) {
		s.probability, s.stuck = 0, true
		return
	}
	for _, u := range s.now.u {
		for i := range u {
			u[i] = s.random.NormFloat64()
		}
	}
	s.evaluate(s.now)
	s.measure()
	for s.level = 1; ; s.level++ {
		threshold, inside := s.nextThreshold()
		if threshold <= 0 || inside < fewestSeeds || s.level == mostLevels || !s.affords(n) {
			failing := count(s.depth, 0)
			s.probability *= float64(failing) / float64(n)
			s.stuck = failing == 0
			return
		}
		s.probability *= float64(inside) / float64(n)
		s.walk(threshold)
	}
}

// measure sets the units in which the events' limit states are compared, from
// the crude draws, and the depth of each draw.
func (s *subsetRun) measure() {
	s.unit = make([]float64, s.Events)
	for e, values := range s.now.g {
		finite := slices.DeleteFunc(slices.Clone(values), func(g float64) bool { return math.IsInf(g, 0) })
		slices.Sort(finite)
		s.unit[e] = 1
		if len(finite) == 0 {
			continue
		}
		spread := stat.Quantile(0.75, stat.Empirical, finite, nil) - stat.Quantile(0.25, stat.Empirical, finite, nil)
		switch middle := math.Abs(finite[len(finite)/2]); {
		case spread > 0:
			s.unit[e] = spread
		case middle > 0: // it never varies: not what leads to a failure
			s.unit[e] = middle / steady
		}
	}
	for row := range s.depth {
		s.depth[row] = s.depthOf(s.now, row)
	}
}

// depthOf is the least limit state in units of its event: failure is <= 0.
func (s *subsetRun) depthOf(b batch, row int) float64 {
	depth := math.Inf(1)
	for e := range b.g {
		depth = min(depth, b.g[e][row]/s.unit[e])
	}
	return depth
}

// nextThreshold is the depth that the seeds of the next level reach and how many
// draws do: more than the wanted share where depths are equal. When that is the
// whole sample, a plateau, only the draws below the plateau lead on.
func (s *subsetRun) nextThreshold() (threshold float64, inside int) {
	sorted := slices.Sorted(slices.Values(s.depth))
	n := len(sorted)
	threshold = sorted[int(levelShare*float64(n))-1]
	if threshold == sorted[n-1] && threshold > 0 {
		below, _ := slices.BinarySearch(sorted, threshold)
		if below == 0 {
			return threshold, 0
		}
		threshold = sorted[below-1]
	}
	return threshold, count(sorted, threshold)
}

func count(depths []float64, threshold float64) (n int) {
	for _, d := range depths {
		if d <= threshold {
			n++
		}
	}
	return n
}

// walk fills the next level's sample with chains from seeds inside the
// threshold, one step of all chains at a time. The scale of the moves is adapted
// from level to level, so that within a level no chain's moves depend on its past.
func (s *subsetRun) walk(threshold float64) {
	var seeds []int
	for row, d := range s.depth {
		if d <= threshold {
			seeds = append(seeds, row)
		}
	}
	s.random.Shuffle(len(seeds), func(i, j int) { seeds[i], seeds[j] = seeds[j], seeds[i] })
	chains := min(len(seeds), int(levelShare*float64(len(s.depth))))
	for c, seed := range seeds[:chains] {
		s.keep(c, s.now, seed, s.depth[seed])
	}
	// u' = rho u + sqrt(1 - rho^2) xi leaves the standard normal as it is.
	spread := min(1, s.scale)
	rho := math.Sqrt(1 - spread*spread)
	trial := s.newBatch(chains)
	accepted := 0
	for row := chains; row < len(s.depth); row += chains {
		step := trial.first(min(chains, len(s.depth)-row))
		for c, u := range step.u {
			for i, previous := range s.next.u[row+c-chains] {
				u[i] = rho*previous + spread*s.random.NormFloat64()
			}
		}
		s.evaluate(step)
		for c := range step.u {
			if depth := s.depthOf(step, c); depth <= threshold {
				accepted++
				s.keep(row+c, step, c, depth)
			} else {
				s.keep(row+c, s.next, row+c-chains, s.then[row+c-chains])
			}
		}
	}
	rate := float64(accepted) / float64(len(s.depth)-chains)
	s.scale = spread * math.Exp(adaptationGain*(rate-wantedAccepts))
	s.now, s.next = s.next, s.now
	s.depth, s.then = s.then, s.depth
}

// keep copies a row of b into a row of the next sample.
func (s *subsetRun) keep(row int, b batch, from int, depth float64) {
	copy(s.next.u[row], b.u[from])
	for e := range b.g {
		s.next.g[e][row] = b.g[e][from]
	}
	s.then[row] = depth
}

// shareOf is the share of event e among the failures of the last sample.
func (s *subsetRun) shareOf(e int) float64 {
	failing := count(s.depth, 0)
	if failing == 0 {
		return 0
	}
	return float64(count(s.now.g[e], 0)) / float64(failing)
}

// failing copies the points of the last sample that failed.
func (s *subsetRun) failing() (points [][]float64) {
	for row, d := range s.depth {
		if d <= 0 {
			points = append(points, slices.Clone(s.now.u[row]))
		}
	}
	return points
}
