package drivers

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync/atomic"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mathext"

	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/rare"
	"clampodds/sim/result"
	"clampodds/sim/sensitivity"
)

const (
	aroundOrigin = 0.1  // of all draws, at least: bounds the weights by 10
	nearCentre   = 0.5  // distance within which the common draws serve a change
	unlikely     = 1e-6 // of the likeliest way to exceed, a way that no draws are spent on
	slopeSamples = 4    // for the slopes
)

// Exceedance says what drives the probability of any of some events.
type Exceedance struct {
	// Probability is that of the draws around the design points.
	Probability float64
	// Factors[k][c] is the probability after over that before, on the same draws, of input k and change c of
	// Changes. 0 says that no draw exceeded after the change; there is no upper end then.
	Factors [][]result.Effect
	// Slopes[k] are those of input k.
	Slopes []Slopes
	// Failures counts the draws for the slopes that exceeded; EffectiveDraws is their
	// effective sample size.
	Failures       int
	EffectiveDraws float64
	Evaluations    int64
}

// Exceedance compares the probability of any of the events, before and after
// every change of every input. found is what rare.Estimate found for the same
// events of the same scenario; around its centres the draws are made. Changes that
// leave the design points near where they are, to first order, share their draws;
// others have draws of their own, around where the points move to as well.
func (a *Analysis) Exceedance(events []sim.Requirement, found rare.Result) (Exceedance, error) {
	e, err := a.newExceedance(events, found)
	if err != nil {
		return Exceedance{}, err
	}
	common := e.newWork()
	common.draw(slopeSamples, e.ways.now)
	r := Exceedance{Factors: make([][]result.Effect, len(a.inputs)), Slopes: make([]Slopes, len(a.inputs))}
	var wide [slopeSamples]exceeding
	err = batch.EachWith(context.Background(), a.Workers, slopeSamples+len(a.inputs), e.newWork, func(w *work, task int) (err error) {
		if task < slopeSamples {
			w.draw(task, nil)
			wide[task] = w.exceeding(a.scenario.Inputs.Variables())
			return nil
		}
		k := task - slopeSamples
		r.Factors[k], err = w.factors(&common.sample, k)
		return err
	})
	if err != nil {
		return Exceedance{}, err
	}
	draws := joined(wide[:])
	r.Probability = floats.Sum(draws.weights) / float64(draws.drawn)
	r.Failures, r.EffectiveDraws = draws.effective()
	r.Evaluations = e.evaluations.Load()
	pulls, err := sensitivity.NewPuller(a.scenario.Inputs.NormalCorrelation())
	if err != nil {
		return Exceedance{}, err
	}
	err = a.each(func(k int) error {
		r.Slopes[k] = a.slopes(draws, pulls, a.inputs[k])
		return nil
	})
	return r, err
}

// exceedance is the state of one Analysis.Exceedance.
type exceedance struct {
	*Analysis
	events      []sim.Requirement
	output      []int // by event
	ways        ways
	centres     [][]float64
	origin      float64 // share of the draws around it
	evaluations atomic.Int64
}

func (a *Analysis) newExceedance(events []sim.Requirement, found rare.Result) (*exceedance, error) {
	e := &exceedance{Analysis: a, events: events, centres: likely(found.Centres), origin: min(1, max(aroundOrigin, found.Probability.Value))}
	for _, event := range events {
		output := slices.IndexFunc(a.scenario.Model.Outputs(), func(o sim.Output) bool { return o.Name == event.Output })
		if output < 0 {
			return nil, fmt.Errorf("event %q: no output %q", event.Name, event.Output)
		}
		e.output = append(e.output, output)
	}
	var err error
	e.ways, err = newWays(a.scenario.Inputs.NormalFactor(), found.DesignPoints)
	return e, err
}

// sample is a set of draws, with what they did before any change.
type sample struct {
	sampler  rare.Sampler
	u        [][]float64 // by row, then variable
	x        [][]float64 // values before any change, by variable
	weights  []float64
	exceeded []bool
}

// work is a sample and the memory that one goroutine works in.
type work struct {
	of *exceedance
	*evaluator
	sample
}

