package drivers

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"clampodds/dist"
	"clampodds/sim/rare"
)

// ways are those to exceed, to first order: Σ γ_i z_i >= β in the normal scores z = L u, γ = L^-T α.
type ways struct {
	scores  *mat.Dense // L
	inverse mat.Dense
	points  []rare.DesignPoint
	now     [][]float64 // centres as things are
}

func newWays(scores *mat.Dense, points []rare.DesignPoint) (w ways, err error) {
	w = ways{scores: scores, points: points}
	if err := w.inverse.Inverse(scores); err != nil {
		return w, fmt.Errorf("correlations so near their limit leave no independent draws: %w", err)
	}
	w.now = w.centres(Input{}, 0)
	return w, nil
}

// centres are where each way is likeliest after a change, nil for one that is unlikely beside others, or leads nowhere
// any more: Σ γ_i (k_i z_i + d_i) >= β, k the factor of the spread of the input's variables and d the
// shift of their means in standard deviations. Correlated inputs follow as they do among the inputs.
func (w *ways) centres(in Input, c Change) [][]float64 {
	centres := make([][]float64, len(w.points))
	for n, p := range w.points {
		pull, distance := product(w.inverse.T(), p.Alpha), p.Beta
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
		direction := product(w.scores.T(), pull)
		squared := floats.Dot(direction, direction)
		if squared > 0 && distance <= 3*p.Beta*math.Sqrt(squared)+3 { // else nothing is left that could exceed
			centres[n] = floats.ScaleTo(make([]float64, len(direction)), max(0, distance)/squared, direction)
		}
	}
	return likely(centres)
}

// moved lists the centres after a change; nil when all stay near where they were.
func (w *ways) moved(in Input, c Change) (centres [][]float64) {
	centres = w.centres(in, c)
	for n, at := range centres {
		if at != nil && (w.now[n] == nil || floats.Distance(at, w.now[n], 2) > nearCentre) {
			return centres
		}
	}
	return nil
}

// along are the directions that change an input's scores and no others.
func (w *ways) along(in Input) (directions [][]float64) {
	for _, i := range in.Columns {
		directions = append(directions, mat.Col(nil, i, &w.inverse))
	}
	return directions
}

// likely are the centres, nil in the place of those that are unlikely beside the likeliest.
func likely(centres [][]float64) [][]float64 {
	most, chances, kept := 0.0, make([]float64, len(centres)), make([][]float64, len(centres))
	for n, at := range centres {
		if at != nil {
			chances[n] = dist.NormalSurvival(floats.Norm(at, 2))
			most = max(most, chances[n])
		}
	}
	for n, at := range centres {
		if chances[n] > unlikely*most {
			kept[n] = at
		}
	}
	return kept
}

// product is m v.
func product(m mat.Matrix, v []float64) []float64 {
	var p mat.VecDense
	p.MulVec(m, mat.NewVecDense(len(v), v))
	return p.RawVector().Data
}
