package fit

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// betaModel works in the log-odds of the mean and the logarithm of
// 1/(alpha+beta), which the readings tell apart.
func betaModel(limits Range) model {
	width := limits.High - limits.Low
	return model{
		family: Beta, parameters: []string{"alpha", "beta"}, support: limits,
		fixed: map[string]float64{"low": limits.Low, "high": limits.High},
		start: func(mean, sd float64) (working, unit []float64) {
			m := math.Min(math.Max((mean-limits.Low)/width, 0.01), 0.99)
			v := m * (1 - m)
			sum := math.Max(v*width*width/(sd*sd)-1, 0.5)
			return []float64{math.Log(m / (1 - m)), -math.Log(sum)}, []float64{math.Sqrt(1 / v / (sum + 1)), 1.4}
		},
		natural: func(w []float64) []float64 {
			m, sum := 1/(1+math.Exp(-w[0])), math.Exp(-w[1])
			return []float64{m * sum, sum / (1 + math.Exp(w[0]))}
		},
		density: func(p []float64) density {
			if !(p[0] >= 0.05 && p[0] <= 5000 && p[1] >= 0.05 && p[1] <= 5000) { // what dist.NewBeta takes
				return nothing{}
			}
			return betaDensity{distuv.Beta{Alpha: p[0], Beta: p[1]}, limits.Low, width}
		},
	}
}

// betaDensity is dist.Beta without its table of quantiles.
type betaDensity struct {
	unit       distuv.Beta
	low, width float64
}

func (b betaDensity) fraction(x float64) float64 { return (x - b.low) / b.width }

func (b betaDensity) LogDensity(x float64) float64 {
	return b.unit.LogProb(b.fraction(x)) - math.Log(b.width)
}
func (b betaDensity) CDF(x float64) float64      { return b.unit.CDF(b.fraction(x)) }
func (b betaDensity) Survival(x float64) float64 { return b.unit.Survival(b.fraction(x)) }