func (e *exceedance) newWork() *work {
	variables := len(e.scenario.Inputs.Variables())
	return &work{
		of: e, evaluator: e.newEvaluator(),
		sample: sample{u: batch.Columns(e.Rows, variables), x: batch.Columns(variables, e.Rows), exceeded: make([]bool, e.Rows)},
	}
}

// draw draws anew, around the centres of the search and further ones.
func (w *work) draw(index int, further [][]float64) {
	centres := slices.DeleteFunc(slices.Concat(further, w.of.centres), func(at []float64) bool { return at == nil })
	w.sampler = rare.NewSampler(len(w.x), w.of.origin, centres...)
	w.sampler.Draw(w.random("exceedance", index), w.u)
	w.weights = weigh(w.sampler, w.u)
	for i, column := range w.x {
		w.scores(i, column)
	}
	w.scenario.Inputs.FromNormal(w.x, w.x)
	w.exceeds(w.x, w.exceeded)
}

func weigh(by rare.Sampler, u [][]float64) []float64 {
	weights := make([]float64, len(u))
	for r := range u {
		weights[r] = by.Weight(u[r])
	}
	return weights
}

// scores copies those of a variable.
func (s *sample) scores(variable int, to []float64) {
	for r, u := range s.u {
		to[r] = u[variable]
	}
}

// exceeds marks the rows of values that show any of the events.
func (w *work) exceeds(x [][]float64, any []bool) {
	clear(any)
	w.of.evaluations.Add(int64(len(any)))
	w.each(x, len(any), func(low int, y [][]float64) {
		for i, event := range w.of.events {
			for r, value := range y[w.of.output[i]] {
				any[low+r] = any[low+r] || event.Exceeded(value)
			}
		}
	})
}

// factors are those of every change of input k.
func (w *work) factors(common *sample, k int) (factors []result.Effect, err error) {
	in, after := w.inputs[k], make([]bool, w.Rows)
	for c, change := range Changes() {
		s := common
		if centres := w.of.ways.moved(in, change); centres != nil {
			w.draw(slopeSamples+1+k*len(Changes())+c, centres)
			s = &w.sample
		}
		x, err := w.after(in, change, s.x, s.scores, (*sim.Inputs).FromNormal)
		if err != nil {
			return nil, err
		}
		w.exceeds(x, after)
		weights := s.weights
		if change == Fixed { // what happens no longer depends on the input's scores
			weights = weigh(s.sampler.Without(w.of.ways.along(in)), s.u)
		}
		factors = append(factors, ratio(s.exceeded, after, s.weights, weights, w.Level))
	}
	return factors, nil
}

func mean(exceeded []bool, weights []float64) float64 {
	sum := 0.0
	for r, yes := range exceeded {
		if yes {
			sum += weights[r]
		}
	}
	return sum / float64(len(exceeded))
}

// ratio estimates the mean of the weighted indicator after over that before. The
// interval is that of the central limit on ln ratio, the variance by the delta
// method from the draws themselves: both means see the same ones.
func ratio(before, after []bool, weightsBefore, weightsAfter []float64, level float64) result.Effect {
	n := float64(len(before))
	p, q := mean(before, weightsBefore), mean(after, weightsAfter)
	if p == 0 {
		return result.Effect{Value: math.NaN(), Interval: sim.Interval{High: math.Inf(1)}, Indistinguishable: true}
	}
	f := result.Effect{Value: q / p}
	deviations, changes := 0.0, 0.0 // squares of after - f before; of the changes about their mean
	for r := range before {
		x, y := 0.0, 0.0
		if before[r] {
			x = weightsBefore[r]
		}
		if after[r] {
			y = weightsAfter[r]
		}
		deviations += (y - f.Value*x) * (y - f.Value*x)
		changes += (y - x - q + p) * (y - x - q + p)
	}
	z := -mathext.NormalQuantile((1 - level) / 2)
	if q == 0 {
		f.High = math.NaN()
		f.Indistinguishable = p <= z*math.Sqrt(changes/n/(n-1))
		return f
	}
	spread := math.Exp(z * math.Sqrt(deviations/n/(n-1)) / q)
	f.Low, f.High = f.Value/spread, f.Value*spread
	f.Indistinguishable = f.Low <= 1 && f.High >= 1
	return f
}
