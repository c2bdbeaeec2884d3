package rare

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

const (
	axisRadius  = 5 // where the axes are looked at, in standard deviations
	pilotDraws  = 300
	mostPilots  = 6   // after one exploration
	fewestDraws = 500 // below, the interval of skewed weights covers too little
	// spare is for the error of the pilot: of 300 draws it knows the variance to a
	// quarter or so.
	spare      = 1.3
	mostChecks = 6
	// mostAgain bounds how often draws that tell too little are taken for a pilot, and amiss is how
	// many times the error aimed at that begins.
	mostAgain = 3
	amiss     = 1.5
)

// Estimate finds the probability of any event of p. It searches the ways to fail,
// from the origin and from failures found without slopes, fits a density to them by
// pilot draws, and explores anew until a search finds nothing that matters which
// was not known. Then come the draws that count, as many as the pilot asks for. The
// evaluations go where failures are not explained yet; what is not needed stays
// unused. The error names a field of p or o outside its range. Estimate may be
// called concurrently for different problems and streams.
func Estimate(p Problem, o Options) (Result, error) {
	if err := p.validate(); err != nil {
		return Result{}, err
	}
	if err := o.validate(p.Dim); err != nil {
		return Result{}, err
	}
	a := &assessment{meter: &meter{Problem: p}, Options: o}
	a.need(fewestDraws)
	a.feel()
	a.descendFromOrigin()
	a.explore(1)
	a.explainEnds()
	a.pilot()
	a.check()
	return a.conclude(a.draw()), nil
}

// assessment is the state of one Estimate.
type assessment struct {
	*meter
	Options
	felt     []int     // variables that matter
	searches []*search // of each event
	points   []DesignPoint
	centres  [][]float64
	mixture  mixture
	scale    float64 // of the probability, as known so far

	explorations int
	last         exploration
	ends         []failure // of the walks of all explorations
	known        int       // centres before the last exploration
	pilots       int
	pilotResult  Importance
	needed       int // draws that count, kept from all that comes before
	cut          bool
}

// need asks for draws that count, and keeps evaluations for them: a quarter at most, since a
// number that misses a way to fail is worth less than a wide interval.
func (a *assessment) need(draws int) {
	a.needed = draws
	a.limit = max(a.used, a.Evaluations-min(draws, a.Evaluations/4))
}

// feel evaluates the origin and looks along the axes, where there are many
// variables, for those that matter.
func (a *assessment) feel() {
	a.mixture = newMixture(a.Dim, 1, nil)
	a.felt = a.all()
	origin := a.newBatch(1)
	a.evaluate(origin)
	for e := range a.Problem.Events {
		s := a.newSearch(e)
		s.at, s.value = origin.u[0], origin.g[e][0]
		a.searches = append(a.searches, s)
	}
	if a.Dim <= fewVariables {
		return
	}
	b := a.newBatch(2 * a.Dim)
	for row, u := range b.u {
		u[row/2] = axisRadius * float64(1-2*(row%2))
	}
	a.evaluate(b)
	a.felt = nil
	for e, s := range a.searches {
		s.active = feltAlong(b.g[e], s.value)
		a.felt = append(a.felt, s.active...)
	}
	slices.Sort(a.felt)
	a.felt = slices.Compact(a.felt)
}

// descendFromOrigin searches the design point of each event where its slope at the
// origin leads.
func (a *assessment) descendFromOrigin() {
	for _, s := range a.searches {
		if !a.affords(a.descentCost()) {
			a.cut = true
			return
		}
		value := s.value
		p, end := s.descend(s.at, value, a.points)
		if end == found && (p.Beta > 0 || value <= 0) {
			a.addPoint(p)
		}
	}
}

// explore takes the failures of an exploration to those known.
func (a *assessment) explore(spread float64) {
	a.known = len(a.mixture.share) - 1
	a.last = a.meter.explore(a.Stream("rare/explore", uint64(a.explorations)), a.felt, spread)
	a.explorations++
	a.cut = a.cut || !a.last.complete
	a.ends = append(a.ends, a.last.failures...)
	if a.pilots == 0 && a.last.start < spreadStep { // drawn from the standard normal
		a.scale = a.last.share
	}
}

