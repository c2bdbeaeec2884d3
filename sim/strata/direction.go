package strata

import (
	"slices"

	"gonum.org/v1/gonum/floats"

	"clampodds/sim"
	"clampodds/sim/batch"
)

const (
	fewestPilotRows   = 1024
	pilotRowsPerInput = 32
	// fewestErrors is the number of standard errors below which a coefficient is
	// taken for noise: wrongly kept for one input in 370.
	fewestErrors = 3
	// roundingShare is the coefficient, over the largest, that is rounding where a model is straight and has no noise.
	roundingShare = 1e-12
	// farthest is the score along the direction up to which the limit is looked for.
	farthest = 6
)

// direction is a unit vector in the space of the variables' independent normal
// scores: only the variables that matter, by position among the inputs.
type direction struct {
	variable []int
	weight   []float64
}

// along returns the score of row r along the direction.
func (d direction) along(z [][]float64, r int) float64 {
	t := 0.0
	for i, v := range d.variable {
		t += d.weight[i] * z[v][r]
	}
	return t
}

// move moves the rows along the direction to the scores t, which it changes.
func (d direction) move(z [][]float64, t []float64) {
	along := make([]float64, len(t))
	for i, v := range d.variable {
		floats.AddScaled(along, d.weight[i], z[v][:len(t)])
	}
	floats.Sub(t, along)
	for i, v := range d.variable {
		floats.AddScaled(z[v][:len(t)], d.weight[i], t)
	}
}

// restricted returns the direction among some of the variables only.
func (d direction) restricted(to []int) direction {
	var r direction
	for i, v := range d.variable {
		if slices.Contains(to, v) {
			r.variable, r.weight = append(r.variable, v), append(r.weight, d.weight[i])
		}
	}
	if len(r.weight) > 0 {
		floats.Scale(1/floats.Norm(r.weight, 2), r.weight)
	}
	return r
}

// search finds the direction in which an output rises towards its limit.
type search struct {
	inputs  *sim.Inputs // of single rows
	model   sim.Model
	output  int
	limit   float64
	below   bool // the limit is a least value
	seed    uint64
	workers int
	rows    int // of each sample
}

// pilotRows is the size of a sample that shows a direction.
func pilotRows(inputs *sim.Inputs) int {
	return max(fewestPilotRows, pilotRowsPerInput*len(inputs.Variables()))
}

// find fits twice: over the whole spread, and then over rows about the limit,
// where a model that is not linear may rise another way. It returns the rows
// that took. The rows of a screen serve for the first, if there is one.
func (s search) find(screen *Screen) (d direction, rows int64) {
	var on *regression
	var y []float64
	if screen != nil {
		if on, y = screen.first(); s.below {
			floats.Scale(-1, y)
		}
	} else {
		on, y = s.draw("whole", nil)
		rows += int64(s.rows)
	}
	whole := on.fit(y)
	if len(whole.variable) == 0 {
		return whole.direction, rows
	}
	centre := min(max((s.height()-whole.mean)/whole.slope, -farthest), farthest)
	spread := make([]float64, s.rows)
	for r := range spread {
		spread[r] = centre + 2*(float64(r)+0.5)/float64(s.rows) - 1
	}
	on, y = s.draw("near", func(z [][]float64) { whole.move(z, spread) })
	near := on.fit(y)
	if len(near.variable) == 0 {
		near = whole
	}
	return near.direction, rows + int64(s.rows)
}

// height is the limit on the scale of y, which rises towards it.
func (s search) height() float64 {
	if s.below {
		return -s.limit
	}
	return s.limit
}

// draw returns the scores of a sample of rows, moved if so wished, and the
// outputs, negative for a least value.
func (s search) draw(purpose string, move func(z [][]float64)) (on *regression, y []float64) {
	on, z := newRegression(len(s.inputs.Variables()), s.rows)
	independents(s.seed, piece{purpose: "strata/" + purpose, rows: s.rows}, s.inputs.Variables(), positions(z), z)
	if move != nil {
		move(z)
	}
	all := batch.Columns(len(s.model.Outputs()), s.rows)
	sim.Evaluate(s.inputs, s.model, (*sim.Inputs).FromNormal, z, all, s.workers)
	y = all[s.output]
	if s.below {
		floats.Scale(-1, y)
	}
	return on, y
}

// linear is the fit y = mean + slope t, t the score along the direction.
type linear struct {
	direction
	mean, slope float64
}
