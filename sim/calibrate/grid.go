package calibrate

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"
)

// The ball of the grid, in standard deviations of the posterior: 2e-9 of a normal
// distribution lies outside, 8e-8 in three dimensions. The box of the prior's
// surface is smaller, because nothing is integrated to many digits there.
const (
	radius      = 6
	priorRadius = 5
)

// steps of the grid by the number of parameters. For a normal posterior the
// trapezoidal rule errs by 2 exp(-2 pi²/step²): 1e-15 at 0.75.
var steps = [4]float64{1: 0.25, 2: 0.5, 3: 0.75}

// grid is a distribution of the parameters' scores as weighted points.
type grid struct {
	frame   *frame
	step    float64
	points  [][]float64 // scores
	slices  []int       // number of the value along the first axis
	logs    []float64   // logarithm of the weight density
	weights []float64   // sum 1
	total   float64     // logarithm of the integral
}

// newGrid spreads points over the ball and weighs them.
func newGrid(f *frame, ball float64, logDensity func(z []float64) float64) *grid {
	g := &grid{frame: f, step: steps[len(f.centre)]}
	f.lattice(g.step, ball, func(w []float64, slice int) {
		z := f.scores(w)
		g.points = append(g.points, z)
		g.slices = append(g.slices, slice)
		g.logs = append(g.logs, logDensity(z))
	})
	sum := floats.LogSumExp(g.logs)
	for _, l := range g.logs {
		g.weights = append(g.weights, math.Exp(l-sum))
	}
	g.total = sum + float64(len(f.centre))*math.Log(g.step) + math.Log(f.volume)
	return g
}

// moments returns the mean and the covariance of the scores.
func (g *grid) moments() ([]float64, *mat.SymDense) {
	n := len(g.frame.centre)
	mean := make([]float64, n)
	for i, z := range g.points {
		floats.AddScaled(mean, g.weights[i], z)
	}
	covariance := mat.NewSymDense(n, nil)
	for i, z := range g.points {
		d := mat.NewVecDense(n, nil)
		floats.SubTo(d.RawVector().Data, z, mean)
		covariance.SymRankOne(covariance, g.weights[i], d)
	}
	return mean, covariance
}

// outer is the mass in the outermost sixth of the ball.
func (g *grid) outer() float64 {
	sum := 0.0
	for i, z := range g.points {
		if floats.Norm(g.frame.coordinates(z), 2) > radius-1 {
			sum += g.weights[i]
		}
	}
	return sum
}

// cut reports whether far more lies in the outermost part of the ball than of a
// normal distribution that fits it.
func (g *grid) cut() bool {
	const more = 4
	const edge = (radius - 1) * (radius - 1) / 2.
	return g.outer() > more*mathext.GammaIncRegComp(float64(len(g.frame.centre))/2, edge)
}

// slice returns the scores along the first axis and the logarithm of the density
// integrated over the other axes.
func (g *grid) slice(parameter int) (scores, logs []float64) {
	count := g.slices[len(g.slices)-1] + 1
	parts := make([][]float64, count)
	scores = make([]float64, count)
	for i, z := range g.points {
		parts[g.slices[i]] = append(parts[g.slices[i]], g.logs[i])
		scores[g.slices[i]] = z[parameter]
	}
	for _, p := range parts {
		logs = append(logs, floats.LogSumExp(p))
	}
	return scores, logs
}
