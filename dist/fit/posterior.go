package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/interp"
	"gonum.org/v1/gonum/mat"
)

// posterior is the likelihood as a weight over the parameters, on lines through
// the maximum: along a line only the first working parameter changes. The sum
// over the nodes is the trapezoidal rule, which for a smooth function that has
// died away at both ends is exact to rounding with steps of half a standard
// deviation.
type posterior struct {
	lines   []line
	bounded bool // the weight dies away on every side
	// cases are the first lines of posteriors that were put together, nil for one alone.
	cases []int
}

type line struct {
	nodes []node
	mass  float64
}

type node struct {
	working []float64
	weight  float64
}

// newPosterior lays the grid. u = best + A v with A upper triangular and
// A A' the inverse of the information, so that v is about standard normal and
// v[0] moves the first parameter alone.
func newPosterior(o *optimum, logL func(u []float64) float64) *posterior {
	var cholesky mat.Cholesky
	cholesky.Factorize(o.information)
	var lower, a mat.TriDense
	cholesky.LTo(&lower)
	if err := a.InverseTri(&lower); err != nil {
		panic(err) // the information is positive definite
	}
	k := len(o.best)
	u := make([]float64, k)
	at := func(v []float64) []float64 {
		copy(u, o.best)
		for i := range u {
			for j := i; j < k; j++ {
				u[i] += a.At(j, i) * v[j]
			}
		}
		return u
	}
	g := grid{
		value: func(v []float64) float64 { return logL(at(v)) - o.value },
		place: func(v []float64) []float64 { return o.working(at(v)) },
	}
	if k == 1 {
		g.add(nil, &track{step: gridStep})
	} else {
		g.sweep()
	}
	return g.result()
}

// quadratic is the logarithm of the likelihood where it is a parabola, as it is
// with many readings.
func (o *optimum) quadratic(u []float64) float64 {
	d := mat.NewVecDense(len(u), nil)
	for i := range u {
		d.SetVec(i, u[i]-o.best[i])
	}
	return o.value - mat.Inner(d, o.information, d)/2
}

// quantiles returns the values below which the function of the parameters lies
// with the given probabilities. The function has to rise or fall along every line,
// or be constant along all of them and rise or fall from line to line.
func (p *posterior) quantiles(function func(working []float64) float64, probabilities ...float64) []float64 {
	var curves []cumulative
	across := cumulative{}
	for at, l := range p.lines {
		if slices.Contains(p.cases, at) && len(across.values) > 0 {
			curves = append(curves, accumulate(across.values, across.weights))
			across = cumulative{}
		}
		values, weights := make([]float64, len(l.nodes)), make([]float64, len(l.nodes))
		for i, n := range l.nodes {
			values[i], weights[i] = function(n.working), n.weight
		}
		if c := accumulate(values, weights); c.curve != nil {
			curves = append(curves, c)
		} else {
			across.values, across.weights = append(across.values, values[0]), append(across.weights, l.mass)
		}
	}
	if len(across.values) > 0 {
		curves = append(curves, accumulate(across.values, across.weights))
	}
	values := make([]float64, len(probabilities))
	for i, probability := range probabilities {
		values[i] = solve(curves, probability)
	}
	return values
}

// solve halves the range until the curves add up to the probability.
func solve(curves []cumulative, probability float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, c := range curves {
		low, high = math.Min(low, c.low), math.Max(high, c.high)
	}
	for {
		middle := low + (high-low)/2
		sum := 0.0
		for _, c := range curves {
			sum += c.below(middle)
		}
		switch {
		case math.Abs(sum-probability) < 1e-9, !(middle > low && middle < high): // NaN where a parameter overflows
			return middle
		case sum < probability:
			low = middle
		default:
			high = middle
		}
	}
}

// cumulative is the weight below a value, along one line.
type cumulative struct {
	values, weights []float64
	low, high, mass float64
	curve           *interp.FritschButland
}

// accumulate sums the weights up to each value: half of the last weight, and the
// correction of the trapezoidal rule for a sum that ends in the middle of a
// function, h^2/12 times its slope.
func accumulate(values, weights []float64) cumulative {
	if len(values) > 1 && values[0] > values[len(values)-1] {
		slices.Reverse(values)
		slices.Reverse(weights)
	}
	weight := func(i int) float64 {
		if i < 0 || i >= len(weights) {
			return 0
		}
		return weights[i]
	}
	c := cumulative{low: values[0], high: values[len(values)-1]}
	var xs, sums []float64
	for i, x := range values {
		sum := c.mass + weights[i]/2 - (weight(i+1)-weight(i-1))/24
		c.mass += weights[i]
		if len(xs) > 0 && x <= xs[len(xs)-1] {
			continue
		}
		xs, sums = append(xs, x), append(sums, sum)
	}
	if len(xs) < 3 {
		return c
	}
	c.curve = new(interp.FritschButland)
	if err := c.curve.Fit(xs, sums); err != nil {
		panic(err) // Fit returns no error
	}
	return c
}

