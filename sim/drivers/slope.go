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

// exceeding are the draws that exceeded: the values of the inputs, their normal
// scores, and the weights.
type exceeding struct {
	inputs  *sim.Inputs
	pulls   *sensitivity.Puller
	x, z    [][]float64
	weights []float64
	drawn   int64 // all, exceeded or not
}

func newExceeding(state *tail.State, s sample) (*exceeding, error) {
	e := &exceeding{inputs: state.Inputs(), drawn: int64(len(s.u))}
	var err error
	if e.pulls, err = sensitivity.NewPuller(e.inputs.NormalCorrelation()); err != nil {
		return nil, err
	}
	variables := e.inputs.Variables()
	for r, yes := range s.exceeded {
		if !yes {
			continue
		}
		values := state.Values(s.u[r])
		scores := make([]float64, len(values))
		for i, v := range variables {
			scores[i] = dist.NormalScore(v.Dist, values[i])
		}
		e.x, e.z, e.weights = append(e.x, values), append(e.z, scores), append(e.weights, s.weights[r])
	}
	return e, nil
}

// slopes estimates those of an input.
func (e *exceeding) slopes(in Input, level float64) (s Slopes) {
	s.Deviation = e.inputs.Variables()[in.Columns[0]].Dist.StdDev()
	shift, stretch := make([]float64, len(e.x)), make([]float64, len(e.x))
	for _, column := range in.Columns {
		if s.Err = e.addScores(column, in.Set > 0, shift, stretch); s.Err != nil {
			return s
		}
	}
	if s.Mean, s.Err = sensitivity.Derivative(shift, e.weights, e.drawn, level); s.Err == nil {
		s.StdDev, s.Err = sensitivity.Derivative(stretch, e.weights, e.drawn, level)
	}
	return s
}

// addScores adds the scores of one variable in every draw.
func (e *exceeding) addScores(column int, correlated bool, shift, stretch []float64) error {
	score, err := newScore(e.inputs.Variables()[column].Dist)
	if err != nil {
		return err
	}
	for r := range e.x {
		value := e.x[r][column]
		if !correlated {
			shift[r] += score.Shift(value)
			stretch[r] += score.Stretch(value)
			continue
		}
		pull := e.pulls.Pull(e.z[r], column)
		shift[r] += score.CorrelatedShift(value, e.z[r][column], pull)
		stretch[r] += score.CorrelatedStretch(value, e.z[r][column], pull)
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
