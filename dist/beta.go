package dist

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Beta is the beta distribution stretched between two limits: with
// b = (x-low)/(high-low) the density is proportional to
// b^(alpha-1) (1-b)^(beta-1). CDF, Survival and LogDensity are right to 1e-12
// relative for alpha+beta up to 1000, to 2e-11 up to 10 000; quantiles come
// from a table and are right to 1e-9 relative, measured from the nearer limit.
// Safe for concurrent use.
type Beta struct {
	alpha, beta, low, high float64
	unit                   *tabulated
}

// NewBeta takes the shape parameters alpha and beta (0.25 to 5000 each) and the
// limits low < high, finite; other input gets a *ParameterError.
func NewBeta(alpha, beta, low, high float64) (Beta, error) {
	if err := check("beta", within("alpha", alpha, 0.25, 5000), within("beta", beta, 0.25, 5000),
		finite("low", low), above("high", high, "low", low)); err != nil {
		return Beta{}, err
	}
	return Beta{alpha, beta, low, high, tabulate(newLogOdds(alpha, beta))}, nil
}

// BetaFromMoments takes the limits, the mean between them and the standard
// deviation, whose square is below (mean-low)(high-mean).
func BetaFromMoments(low, high, mean, sd float64) (Beta, error) {
	width := high - low
	m := (mean - low) / width
	// alpha + beta = m(1-m)/variance - 1
	sum := m*(1-m)*width*width/(sd*sd) - 1
	if err := check("beta", finite("low", low), above("high", high, "low", low),
		requirement{"mean", mean, m > 0 && m < 1, "between low and high"}, positive("sd", sd), requirement{
			"sd", sd, min(m, 1-m)*sum >= 0.25 && max(m, 1-m)*sum <= 5000,
			"such that alpha and beta are from 0.25 to 5000",
		}); err != nil {
		return Beta{}, err
	}
	return NewBeta(m*sum, (1-m)*sum, low, high)
}

// BetaFromMode takes the limits and the most likely value between them, with the
// spread of project planning: alpha = 1 + 4 (mode-low)/(high-low),
// beta = 1 + 4 (high-mode)/(high-low) (common practice, no source).
func BetaFromMode(low, mode, high float64) (Beta, error) {
	width := high - low
	if err := check("beta", finite("low", low), above("high", high, "low", low),
		requirement{"mode", mode, mode >= low && mode <= high, "between low and high"}); err != nil {
		return Beta{}, err
	}
	return NewBeta(1+4*(mode-low)/width, 1+4*(high-mode)/width, low, high)
}

// logOdds is the distribution of y = ln(b/(1-b)), b beta distributed on (0, 1).
// Both ends of b are at infinity, so both keep all their digits.
type logOdds struct{ alpha, beta, logBeta float64 }

func newLogOdds(alpha, beta float64) logOdds {
	return logOdds{alpha, beta, mathext.Lbeta(alpha, beta)}
}

// logistic is b at y; 1-b is logistic(-y).
func logistic(y float64) float64 { return 1 / (1 + math.Exp(-y)) }

func logLogistic(y float64) float64 {
	if y < 0 {
		return y - math.Log1p(math.Exp(y))
	}
	return -math.Log1p(math.Exp(-y))
}

func (l logOdds) lowerTail(y float64) float64 {
	return betaTail(l.alpha, l.beta, logistic(y), logistic(-y))
}

func (l logOdds) upperTail(y float64) float64 {
	return betaTail(l.beta, l.alpha, logistic(-y), logistic(y))
}

// betaTail is the regularised incomplete beta function at b = near, 1-b = far.
// Close to the far end, near has lost the digits that far still has; the
// complement is taken where its subtraction costs one digit at most.
func betaTail(alpha, beta, near, far float64) float64 {
	if near > 0.5 {
		if rest := mathext.RegIncBeta(beta, alpha, far); rest < 0.9 {
			return 1 - rest
		}
	}
	return mathext.RegIncBeta(alpha, beta, near)
}

func (l logOdds) logDensity(y float64) float64 {
	return l.alpha*logLogistic(y) + l.beta*logLogistic(-y) - l.logBeta
}

// lowerGuess is the root of b^alpha/(alpha B(alpha, beta)) = p.
func (l logOdds) lowerGuess(p float64) float64 {
	return (math.Log(p) + math.Log(l.alpha) + l.logBeta) / l.alpha
}

func (l logOdds) upperGuess(q float64) float64 {
	return -logOdds{l.beta, l.alpha, l.logBeta}.lowerGuess(q)
}

func (b Beta) Quantile(p float64) float64      { return b.atLogOdds(b.unit.lowerQuantile(p)) }
func (b Beta) UpperQuantile(q float64) float64 { return b.atLogOdds(b.unit.upperQuantile(q)) }

func (b Beta) atLogOdds(y float64) float64 {
	if y > 0 {
		return b.high - (b.high-b.low)*logistic(-y)
	}
	return b.low + (b.high-b.low)*logistic(y)
}

func (b Beta) fromLow(x float64) float64  { return clampFraction((x - b.low) / (b.high - b.low)) }
func (b Beta) fromHigh(x float64) float64 { return clampFraction((b.high - x) / (b.high - b.low)) }

func (b Beta) CDF(x float64) float64 {
	return betaTail(b.alpha, b.beta, b.fromLow(x), b.fromHigh(x))
}

func (b Beta) Survival(x float64) float64 {
	return betaTail(b.beta, b.alpha, b.fromHigh(x), b.fromLow(x))
}

func (b Beta) LogDensity(x float64) float64 {
	if x < b.low || x > b.high {
		return math.Inf(-1)
	}
	return timesLog(b.alpha-1, b.fromLow(x)) + timesLog(b.beta-1, b.fromHigh(x)) -
		mathext.Lbeta(b.alpha, b.beta) - math.Log(b.high-b.low)
}

func (b Beta) Mean() float64 { return b.low + (b.high-b.low)*b.alpha/(b.alpha+b.beta) }

// StdDev returns (high-low) sqrt(alpha beta/(alpha+beta+1))/(alpha+beta).
func (b Beta) StdDev() float64 {
	sum := b.alpha + b.beta
	return (b.high - b.low) * math.Sqrt(b.alpha*b.beta/(sum+1)) / sum
}

func (b Beta) Support() (low, high float64) { return b.low, b.high }
