package fit

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mathext"

	"clampodds/dist"
)

// fitUniform takes the smallest and the largest reading for the limits, which is
// the maximum of the likelihood. What the limits leave open is known in closed
// form: with the weight 1/(high-low) the true upper limit exceeds the largest
// reading by more than d with probability (1 + d/range)^-(n-1).
func (s *Sample) fitUniform(o Options) (*Fit, error) {
	if !s.complete() {
		return nil, errors.New("uniform: only complete readings, without a resolution, bounds, a gauge error or a kept range, are fitted")
	}
	low, high := s.sorted[0], s.sorted[len(s.sorted)-1]
	width := high - low
	f := &Fit{Family: Uniform, N: s.N(), sample: s}
	f.setLogLikelihood(-s.n*math.Log(width), 2)
	beyond := width * math.Expm1(-math.Log1p(-o.Level)/(s.n-1))
	// standard deviation of the largest of n from a uniform distribution
	se := width * math.Sqrt(s.n/(s.n+2)) / (s.n + 1)
	f.Parameters = []Parameter{
		{"low", low, se, Range{Low: low - beyond, High: low}},
		{"high", high, se, Range{Low: high, High: high + beyond}},
	}
	curve, err := dist.NewUniform(low, high)
	if err != nil {
		return nil, err
	}
	f.curve = curve
	f.uncertain = uniformPredictive{low, high, s.n}
	f.AndersonDarling = s.uniformTest(low, high)
	f.Warnings = s.warnings(f)
	return f, nil
}

// uniformPredictive is the distribution of the next value after n from a uniform
// distribution of unknown limits, the smallest low and the largest high: it lies
// beyond either with probability 1/(n+1), by more than a distance d with
// probability (1 + d/(high-low))^-(n-1)/(n+1).
type uniformPredictive struct{ low, high, n float64 }

func (u uniformPredictive) width() float64 { return u.high - u.low }

// outer is the probability beyond a point that lies d inside the largest value.
func (u uniformPredictive) outer(d float64) float64 {
	switch outside := 1 / (u.n + 1); {
	case d < 0:
		return outside * math.Pow(1-d/u.width(), -(u.n-1))
	case d <= u.width():
		return outside + (1-2*outside)*d/u.width()
	default:
		return 1 - outside*math.Pow(d/u.width(), -(u.n-1))
	}
}

// inside is the d with outer(d) = p.
func (u uniformPredictive) inside(p float64) float64 {
	outside := 1 / (u.n + 1)
	beyond := func(p float64) float64 { return u.width() * math.Expm1(-math.Log(p/outside)/(u.n-1)) }
	switch {
	case p < outside:
		return -beyond(p)
	case p <= 1-outside:
		return u.width() * (p - outside) / (1 - 2*outside)
	case p <= 1:
		return u.width() + beyond(1-p)
	}
	return math.NaN()
}

func (u uniformPredictive) Quantile(p float64) float64      { return u.low + u.inside(p) }
func (u uniformPredictive) UpperQuantile(q float64) float64 { return u.high - u.inside(q) }
func (u uniformPredictive) CDF(x float64) float64           { return u.outer(x - u.low) }
func (u uniformPredictive) Survival(x float64) float64      { return u.outer(u.high - x) }

// LogDensity is flat between the extremes and falls off as a power of the distance
// beyond them.
func (u uniformPredictive) LogDensity(x float64) float64 {
	beyond := math.Max(math.Max(u.low-x, x-u.high), 0)
	return math.Log((u.n-1)/(u.n+1)/u.width()) - u.n*math.Log1p(beyond/u.width())
}

func (u uniformPredictive) Mean() float64 { return u.low + u.width()/2 }

// StdDev is +Inf for n = 3.
func (u uniformPredictive) StdDev() float64 {
	if !(u.n > 3) {
		return math.Inf(1)
	}
	// Inside, width^2/12; beyond, the mean square of width/2 + d with
	// E[d] = width/(n-2) and E[d^2] = 2 width^2/((n-2)(n-3)).
	outside := 2 / (u.n + 1)
	square := (1-outside)/12 + outside*(0.25+1/(u.n-2)+2/((u.n-2)*(u.n-3)))
	return u.width() * math.Sqrt(square)
}

// Support is the whole line: the next value may lie anywhere beyond the extremes.
func (u uniformPredictive) Support() (low, high float64) { return math.Inf(-1), math.Inf(1) }

func (u uniformPredictive) predictive() (dist.Distribution, error) { return u, nil }

func (u uniformPredictive) beyond(limit float64, above bool) float64 { return tail(u, limit, above) }

// upper solves for the exceedance below which the limits (low - s, high + t),
// in units of the width, put it with the given probability: 1/(1+s+t) is beta
// distributed with parameters n-1 and 2, and t is uniform up to s+t.
func (u uniformPredictive) upper(limit float64, above bool, level float64) float64 {
	d := (limit - u.high) / u.width()
	if !above {
		d = (u.low - limit) / u.width()
	}
	const nodes = 1000
	var widths [nodes]float64 // of the true distribution, equally likely
	for i := range widths {
		widths[i] = 1 / mathext.InvRegIncBeta(u.n-1, 2, (float64(i)+0.5)/nodes)
	}
	below := func(p float64) float64 {
		sum := 0.0
		for _, w := range widths {
			// the exceedance (t-d)/w is at most p
			sum += math.Min(math.Max((p*w+d)/(w-1), 0), 1)
		}
		return sum / nodes
	}
	low, high := 0.0, 1.0
	if below(0) >= level {
		return 0
	}
	for range 60 {
		if middle := low + (high-low)/2; below(middle) < level {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}