func (c cumulative) below(x float64) float64 {
	switch {
	case x < c.low:
		return 0
	case x >= c.high:
		return c.mass
	case c.curve == nil:
		return c.mass / 2
	}
	return c.curve.Predict(x)
}

const (
	gridStep   = 0.5   // standard deviations
	lightest   = 1e-16 // weight of a line at which they end
	lineDepth  = 26    // logarithm of the weight at which a line ends, below its ridge
	mostLines  = 100   // on each side
	mostNodes  = 400   // on each side of a line
	negligible = 1e-3
)

// grid lays the nodes of a posterior, line by line.
type grid struct {
	value func(v []float64) float64   // logarithm of the weight, 0 at the maximum
	place func(v []float64) []float64 // working parameters
	lines []line
	open  bool
}

// track is where the ridge was on the last line, and the step that suited it.
type track struct{ centre, step float64 }

// sweep adds lines to both sides until their weight is gone.
func (g *grid) sweep() {
	middle := track{step: gridStep}
	peak := g.add([]float64{0}, &middle)
	for _, direction := range []float64{1, -1} {
		along, before := middle, peak
		var side []line
		for i := 1; ; i++ {
			count := len(g.lines)
			mass := g.add([]float64{direction * gridStep * float64(i)}, &along)
			if len(g.lines) == count { // the ridge broke off
				g.open = g.open || before > negligible*peak
				break
			}
			if direction < 0 { // keep the lines in rising order
				side = append(side, g.lines[count])
				g.lines = g.lines[:count]
			}
			// A plateau that weighs nothing is cut, one that weighs has no end.
			level := mass > 0.99*before && mass < negligible*peak
			if level || mass < lightest*peak || i == mostLines {
				g.open = g.open || mass > negligible*peak
				break
			}
			before = mass
		}
		slices.Reverse(side)
		g.lines = append(side, g.lines...)
	}
}

// add appends the line at the given further coordinates and returns its mass.
func (g *grid) add(rest []float64, t *track) float64 {
	v := append([]float64{0}, rest...)
	value := func(x float64) float64 {
		v[0] = x
		return g.value(v)
	}
	if !t.follow(value) {
		return 0
	}
	ridge := value(t.centre)
	l := line{nodes: make([]node, 0, 64)}
	g.walk(&l, value, v, t.centre, -t.step, ridge)
	slices.Reverse(l.nodes)
	g.walk(&l, value, v, t.centre+t.step, t.step, ridge)
	for _, n := range l.nodes {
		l.mass += n.weight
	}
	g.lines = append(g.lines, l)
	return l.mass
}

// walk adds nodes in one direction until their weight is gone.
func (g *grid) walk(l *line, value func(float64) float64, v []float64, x, step, ridge float64) {
	before := math.Inf(1)
	for i := 0; ; i++ {
		f := value(x)
		// As for lines: a plateau that weighs nothing is cut.
		if plateau := f > before-0.01 && f < math.Log(negligible); plateau || !(f > ridge-lineDepth) {
			return
		}
		if i == mostNodes {
			g.open = true
			return
		}
		l.nodes = append(l.nodes, node{g.place(v), math.Exp(f) * math.Abs(step)})
		before = f
		x += step
	}
}

// follow moves to the ridge of the line by Newton steps and sets the step to the
// width there.
func (t *track) follow(value func(float64) float64) bool {
	for range 30 {
		here, up, down := value(t.centre), value(t.centre+t.step), value(t.centre-t.step)
		curvature := (2*here - up - down) / (t.step * t.step)
		if !(curvature > 0) || math.IsInf(curvature, 1) {
			return false
		}
		move := (up - down) / (2 * t.step) / curvature
		limit := 4 * t.step
		move = math.Max(-limit, math.Min(limit, move))
		t.centre += move
		t.step = math.Min(gridStep/math.Sqrt(curvature), 4*t.step)
		if math.Abs(move) < t.step/4 {
			return true
		}
	}
	return false
}

func (g *grid) result() *posterior {
	p := &posterior{lines: g.lines, bounded: !g.open && len(g.lines) > 0} // none: the ridge broke off at once
	total := 0.0
	for _, l := range p.lines {
		total += l.mass
	}
	for i := range p.lines {
		p.lines[i].mass /= total
		for j := range p.lines[i].nodes {
			p.lines[i].nodes[j].weight /= total
		}
	}
	return p
}
