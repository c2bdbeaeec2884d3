package fit

import (
	"math"
	"slices"
)

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
	p := &posterior{lines: g.lines, bounded: !g.open}
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
