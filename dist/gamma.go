package dist

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Gamma has density (x/scale)^(shape-1) exp(-x/scale)/(scale Gamma(shape)) for
// x >= 0. CDF and Survival are right to 1e-12 relative, LogDensity to 1e-12
// absolute for shapes up to 1000 and 3e-11 at 10 000; quantiles come from a
// table and are right to 1e-9 relative. Safe for concurrent use.
type Gamma struct {
	shape, scale float64
	unit         *tabulated
}

// NewGamma takes shape (0.1 to 10 000) and scale (> 0); other input gets a
// *ParameterError.
func NewGamma(shape, scale float64) (Gamma, error) {
	if err := check("gamma", within("shape", shape, 0.1, 10000), positive("scale", scale)); err != nil {
		return Gamma{}, err
	}
	logGamma, _ := math.Lgamma(shape)
	return Gamma{shape, scale, tabulate(logGammaShape{shape, logGamma})}, nil
}

// GammaFromMoments takes the mean and the standard deviation, both > 0:
// shape = (mean/sd)^2, scale = sd^2/mean.
func GammaFromMoments(mean, sd float64) (Gamma, error) {
	if err := check("gamma", positive("mean", mean), requirement{
		"sd", sd, sd >= mean/100 && sd <= 3*mean, "1/100 to 3 times the mean",
	}); err != nil {
		return Gamma{}, err
	}
	return NewGamma(mean*mean/(sd*sd), sd*sd/mean)
}

// GammaFromCoefficient takes the mean and the coefficient of variation
// cov = sd/mean, both > 0.
func GammaFromCoefficient(mean, cov float64) (Gamma, error) {
	if err := check("gamma", positive("mean", mean), within("cov", cov, 0.01, 3)); err != nil {
		return Gamma{}, err
	}
	return NewGamma(1/(cov*cov), mean*cov*cov)
}

// logGammaShape is the distribution of y = ln x of the gamma distribution of
// scale 1.
type logGammaShape struct{ shape, logGamma float64 }

func (g logGammaShape) lowerTail(y float64) float64 { return mathext.GammaIncReg(g.shape, math.Exp(y)) }

func (g logGammaShape) upperTail(y float64) float64 {
	return mathext.GammaIncRegComp(g.shape, math.Exp(y))
}

func (g logGammaShape) logDensity(y float64) float64 { return g.shape*y - math.Exp(y) - g.logGamma }

// lowerGuess is the root of x^shape/Gamma(shape+1) = p, which is never above
// the quantile: from there Newton steps on ln p approach it from one side.
func (g logGammaShape) lowerGuess(p float64) float64 {
	return (math.Log(p) + g.logGamma + math.Log(g.shape)) / g.shape
}

// upperGuess is the approximation of Wilson and Hilferty, Proc. Nat. Acad. Sci.
// 17 (1931) 684: (x/shape)^(1/3) is nearly normal.
func (g logGammaShape) upperGuess(q float64) float64 {
	ninth := 1 / (9 * g.shape)
	root := 1 - ninth - NormalQuantile(q)*math.Sqrt(ninth)
	return math.Log(g.shape) + 3*math.Log(max(root, 0.1))
}

func (g Gamma) Quantile(p float64) float64      { return g.scale * math.Exp(g.unit.lowerQuantile(p)) }
func (g Gamma) UpperQuantile(q float64) float64 { return g.scale * math.Exp(g.unit.upperQuantile(q)) }

func (g Gamma) CDF(x float64) float64 {
	return mathext.GammaIncReg(g.shape, max(x, 0)/g.scale)
}

func (g Gamma) Survival(x float64) float64 {
	return mathext.GammaIncRegComp(g.shape, max(x, 0)/g.scale)
}

func (g Gamma) LogDensity(x float64) float64 {
	if x < 0 {
		return math.Inf(-1)
	}
	logGamma, _ := math.Lgamma(g.shape)
	return timesLog(g.shape-1, x/g.scale) - x/g.scale - logGamma - math.Log(g.scale)
}

func (g Gamma) Mean() float64                { return g.shape * g.scale }
func (g Gamma) StdDev() float64              { return math.Sqrt(g.shape) * g.scale }
func (g Gamma) Support() (low, high float64) { return 0, math.Inf(1) }
