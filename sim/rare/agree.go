package rare

import (
	"fmt"
	"math"
	"slices"
)

// What the methods need together to say anything.
const (
	fewestEvaluations = 10000
	fewestPerVariable = 50 // for the axes of the screen and a few gradients
)

// agreementLevel is the level of the intervals that must overlap: two sound
// results of one problem fail to in fewer than 1 case of 100 (4 of 2600 runs on
// the states of the tests).
const agreementLevel = 0.99

// How the evaluations are shared out. Subset simulation gets what is left.
const (
	crudePart   = 0.025 // for the screen, and half as many on the ring
	searchPart  = 0.25  // for the screen and the design points together
	searchMore  = 0.10  // for them too among many variables
	drawsPart   = 0.25  // for each round of importance sampling, at most
	reservePart = 0.10  // kept for a second search
	mostRounds  = 3
)

// Options steers Estimate. Every field must be set.
type Options struct {
	// Stream supplies the random numbers.
	Stream Stream
	// Evaluations bounds the rows the model is evaluated on, at least 10000
	// and at least 50 for each variable.
	Evaluations int
	// RelativeError is the relative standard error of the probability at which
	// importance sampling stops, above 0 and below 1; 0.1 is usual.
	RelativeError float64
	// Level is the confidence level of the intervals, above 0 and below 1.
	Level float64
}

func (o Options) validate(dim int) error {
	switch {
	case o.Stream == nil:
		return fmt.Errorf("rare: Options.Stream is nil")
	case o.Evaluations < max(fewestEvaluations, fewestPerVariable*dim):
		return fmt.Errorf("rare: Options.Evaluations is %d, must be at least %d for %d variables",
			o.Evaluations, max(fewestEvaluations, fewestPerVariable*dim), dim)
	case !(o.RelativeError > 0 && o.RelativeError < 1):
		return fmt.Errorf("rare: Options.RelativeError is %g, must lie between 0 and 1", o.RelativeError)
	case !(o.Level > 0 && o.Level < 1):
		return fmt.Errorf("rare: Options.Level is %g, must lie between 0 and 1", o.Level)
	}
	return nil
}

// Verdict says how far a probability is established.
type Verdict string

// The verdicts.
const (
	// Agree: importance sampling and subset simulation agree.
	Agree Verdict = "two methods agree"
	// OnlyOne: one of the methods gave no usable result.
	OnlyOne Verdict = "one method only"
	// NotEstablished: the methods disagree, or neither gave a usable result.
	NotEstablished Verdict = "not established"
	// NoneSeen: no draw failed; the upper end of the interval is what the crude
	// draws among them support.
	NoneSeen Verdict = "no failure seen"
)

// Result is all that is known of a problem's probability.
type Result struct {
	// Probability is that of any event. Not established, it is the greater of
	// the two estimates with the envelope of their intervals.
	Probability Probability
	// Events is the probability of each event, by the same method.
	Events []Probability
	// Verdict is explained by Reason.
	Verdict Verdict
	Reason  string
	// DesignPoints are the ways to fail found, nearest first.
	DesignPoints []DesignPoint
	// Centres are what importance sampling drew around beside the origin: design
	// points and, where some were missed, the middles of failures.
	Centres [][]float64
	// FirstOrder is 1 - prod (1 - Phi(-Beta)) over the design points: an
	// approximation without an error bound, for comparison only.
	FirstOrder float64
	// Importance and Subset are the results of the two methods.
	Importance Importance
	Subset     Subset
	// Evaluations counts the rows the model was evaluated on, in all.
	Evaluations int
	Warnings    []Warning
}

// Estimate finds the probability of any event of p: it screens, searches the
// design points, samples around them, checks by subset simulation, and where
// that found failures away from every design point adds centres there and
// samples again. The error names a field of p or o outside its range. Estimate
// may be called concurrently for different problems and streams.
func Estimate(p Problem, o Options) (Result, error) {
	if err := p.validate(); err != nil {
		return Result{}, err
	}
	if err := o.validate(p.Dim); err != nil {
		return Result{}, err
	}
	a := assessment{meter: &meter{Problem: p}, Options: o}
	a.search()
	a.sample()
	a.walk()
	for a.round < mostRounds && a.addCentres() {
		a.sample()
	}
	r := a.conclude()
	r.Centres = a.mixture.centre[1:]
	return r, nil
}

// assessment is the state of one Estimate.
type assessment struct {
	*meter
	Options
	census     census        // of the screen's crude draws
	points     []DesignPoint // ways to fail, for the report
	middles    []DesignPoint // further centres: cliffs, middles of failures
	mixture    mixture
	importance Importance
	subset     Subset
	round      int // of importance sampling
	warnings   []Warning
}

// allow sets the meter's limit to a part of all evaluations more, within the total.
func (a *assessment) allow(rows int) { a.limit = min(a.Evaluations, a.used+rows) }

func (a *assessment) part(share float64) int { return int(share * float64(a.Evaluations)) }

func (a *assessment) search() {
	share := searchPart
	if a.Dim > fewVariables {
		share += searchMore
	}
	a.allow(a.part(share))
	crude := a.part(crudePart)
	s := newScreen(a.meter, a.Stream, crude, crude/2)
	a.census.events = make([]int, a.Problem.Events)
	a.census.addRows(s.batch, s.groups[0])
	a.points, a.warnings = findDesignPoints(a.meter, s, a.Stream)
	a.points = append(a.points, a.jumps(s, a.points)...)
	a.middles = a.cliffs(s)
}

// sample runs one round of importance sampling around all centres known.
func (a *assessment) sample() {
	a.allow(a.part(drawsPart))
	crude := float64(a.census.failures) / float64(a.census.draws)
	a.mixture = newMixture(a.Dim, slices.Concat(a.points, a.middles), crude)
	a.importance = sampleMixture(a.meter, a.mixture, a.Stream, uint64(a.round), a.RelativeError, a.Level)
	a.round++
}

// walk runs subset simulation with levels as large as the evaluations left allow,
// going by the number of levels to expect.
func (a *assessment) walk() {
	rows := a.Evaluations - a.used - a.part(reservePart)
	levels, largest := 7.0, math.MaxInt
	if a.importance.sound() {
		levels, largest = max(1, math.Ceil(-math.Log10(a.importance.Union.Value))), 1000
	}
	a.allow(rows)
	// The first level costs n, each further one 0.9 n, and one may come on top.
	n := max(smallestLevel, min(largest, int(float64(rows)/(subsetRuns*(1+(1-levelShare)*levels)))))
	a.subset = simulateSubsets(a.meter, a.Stream, n-n%10, a.Level)
}
