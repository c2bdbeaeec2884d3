package drivers

import (
	"fmt"
	"math"
	"slices"
	"sync/atomic"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"

	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/rare"
	"clampodds/sim/result"
	"clampodds/sim/tail"
)

const (
	aroundOrigin = 0.1 // of all draws, at least: bounds the weights by 10
	nearCentre   = 0.5 // distance within which a sample's centres serve a change
	slopeRows    = 4   // times the rows of a sample, for the slopes
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
// events of the same scenario; around its centres the draws are made, and where a
// change moves its design points far, around where they move to first order as well.
func (a *Analysis) Exceedance(events []sim.Requirement, found rare.Result) (Exceedance, error) {
	state, err := a.state(a.scenario.Inputs, events)
	if err != nil {
		return Exceedance{}, err
	}
	e := exceedance{
		Analysis: a, before: state, points: found.DesignPoints, centres: found.Centres,
		origin: min(1, max(aroundOrigin, found.Probability.Value)), scores: a.scenario.Inputs.NormalFactor(),
	}
	if err := e.inverse.Inverse(e.scores); err != nil {
		return Exceedance{}, fmt.Errorf("correlations so near their limit leave no independent draws: %w", err)
	}
	wide := e.sample(nil, 0, slopeRows*a.Rows)
	r := Exceedance{Probability: mean(wide.exceeded, wide.weights)}
	r.Failures, r.EffectiveDraws = wide.effective()
	draws, err := newExceeding(state, wide)
	if err != nil {
		return Exceedance{}, err
	}
	common := e.sample(nil, 1, a.Rows)
	r.Factors, r.Slopes = make([][]result.Effect, len(a.inputs)), make([]Slopes, len(a.inputs))
	e.Analysis = a.single()
	if e.before, err = e.state(a.scenario.Inputs, events); err != nil {
		return Exceedance{}, err
	}
	err = a.each(func(k int) (err error) {
		r.Slopes[k] = draws.slopes(a.inputs[k], a.Level)
		r.Factors[k], err = e.factors(common, k)
		return err
	})
	r.Evaluations = e.evaluations.Load()
	return r, err
}

// factors are those of every change of input k.
func (e *exceedance) factors(common sample, k int) (factors []result.Effect, err error) {
	in := e.inputs[k]
	for c, change := range Changes() {
		inputs, err := e.with(in, change)
		if err != nil {
			return nil, err
		}
		after, err := e.state(inputs, e.before.Events())
		if err != nil {
			return nil, err
		}
		s := common
		if centres := e.moved(in, change); len(centres) > 0 {
			s = e.sample(centres, 2+k*len(Changes())+c, e.Rows)
		}
		factors = append(factors, e.factor(s, after, in, change))
	}
	return factors, nil
}

func (a *Analysis) state(inputs *sim.Inputs, events []sim.Requirement) (*tail.State, error) {
	scenario := a.scenario
	scenario.Inputs = inputs
	s, err := tail.NewState(scenario, events...)
	if err == nil {
		s.Workers = a.Workers
	}
	return s, err
}

// exceedance is the state of one Analysis.Exceedance.
type exceedance struct {
	*Analysis
	before      *tail.State
	points      []rare.DesignPoint
	centres     [][]float64
	origin      float64    // share of the draws around it
	scores      *mat.Dense // L of the normal scores z = L u
	inverse     mat.Dense
	evaluations atomic.Int64
}

// sample is a set of draws, with what they did before any change.
type sample struct {
	sampler  rare.Sampler
	u        [][]float64
	weights  []float64
	exceeded []bool
}

// sample draws rows around the centres of the search and further ones.
func (e *exceedance) sample(further [][]float64, index, rows int) sample {
	dim := len(e.scenario.Inputs.Variables())
	s := sample{sampler: rare.NewSampler(dim, e.origin, slices.Concat(further, e.centres)...), u: batch.Columns(rows, dim)}
	s.sampler.Draw(e.random("exceedance", index), s.u)
	s.weights, s.exceeded = s.weigh(s.sampler), e.exceeds(e.before, s.u)
	return s
}

func (s sample) weigh(by rare.Sampler) []float64 {
	weights := make([]float64, len(s.u))
	for r, u := range s.u {
		weights[r] = by.Weight(u)
	}
	return weights
}

// effective counts the draws that exceeded, with their effective sample size.
func (s sample) effective() (failures int, draws float64) {
	sum, squares := 0.0, 0.0
	for r, yes := range s.exceeded {
		if yes {
			failures++
			sum += s.weights[r]
			squares += s.weights[r] * s.weights[r]
		}
	}
	if failures == 0 {
		return 0, 0
	}
	return failures, sum * sum / squares
}

// exceeds reports which rows show any of the events.
func (e *exceedance) exceeds(state *tail.State, u [][]float64) []bool {
	g := batch.Columns(len(state.Events()), len(u))
	state.Problem().Evaluate(u, g)
	e.evaluations.Add(int64(len(u)))
	any := make([]bool, len(u))
	for _, event := range g {
		for r, value := range event {
			any[r] = any[r] || value <= 0
		}
	}
	return any
}

// moved lists where a change moves the design points, to first order: failure is
// Σ γ_i z_i >= β in the scores z = L u, γ = L^-T α, and Σ γ_i (k_i z_i + d_i) >= β
// after the change, k the factor of the spread of the input's variables and d the
// shift of their means in standard deviations. Correlated inputs follow as they do
// among the inputs. It is empty when all points stay near where they were.
func (e *exceedance) moved(in Input, c Change) (centres [][]float64) {
	far := false
	for _, p := range e.points {
		pull, distance := product(e.inverse.T(), p.Alpha), p.Beta
		for _, i := range in.Columns {
			switch c {
			case Fixed:
				pull[i] = 0
			case Halved:
				pull[i] /= 2
			case Lowered:
				distance += pull[i]
			case Raised:
				distance -= pull[i]
			}
		}
		direction := product(e.scores.T(), pull)
		squared := floats.Dot(direction, direction)
		if !(squared > 0) || distance > 3*p.Beta*math.Sqrt(squared)+3 {
			continue // nothing is left that could exceed
		}
		centre := floats.ScaleTo(make([]float64, len(direction)), max(0, distance)/squared, direction)
		centres = append(centres, centre)
		far = far || floats.Distance(centre, p.U, 2) > nearCentre
	}
	if !far {
		return nil
	}
	return centres
}

// product is m v.
func product(m mat.Matrix, v []float64) []float64 {
	var p mat.VecDense
	p.MulVec(m, mat.NewVecDense(len(v), v))
	return p.RawVector().Data
}

// factor compares after with before on the draws of a sample.
func (e *exceedance) factor(s sample, after *tail.State, in Input, c Change) result.Effect {
	weights := s.weights
	if c == Fixed { // what happens no longer depends on the input's scores
		var directions [][]float64 // that change them and no others
		for _, i := range in.Columns {
			directions = append(directions, mat.Col(nil, i, &e.inverse))
		}
		weights = s.weigh(s.sampler.Without(directions))
	}
	return ratio(s.exceeded, e.exceeds(after, s.u), s.weights, weights, e.Level)
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
