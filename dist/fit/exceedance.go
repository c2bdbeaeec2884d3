package fit

import "math"

// Exceedance is what the readings say about parts beyond a limit.
type Exceedance struct {
	Limit float64 `json:"limit"`
	Side  string  `json:"side"` // "above" or "below"
	N     int     `json:"-"`
	// PlugIn is the probability under the fitted curve as if it were true. With
	// few readings it is far too small in a tail.
	PlugIn float64 `json:"plug_in"`
	// Predictive is the probability that the next part is beyond the limit, the
	// uncertainty of the parameters included. NaN where the readings do not bound
	// the parameters.
	Predictive float64 `json:"predictive"`
	// Upper is the bound below which the true probability lies with confidence
	// Level. Far out in a tail it can be below Predictive: a small chance of quite
	// other parameters then makes most of the mean.
	Upper float64 `json:"upper_bound"`
	Level float64 `json:"-"`
}

// Exceedance states the probability of true values above (or below) a limit,
// among the parts that inspection keeps. level in (0, 1) is the confidence of
// the upper bound, 0.95 as a rule; the bound's own confidence is right to 0.001.
func (f *Fit) Exceedance(limit float64, above bool, level float64) (Exceedance, error) {
	if err := checkLevel(level); err != nil {
		return Exceedance{}, err
	}
	if math.IsNaN(limit) {
		return Exceedance{}, refuse("limit", limit, "a number")
	}
	side := "below"
	if above {
		side = "above"
	}
	return Exceedance{
		Limit: limit, Side: side, N: f.N,
		PlugIn:     tail(cutTo(f.curve, f.kept), limit, above),
		Predictive: f.uncertain.beyond(limit, above),
		Upper:      f.uncertain.upper(limit, above, level), Level: level,
	}, nil
}

func tail(d density, limit float64, above bool) float64 {
	if above {
		return d.Survival(limit)
	}
	return d.CDF(limit)
}
