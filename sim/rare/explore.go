package rare

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// How the failures are looked for.
const (
	spreadStep    = math.Sqrt2
	widest        = 4   // the greatest spread tried
	exploreBatch  = 100 // draws
	enoughInBatch = 8   // failures that make a spread wide enough
	wantedWalks   = 50
	mostWideDraws = 1500
	moves         = 10   // of each walk, on the latter half no wider than the standard normal
	firstMoved    = 0.5  // of the coordinates, in each move
	movedBy       = 0.6  // standard deviations that a moved coordinate gets
	wantedAccepts = 0.44 // of the moves
)

// failure is a point that failed, with its limit states.
type failure struct{ u, g []float64 }

// exploration looks for failures without slopes, so that a jump of the limit state
// is no obstacle: it draws from normals so wide that failures are common, and
// takes each failure on a walk of its own within the failure domain while the normal
// narrows to the standard one (simulated annealing: Kirkpatrick, Gelatt & Vecchi,
// Science 220 (1983) 671, with the moves of Papaioannou, Betz, Zwirglmaier &
// Straub, Prob. Eng. Mech. 41 (2015) 89). The walks do not compete: a way to fail
// that few of the wide draws show is kept, however likely it is.
type exploration struct {
	start    float64 // spread that the walks began with
	share    float64 // of the draws of that spread that failed
	failures []failure
	complete bool // the walks came to their end, or there was none
	cost     int  // evaluations, without those at narrower spreads
}

// explorer is an exploration at work.
type explorer struct {
	*meter
	exploration
	random *rand.Rand
	wide   []int   // variables drawn wider than they are
	spread float64 // of them now
	draws  int
	moved  float64 // share of the coordinates, by each move
}

// explore begins at a spread, or at the next wider ones until failures are common.
func (m *meter) explore(random *rand.Rand, wide []int, spread float64) exploration {
	x := explorer{meter: m, random: random, wide: wide, moved: firstMoved, spread: spread / spreadStep}
	before := m.used
	for len(x.failures) < enoughInBatch && x.spread < 0.99*widest {
		if !x.affords(exploreBatch) {
			return x.exploration
		}
		x.spread *= spreadStep
		x.failures, x.draws, before = nil, 0, m.used
		x.draw()
	}
	for len(x.failures) > 0 && len(x.failures) < wantedWalks && x.draws < mostWideDraws && x.affords(exploreBatch) {
		x.draw()
	}
	x.start, x.share = x.spread, float64(len(x.failures))/float64(x.draws)
	x.failures = x.failures[:min(len(x.failures), wantedWalks)]
	for k := 1; k <= moves && len(x.failures) > 0; k++ {
		if !x.affords(len(x.failures)) {
			return x.exploration
		}
		x.spread = math.Pow(x.start, max(0, 1-2*float64(k)/moves))
		x.move()
	}
	x.complete, x.cost = true, m.used-before
	return x.exploration
}

func (x *explorer) draw() {
	b := x.newBatch(exploreBatch)
	for _, u := range b.u {
		for i := range u {
			u[i] = x.random.NormFloat64()
		}
		for _, i := range x.wide {
			u[i] *= x.spread
		}
	}
	x.evaluate(b)
	for row := range b.u {
		if b.fails(row) {
			x.failures = append(x.failures, b.failure(row))
		}
	}
	x.draws += exploreBatch
}

func (b batch) failure(row int) failure {
	f := failure{u: slices.Clone(b.u[row])}
	for e := range b.g {
		f.g = append(f.g, b.g[e][row])
	}
	return f
}

// move takes some coordinates of every failure a step that leaves the normal of the
// spread as it is, u' = rho u + sqrt(1 - rho^2) spread xi, where it fails too.
func (x *explorer) move() {
	rho := math.Sqrt(1 - movedBy*movedBy)
	b := x.newBatch(len(x.failures))
	spread := make([]float64, x.Dim)
	floats.AddConst(1, spread)
	for _, i := range x.wide {
		spread[i] = x.spread
	}
	for k, f := range x.failures {
		for i := range b.u[k] {
			b.u[k][i] = f.u[i]
			if x.random.Float64() < x.moved {
				b.u[k][i] = rho*f.u[i] + movedBy*spread[i]*x.random.NormFloat64()
			}
		}
	}
	x.evaluate(b)
	accepted := 0
	for k := range x.failures {
		if b.fails(k) {
			accepted++
			x.failures[k] = b.failure(k)
		}
	}
	rate := float64(accepted) / float64(len(x.failures))
	x.moved = min(1, x.moved*math.Exp(rate-wantedAccepts))
}
