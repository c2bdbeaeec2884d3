package drivers

import (
	"math"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/sensitivity"
	"clampodds/sim/tail"
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

// slopes estimates the slopes of all inputs on a sample.
func (a *Analysis) slopes(state *tail.State, s sample) []Slopes {
	x, z, weights := exceeding(state, s)
	result := make([]Slopes, len(a.inputs))
	pulls, err := sensitivity.NewPuller(state.Inputs().NormalCorrelation())
	if err != nil {
		panic(err) // correlations of inputs can hold together
	}
	for k, in := range a.inputs {
		var err error
		result[k].Deviation = state.Inputs().Variables()[in.Columns[0]].Dist.StdDev()
		shift, stretch := make([]float64, len(x)), make([]float64, len(x))
		for _, column := range in.Columns {
			if err == nil {
				err = addScores(state.Inputs(), column, in.Set > 0, pulls, x, z, shift, stretch)
			}
		}
		if err == nil {
			result[k].Mean, err = sensitivity.Derivative(shift, weights, int64(len(s.u)), a.Level)
		}
		if err == nil {
			result[k].StdDev, err = sensitivity.Derivative(stretch, weights, int64(len(s.u)), a.Level)
		}
		result[k].Err = err
	}
	return result
}

// exceeding lists the draws that exceeded: the values of the inputs, their normal
// scores, and the weights.
func exceeding(state *tail.State, s sample) (x, z [][]float64, weights []float64) {
	variables := state.Inputs().Variables()
	for r, yes := range s.exceeded {
		if !yes {
			continue
		}
		values := state.Values(s.u[r])
		scores := make([]float64, len(values))
		for i, v := range variables {
			scores[i] = dist.NormalScore(v.Dist, values[i])
		}
		x, z, weights = append(x, values), append(z, scores), append(weights, s.weights[r])
	}
	return x, z, weights
}

// addScores adds the scores of one variable in every draw.
func addScores(inputs *sim.Inputs, column int, correlated bool, pulls *sensitivity.Puller, x, z [][]float64, shift, stretch []float64) error {
	score, err := newScore(inputs.Variables()[column].Dist)
	if err != nil {
		return err
	}
	for r := range x {
		value := x[r][column]
		if !correlated {
			shift[r] += score.Shift(value)
			stretch[r] += score.Stretch(value)
			continue
		}
		pull := pulls.Pull(z[r], column)
		shift[r] += score.CorrelatedShift(value, z[r][column], pull)
		stretch[r] += score.CorrelatedStretch(value, z[r][column], pull)
	}
	return nil
}

// newScore takes cuts for inspection limits, which stay where they are.
func newScore(d dist.Distribution) (*sensitivity.Score, error) {
	low, high := math.Inf(-1), math.Inf(1)
	if cut, ok := d.(dist.Truncated); ok {
		d, low, high = cut.Uncut()
	}
	return sensitivity.NewCutScore(d, low, high, nil)
}
