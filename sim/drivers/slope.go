package drivers

import (
	"math"

	"gonum.org/v1/gonum/floats"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/sensitivity"
)

// Slopes are the derivatives of the exceedance probability with an input.
type Slopes struct {
	// Mean and StdDev are per unit of the input, all instances together; cuts
	// stay where they are.
	Mean, StdDev sensitivity.Estimate
	// Deviation is the input's standard deviation: Deviation times a slope over
	// the probability is the relative change for one standard deviation.
	Deviation float64
	// Err says why there are none: no score, or too few draws that exceeded.
	Err error
}

// exceeding are draws that exceeded: the values of the inputs, their normal
// scores, and the weights.
type exceeding struct {
	x, z    [][]float64
	weights []float64
	drawn   int64 // all, exceeded or not
}

// exceeding are those of the sample.
func (s *sample) exceeding(variables []sim.Variable) exceeding {
	e := exceeding{drawn: int64(len(s.u))}
	for r, yes := range s.exceeded {
		if !yes {
			continue
		}
		values := batch.Columns(2, len(variables))
		for i, v := range variables {
			values[0][i] = s.x[i][r]
			values[1][i] = dist.NormalScore(v.Dist, s.x[i][r])
		}
		e.x, e.z, e.weights = append(e.x, values[0]), append(e.z, values[1]), append(e.weights, s.weights[r])
	}
	return e
}

// joined are those of all samples.
func joined(samples []exceeding) (all exceeding) {
	for _, s := range samples {
		all.x, all.z, all.weights = append(all.x, s.x...), append(all.z, s.z...), append(all.weights, s.weights...)
		all.drawn += s.drawn
	}
	return all
}

// effective counts the draws, with their effective sample size.
func (e *exceeding) effective() (failures int, draws float64) {
	if len(e.weights) == 0 {
		return 0, 0
	}
	sum := floats.Sum(e.weights)
	return len(e.weights), sum * sum / floats.Dot(e.weights, e.weights)
}

// slopes estimates those of an input.
func (a *Analysis) slopes(draws exceeding, pulls *sensitivity.Puller, in Input) (s Slopes) {
	variables := a.scenario.Inputs.Variables()
	s.Deviation = variables[in.Columns[0]].Dist.StdDev()
	shift, stretch := make([]float64, len(draws.x)), make([]float64, len(draws.x))
	for _, column := range in.Columns {
		var score *sensitivity.Score
		if score, s.Err = newScore(variables[column].Dist); s.Err != nil {
			return s
		}
		for r := range draws.x {
			value, z := draws.x[r][column], draws.z[r]
			if in.Set == 0 {
				shift[r] += score.Shift(value)
				stretch[r] += score.Stretch(value)
				continue
			}
			pull := pulls.Pull(z, column)
			shift[r] += score.CorrelatedShift(value, z[column], pull)
			stretch[r] += score.CorrelatedStretch(value, z[column], pull)
		}
	}
	if s.Mean, s.Err = sensitivity.Derivative(shift, draws.weights, draws.drawn, a.Level); s.Err == nil {
		s.StdDev, s.Err = sensitivity.Derivative(stretch, draws.weights, draws.drawn, a.Level)
	}
	return s
}

// newScore takes cuts for inspection limits, which stay where they are.
func newScore(d dist.Distribution) (*sensitivity.Score, error) {
	low, high := math.Inf(-1), math.Inf(1)
	if cut, ok := d.(dist.Truncated); ok {
		d, low, high = cut.Uncut()
	}
	return sensitivity.NewCutScore(d, low, high, nil)
}
