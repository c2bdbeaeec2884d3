package fit

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// betaModel works in the log-odds of the mean and the logarithm of
// 1/(alpha+beta), which the readings tell apart.
func betaModel(limits Range) model {
	width := limits.High - limits.Low
	return model{
		family: Beta, parameters: []string{"alpha", "beta"}, support: limits,
		taken: []Range{{Low: 0.25, High: 5000}, {Low: 0.25, High: 5000}},
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
		spread: func(p []float64) float64 {
			sum := p[0] + p[1]
			return width * math.Sqrt(p[0]*p[1]/(sum+1)) / sum
		},
		density: func(p []float64) density {
			if !(p[0] > 1e-9 && p[0] < 1e9 && p[1] > 1e-9 && p[1] < 1e9) {
				return nothing{}
			}
			return betaDensity{p[0], p[1], limits, gammaRest(p[0]) + gammaRest(p[1]) - gammaRest(p[0]+p[1]) - math.Log(width)}
		},
	}
}

// betaDensity is dist.Beta without its table of quantiles.
type betaDensity struct {
	alpha, beta float64
	limits      Range
	rest        float64
}

// fractions are the distances from both ends, in units of the width.
func (b betaDensity) fractions(x float64) (fromLow, fromHigh float64) {
	width := b.limits.High - b.limits.Low
	x = math.Max(b.limits.Low, math.Min(x, b.limits.High))
	return (x - b.limits.Low) / width, (b.limits.High - x) / width
}

// LogDensity is taken relative to the mean m, for the same reason as that of
// gammaDensity: alpha ln(f/m) + beta ln((1-f)/(1-m)) + rest - ln f - ln(1-f), in
// which the first-order terms of both logarithms cancel.
func (b betaDensity) LogDensity(x float64) float64 {
	low, high := b.fractions(x)
	if !(low > 0 && high > 0) { // the ends themselves are no readings
		return math.Inf(-1)
	}
	sum := b.alpha + b.beta
	return b.alpha*logExcess(low*sum/b.alpha) + b.beta*logExcess(high*sum/b.beta) + b.rest - math.Log(low) - math.Log(high)
}

// CDF is the regularised incomplete beta function of the distance from the lower
// end; 0 and 1 beyond the ends.
func (b betaDensity) CDF(x float64) float64 {
	low, _ := b.fractions(x)
	return mathext.RegIncBeta(b.alpha, b.beta, low)
}

// Survival is that of the distance from the upper end, so that no tail is lost.
func (b betaDensity) Survival(x float64) float64 {
	_, high := b.fractions(x)
	return mathext.RegIncBeta(b.beta, b.alpha, high)
}