// pilot draws until a round leaves nothing unexplained, fits the density to what
// they show and says how many draws are needed.
func (a *assessment) pilot() {
	if len(a.centres) == 0 {
		return
	}
	a.fit(a.last.failures, nil)
	for range mostPilots {
		if !a.affords(pilotDraws) {
			break
		}
		r := sampleMixture(a.meter, a.mixture, a.Stream("rare/pilot", uint64(a.pilots)), pilotDraws, a.Level)
		a.pilots++
		if r.Failures == 0 {
			break
		}
		if !a.learn(r) {
			return
		}
	}
	a.cut = true
}

// learn fits the density to what draws show and says how many are needed with it, and whether
// there were failures among them that no centre explained.
func (a *assessment) learn(r Importance) (found bool) {
	a.pilotResult, a.scale = r, r.Union.Value
	perDraw := r.Union.RelativeError() * math.Sqrt(float64(r.Evaluations))
	a.need(max(fewestDraws, int(math.Ceil(spare*math.Pow(perDraw/a.RelativeError, 2)))))
	before := len(a.centres)
	a.explain(r.failures, 0)
	a.explainEnds()
	a.fit(r.failures, r.weights)
	return len(a.centres) > before
}

// fit rebuilds the density with shares for weighted failures; nil for equal weights.
func (a *assessment) fit(failures []failure, weights []float64) {
	if weights == nil {
		weights = make([]float64, len(failures))
		floats.AddConst(1, weights)
	}
	a.mixture = newMixture(a.Dim, a.defensive(), a.centres).fit(failures, weights)
}

// defensive is the share of the draws around the origin: where failure is not rare
// they serve best.
func (a *assessment) defensive() float64 { return min(1, max(defensiveShare, a.scale)) }

// check explores anew, finding failures that the density owes nothing to, explains
// those that it does not yet, and repeats that until the centres known before carry
// most of the probability.
func (a *assessment) check() {
	for range mostChecks {
		if len(a.centres) == 0 || !a.affords(a.last.cost) {
			return
		}
		a.explore(a.last.start)
		before := len(a.centres)
		a.explainEnds()
		if len(a.centres) == before {
			return
		}
		a.pilot()
		// The draws that count may say a little less.
		if a.recapture(a.pilotResult).Known >= (1+wantedShare)/2 {
			return
		}
	}
}

// recapture holds the last exploration against the probability as it was drawn.
func (a *assessment) recapture(r Importance) Check {
	c := Check{Searches: a.explorations, Walks: len(a.last.failures), Evaluations: a.last.cost}
	visits := make([]float64, len(a.mixture.share))
	for _, f := range a.last.failures {
		floats.Add(visits, a.mixture.responsibilities(f.u))
	}
	total := 0.0
	for k, f := range r.failures {
		for j, share := range a.mixture.responsibilities(f.u) {
			part := share * r.weights[k]
			total += part
			if j <= a.known {
				c.Known += part
			}
			if visits[j] >= 0.5 {
				c.Again += part
			}
		}
	}
	c.Known, c.Again = c.Known/total, c.Again/total
	return c
}

// draw makes the draws that count, all that are left where no centre is known. Draws that tell far
// less than they were planned for are a larger pilot: they do not count, and others are made.
func (a *assessment) draw() Importance {
	for again := uint64(0); ; again++ {
		n := a.Evaluations - a.used
		if len(a.centres) > 0 {
			n = min(n, a.needed)
		}
		r := sampleMixture(a.meter, a.mixture, a.Stream("rare/importance", again), n, a.Level)
		if again == mostAgain || !a.tellsTooLittle(r) {
			return r
		}
		if a.learn(r) {
			a.check()
		}
	}
}

// tellsTooLittle says that draws miss the error aimed at by far, or are carried by few of them,
// while more than as many again can be had.
func (a *assessment) tellsTooLittle(r Importance) bool {
	missed := !r.sound() || r.Union.RelativeError() > amiss*a.RelativeError
	return missed && r.Failures > 0 && len(a.centres) > 0 && a.Evaluations-a.used > 2*r.Evaluations
}
