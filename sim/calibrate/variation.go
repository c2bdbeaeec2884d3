package calibrate

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
)

// purpose keys the random numbers of this package.
const purpose = "calibration"

// variation is the fixed sample of the variables and the response at it.
type variation struct {
	problem  *Problem
	scores   *mat.Dense // variable by draw; nil without variables
	draws    int
	response Response
	// unusable is the share of draws that could not have been observed.
	unusable float64
}

// vary draws the sample. Draws that could not have been observed at the median of
// the prior are left out first.
func (p *Problem) vary() (*variation, error) {
	if len(p.Variables) == 0 {
		return &variation{problem: p, draws: 1, response: p.Model(nil)}, nil
	}
	scores := p.sample()
	asked := len(scores[0])
	usable := p.usable(scores)
	if len(usable) < asked/2 || len(usable) <= len(scores)+1 {
		return nil, fmt.Errorf("of %d draws of the variables, %d cannot have been observed: the model does not fit the readings' conditions", asked, asked-len(usable))
	}
	for v, row := range scores {
		kept := make([]float64, len(usable))
		for i, k := range usable {
			kept[i] = row[k]
		}
		scores[v] = kept
	}
	whitened, err := whiten(scores)
	if err != nil {
		return nil, err
	}
	for v := range scores {
		scores[v] = whitened.RawRowView(v)
	}
	return &variation{
		problem: p, scores: whitened, draws: len(usable), response: p.Model(scores),
		unusable: 1 - float64(len(usable))/float64(asked),
	}, nil
}

// sample returns independent standard normal scores, by variable, then draw.
func (p *Problem) sample() [][]float64 {
	scores := make([][]float64, len(p.Variables))
	for v := range scores {
		scores[v] = make([]float64, p.draws())
		stream := sim.NewStream(p.Seed, purpose, 0, p.Variables[v].Name)
		stream.Fill(scores[v])
		for k, u := range scores[v] {
			scores[v][k] = dist.NormalQuantile(u)
		}
	}
	return scores
}

// usable lists the draws with a finite response for all observations.
func (p *Problem) usable(scores [][]float64) []int {
	y := batch.Columns(len(p.Observations), len(scores[0]))
	p.Model(scores)(p.values(make([]float64, len(p.Parameters))), y)
	var list []int
	for k := range y[0] {
		if finite(y, k) {
			list = append(list, k)
		}
	}
	return list
}

// finite reports whether all observations have a value in draw k.
func finite(y [][]float64, k int) bool {
	return !slices.ContainsFunc(y, func(row []float64) bool { return math.IsInf(row[k], 0) || math.IsNaN(row[k]) })
}

// whiten gives the sample mean 0, variances 1 and no correlation, exactly:
// Z <- L^-1 (Z - mean) with L Lᵀ the covariance of the sample.
func whiten(scores [][]float64) (*mat.Dense, error) {
	z := mat.NewDense(len(scores), len(scores[0]), nil)
	for v, row := range scores {
		mean := floats.Sum(row) / float64(len(row))
		for k, x := range row {
			z.Set(v, k, x-mean)
		}
	}
	var covariance mat.SymDense
	covariance.SymOuterK(1/float64(len(scores[0])), z)
	var chol mat.Cholesky
	if !chol.Factorize(&covariance) {
		return nil, errors.New("draws: too few to tell the variables apart")
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	if err := z.Solve(&lower, z); err != nil {
		return nil, fmt.Errorf("draws: %w", err)
	}
	return z, nil
}
