package calibrate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/interp"

	"clampodds/sim/batch"
)

// What varies from unit to unit mostly acts as the first parameter does: a card with poor faces reads like one with a
// poor contact factor. So the scale on which its variation is normal is the parameter's own. Every observation is
// therefore put on it: x is the normal score of the parameter that gives the reading with every variable at its median,
// and the model's responses are put there alike. Where they hang on the parameter in a straight line nothing changes.
//
// The noise is normal on the scale it is read on, and so the observations stay there when it makes most of their spread.
//
// Without this the variation enters as a normal one about a curved response, and differences between readings of one unit
// tell more than they know: of a unit-to-unit spread of 0.5 in the logarithm intervals of 95 % covered 72 to 94 %.

// governs reports whether the variables make more of the spread of the readings than noise does, at the prior's median.
func (v *variation) governs() bool {
	s := v.at(make([]float64, len(v.problem.Parameters)))
	varied, noise := 0., 0.
	for i, o := range v.problem.Observations {
		varied += s.covariance(v.problem, i, i)
		noise += o.Noise * o.Noise
	}
	return varied > noise
}

// muchStraighter is how much less of the variation may be left that is not linear in its sources for the scale of the parameter to
// be taken; a reading that saturates is no straighter there.
const muchStraighter = 0.5

// nonlinear is the share of the variance that is not linear in the variables, at the prior's median.
func (v *variation) nonlinear() float64 {
	return v.budget(make([]float64, len(v.problem.Parameters))).Nonlinear
}

// The curves are computed at so many scores, out to so far.
const (
	curveNodes    = 49
	farthestCurve = 6
	// flatCurve is the slope, over the steepest one, below which a curve ends: beyond it readings say nothing of the parameter.
	flatCurve = 1e-3
)

// curve is the response of one observation to the first parameter; the zero value leaves it on its own scale.
type curve struct {
	score, value []float64 // both rising; value is negative for a response that falls
	sign         float64
	to, from     interp.FritschButland
}

// curves are those of all observations, in their order.
func (p *Problem) curves() []curve {
	y := batch.Columns(len(p.Observations), 1)
	values := make([][]float64, len(p.Observations))
	scores := make([]float64, len(p.Parameters))
	var at []float64
	zero := batch.Columns(len(p.Variables), 1)
	response := p.Model(zero)
	for i := range curveNodes {
		z := farthestCurve * (2*float64(i)/(curveNodes-1) - 1)
		scores[0] = z
		response(p.values(scores), y)
		at = append(at, z)
		for o := range values {
			values[o] = append(values[o], y[o][0])
		}
	}
	list := make([]curve, len(values))
	for o := range list {
		list[o] = newCurve(at, values[o])
	}
	// Observations on different scales cannot share what varies: all or none.
	if slices.ContainsFunc(list, func(c curve) bool { return c.sign == 0 }) {
		return make([]curve, len(values))
	}
	return list
}

// newCurve keeps the stretch about the middle on which the values rise, or fall, all the way.
func newCurve(score, value []float64) curve {
	middle := len(score) / 2
	sign := math.Copysign(1, value[middle+1]-value[middle])
	steepest := 0.
	for i := 1; i < len(value); i++ {
		if step := sign * (value[i] - value[i-1]); step > steepest && !math.IsInf(step, 1) {
			steepest = step
		}
	}
	steps := func(i int) bool {
		return sign*(value[i]-value[i-1]) > flatCurve*steepest && !math.IsInf(value[i], 0) && !math.IsInf(value[i-1], 0)
	}
	first, last := middle, middle
	for first > 0 && steps(first) {
		first--
	}
	for last < len(value)-1 && steps(last+1) {
		last++
	}
	if last-first < 4 || score[first] > -1 || score[last] < 1 {
		return curve{}
	}
	c := curve{sign: sign, score: slices.Clone(score[first : last+1])}
	for _, v := range value[first : last+1] {
		c.value = append(c.value, sign*v)
	}
	if c.to.Fit(c.value, c.score) != nil || c.from.Fit(c.score, c.value) != nil {
		return curve{}
	}
	return c
}

// straight puts a value of the observation on the scale of the parameter; beyond the curve it goes on with its last slope.
func (c *curve) straight(y float64) float64 {
	if c.sign == 0 || math.IsNaN(y) {
		return y
	}
	return along(&c.to, c.value, c.score, c.sign*y)
}

// back is the inverse.
func (c *curve) back(x float64) float64 {
	if c.sign == 0 {
		return x
	}
	return c.sign * along(&c.from, c.score, c.value, x)
}

// slope is that of straight, without its sign.
func (c *curve) slope(y float64) float64 {
	if c.sign == 0 {
		return 1
	}
	step := 1e-4 * (c.value[len(c.value)-1] - c.value[0])
	return math.Abs(c.straight(y+step)-c.straight(y-step)) / (2 * step)
}

func along(f *interp.FritschButland, from, to []float64, x float64) float64 {
	last := len(from) - 1
	switch {
	case x < from[0]:
		return to[0] + (x-from[0])*(to[1]-to[0])/(from[1]-from[0])
	case x > from[last]:
		return to[last] + (x-from[last])*(to[last]-to[last-1])/(from[last]-from[last-1])
	}
	return f.Predict(x)
}

// straightened is the problem with its observations on the scale of the first parameter.
func (p *Problem) straightened(curves []curve) *Problem {
	q := *p
	q.Observations = slices.Clone(p.Observations)
	for i := range q.Observations {
		o := &q.Observations[i]
		o.Noise *= curves[i].slope(o.Value)
		o.Value = curves[i].straight(o.Value)
	}
	q.NoiseAt = func(o int, value float64) float64 {
		read := curves[o].back(value)
		return p.noiseAt(o, read) * curves[o].slope(read)
	}
	q.Model = func(scores [][]float64) Response {
		response := p.Model(scores)
		return func(parameters []float64, y [][]float64) {
			response(parameters, y)
			for o := range y {
				for k, v := range y[o] {
					y[o][k] = curves[o].straight(v)
				}
			}
		}
	}
	return &q
}

// asRead puts a result back on the scale of the observations.
func (r *Result) asRead(p *Problem, curves []curve) {
	var share float64 // how far a step of the parameter's score moves a reading, root mean square
	for i := range r.Comparisons {
		c, o := &curves[i], &p.Observations[i]
		if c.sign == 0 {
			return
		}
		slope := c.slope(o.Value)
		r.LogEvidence += math.Log(slope)
		share += 1 / slope / slope / float64(len(r.Comparisons))
		one := &r.Comparisons[i]
		one.Residual = o.Value - c.back(c.straight(o.Value)-one.Residual)
		for _, prediction := range []*Prediction{&one.Before, &one.After} {
			prediction.asRead(c)
		}
	}
	for _, x := range []*float64{&r.Budget.Noise, &r.Budget.Setup, &r.Budget.Unit, &r.Budget.Common} {
		*x *= math.Sqrt(share)
	}
}

func (p *Prediction) asRead(c *curve) {
	low, high := c.back(p.Low), c.back(p.High)
	p.Median, p.Low, p.High = c.back(p.Median), math.Min(low, high), math.Max(low, high)
}
