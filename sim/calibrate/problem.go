// Package calibrate narrows what is not known about a model by readings: Bayes'
// rule for one to three parameters, noise of the readings and variation from unit
// to unit kept apart. It knows no physics: it sees the model as a function.
//
// # What is asked
//
// A parameter is one unknown number, the same for all readings, with a prior
// distribution. A variable is anything else that is random: it may be shared by
// all readings (the lot the units come from, another number not known), belong to
// a unit (its flatness) or to a set-up of it (one tightening of its screw).
// Noise is the error of a reading alone. Taking variation for noise would make
// forty readings of one unit say as much as forty units.
//
// # Likelihood
//
// Given the parameters θ, the readings y are taken as jointly normal,
//
//	y | θ ~ N(μ(θ), C(θ) + diag(noise²)),
//
// μ and C being mean and covariance of what the model gives over the variables.
// They come from one fixed sample of draws, the same for every θ, whose mean,
// variances and covariances are made exactly those of independent standard
// normal scores. C is put together by sharing: with the scores z and draws k,
//
//	C = G_c G_cᵀ + [same unit] (G_u G_uᵀ + R) + [same set-up] G_s G_sᵀ,
//
// G = Σ_k (y_k - μ) z_kᵀ/K the linear part by the variables of each kind and R the
// covariance of what is not linear in the scores, counted to the unit. The
// variance of every reading is that of the sample, without exception; where the
// response is linear in normal variables, mean and covariance are exact however
// few the draws. Readings whose spread the variables make, rather than noise, are
// put on the scale of the first parameter before, if what varies from unit to unit
// is straighter there (straight.go).
//
// # Posterior
//
// Parameters are worked with as normal scores, where every prior is a standard
// normal. μ and C are computed at Chebyshev points and interpolated between them,
// first over the whole prior to find the mode, then within six standard
// deviations of the posterior; there the trapezoidal rule on a square grid
// integrates, whose error falls exponentially for functions that die away at both
// ends (Trefethen & Weideman, SIAM Review 56 (2014) 385). The box is moved and
// the step repeated until it fits.
//
// # What a posterior means
//
// An interval of level 0.95 holds the parameter with probability 0.95 given the
// prior, the readings and the model. It says nothing about a model that is
// wrong in its form: for that look at the surprise and at the trends of the
// residuals, and at nothing else before.
package calibrate

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"clampodds/dist"
	"clampodds/sim"
)

// Parameter is one unknown number.
type Parameter struct {
	Name string
	// Prior is what was known of it, any distribution with a spread.
	Prior dist.Distribution
}

// Sharing says which readings have one draw of a variable in common.
type Sharing int

// The ways of sharing, from the widest.
const (
	Common   Sharing = iota + 1 // all readings
	PerLot                      // those of one lot
	PerUnit                     // those of one unit
	PerSetup                    // those of one set-up
)

// Variable is a random input of the model besides the parameters. Its name keys
// its random numbers.
type Variable struct {
	Name    string
	Sharing Sharing
}

// Observation is one reading of one quantity.
type Observation struct {
	Value float64
	// Noise is the standard deviation of the reading's error, above 0, in the unit
	// of the value. Errors are normal and independent.
	Noise float64
	// Lot, Unit and Setup number what the reading was taken on. A set-up belongs to one
	// unit, a unit to one lot.
	Lot, Unit, Setup int
	// State numbers what the reading was taken in together with others: readings of one state are looked at together too, when
	// slips are looked for. All 0: each by itself.
	State int
}

// Covariate is what residuals may follow: a value for each observation, such as
// the load at which it was read.
type Covariate struct {
	Name   string
	Values []float64
}

// Response computes what would be read without noise: y[o][k] receives
// observation o in draw k. A value that is not finite says that draw k could
// not have been observed; it is left out. It is safe for concurrent use and keeps
// no reference.
type Response func(parameters []float64, y [][]float64)

// Problem is what is to be inferred from what. Solve does not change it.
type Problem struct {
	Parameters []Parameter // one to three
	// Correlation of the normal scores of the parameters under the prior; nil for
	// none.
	Correlation  *mat.SymDense
	Variables    []Variable
	Observations []Observation
	// NoiseAt is the noise of observation o were its value another; nil: that of the observation. Slips are held against
	// where they were expected.
	NoiseAt func(o int, value float64) float64
	// Model gets the draws once, scores[v][k] the independent standard normal
	// score of variable v in draw k, and returns the response at them. It may keep
	// the scores and must not change them.
	Model func(scores [][]float64) Response
	// Covariates are tested for trends of the residuals.
	Covariates []Covariate
	// Draws is the size of the sample of the variables; 0 chooses 512, or four
	// times the number of variables where that is more.
	Draws int
	// Seed fixes the draws; every value is valid, 0 included.
	Seed uint64
	// Workers is the number of goroutines; 0 for one per processor. Results do not
	// depend on it.
	Workers int
	// Confidence is the level of all intervals, in (0, 1).
	Confidence float64
	// Progress, if set, is told the number of responses computed and how many there
	// will be at most, as far as is known: more when the grid has to be moved often.
	// Calls do not overlap.
	Progress func(done, total int64)
}

// leastDraws keeps the part that is not linear in the variables known.
const (
	leastDraws       = 512
	drawsPerVariable = 4
)

// draws is the number of draws asked for or chosen.
func (p *Problem) draws() int {
	if p.Draws != 0 {
		return p.Draws
	}
	return max(leastDraws, drawsPerVariable*len(p.Variables))
}

// check refuses what cannot be solved.
func (p *Problem) check() error {
	switch n := len(p.Parameters); {
	case n < 1 || n > 3:
		return fmt.Errorf("parameters: %d, must be 1 to 3", n)
	case len(p.Observations) == 0:
		return errors.New("observations: there are none")
	case !(p.Confidence > 0 && p.Confidence < 1):
		return fmt.Errorf("confidence: %v, must be between 0 and 1", p.Confidence)
	case p.Workers < 0:
		return fmt.Errorf("workers: %d, must not be negative", p.Workers)
	case p.draws() < 2*len(p.Variables)+2:
		return fmt.Errorf("draws: %d, must be at least %d for %d variables", p.Draws, 2*len(p.Variables)+2, len(p.Variables))
	}
	for _, q := range p.Parameters {
		if q.Prior == nil || !(q.Prior.StdDev() > 0) {
			return fmt.Errorf("parameter %q: its prior has no spread", q.Name)
		}
	}
	for i, o := range p.Observations {
		if !(math.Abs(o.Value) <= math.MaxFloat64) {
			return fmt.Errorf("observation %d: value %v, must be finite", i, o.Value)
		}
		if !(o.Noise > 0 && o.Noise <= math.MaxFloat64) {
			return fmt.Errorf("observation %d: noise %v, must be above 0", i, o.Noise)
		}
	}
	for _, c := range p.Covariates {
		if len(c.Values) != len(p.Observations) {
			return fmt.Errorf("covariate %q: %d values for %d observations", c.Name, len(c.Values), len(p.Observations))
		}
	}
	return p.checkSharing()
}

// checkSharing refuses variables without a sharing, set-ups of two units and units of two lots.
func (p *Problem) checkSharing() error {
	for _, v := range p.Variables {
		if v.Sharing < Common || v.Sharing > PerSetup {
			return fmt.Errorf("variable %q: sharing %d is not one", v.Name, int(v.Sharing))
		}
	}
	unit, lot := map[int]int{}, map[int]int{}
	for i, o := range p.Observations {
		if u, seen := unit[o.Setup]; seen && u != o.Unit {
			return fmt.Errorf("observation %d: set-up %d is of unit %d and of unit %d", i, o.Setup, u, o.Unit)
		}
		if l, seen := lot[o.Unit]; seen && l != o.Lot {
			return fmt.Errorf("observation %d: unit %d is of lot %d and of lot %d", i, o.Unit, l, o.Lot)
		}
		unit[o.Setup], lot[o.Unit] = o.Unit, o.Lot
	}
	return nil
}

// share reports whether two observations have a draw of this sharing in common.
func (s Sharing) share(a, b *Observation) bool {
	switch s {
	case Common:
		return true
	case PerLot:
		return a.Lot == b.Lot
	case PerUnit:
		return a.Unit == b.Unit
	}
	return a.Setup == b.Setup
}

// values turns normal scores into values of the parameters.
func (p *Problem) values(scores []float64) []float64 {
	values := make([]float64, len(scores))
	for i, z := range scores {
		values[i] = dist.FromNormalScore(p.Parameters[i].Prior, z)
	}
	return values
}

// The warnings of a result.
const (
	// FewReadings: fewer than three observations.
	FewReadings sim.WarningCode = "few-readings"
	// PriorConflict: readings as far from what was expected are rare (1 %).
	PriorConflict sim.WarningCode = "prior-data-conflict"
	// TooClose: the readings lie closer together than noise and variables allow
	// (1 %).
	TooClose sim.WarningCode = "scatter-too-small"
	// FarFromPrior: the posterior median lies where the prior had 0.3 % left.
	FarFromPrior sim.WarningCode = "far-from-prior"
	// HardlyNarrowed: a parameter is known hardly better than before.
	HardlyNarrowed sim.WarningCode = "hardly-narrowed"
	// NoiseGoverns: noise makes most of the spread of the readings.
	NoiseGoverns sim.WarningCode = "noise-governs"
	// SlipSeen: a reading, or those of a state, lie too far from what all others lead to expect (see Slip).
	SlipSeen sim.WarningCode = "slip"
	// ResidualTrend: a parameter would have to change with a covariate.
	ResidualTrend sim.WarningCode = "residual-trend"
	// EdgeOfGrid: the posterior reaches the end of the grid.
	EdgeOfGrid sim.WarningCode = "edge-of-grid"
	// NotNormal: the variation is far from normal on the scale of the observations,
	// so that the likelihood is approximate.
	NotNormal sim.WarningCode = "variation-not-normal"
	// UnusableDraws: many draws of the variables could not have been observed.
	UnusableDraws sim.WarningCode = "unusable-draws"
)

// The thresholds of the warnings, this project's choice.
const (
	leastReadings   = 3
	rarelySurprised = 0.01
	farScore        = 3
	hardlyNarrower  = 0.8
	mostlyNoise     = 0.5
	outerMass       = 1e-3
	mostSkewed      = 0.5
	mostlyNonlinear = 0.3
	mostUnusable    = 0.05
	percent         = 100
)

// warn collects the warnings.
func (r *Result) warn(outer float64) {
	add := func(when bool, code sim.WarningCode, format string, args ...any) {
		if when {
			r.Warnings = append(r.Warnings, sim.Warning{Code: code, Text: fmt.Sprintf(format, args...)})
		}
	}
	n := len(r.Comparisons)
	add(n < leastReadings, FewReadings, "%d readings: fewer than %d cannot show whether the model fits", n, leastReadings)
	s := r.Surprise
	add(s.Probability < rarelySurprised, PriorConflict,
		"readings as far from what was expected have a probability of %.1g: the prior, the noise, the variation or the model is off", s.Probability)
	add(1-s.Probability < rarelySurprised, TooClose,
		"the readings lie closer together than noise and variation allow, the probability is %.1g: is the noise smaller, or are they averages?", 1-s.Probability)
	for _, m := range r.Marginals {
		z := math.Abs(m.score(0.5))
		add(z > farScore, FarFromPrior, "%s: the readings lead %.1f standard deviations away from what was thought possible before", m.Name, z)
		left := m.ScoreStdDev()
		add(left > hardlyNarrower, HardlyNarrowed, "%s: the readings leave %.0f %% of the spread it had before; %s",
			m.Name, percent*left, r.Budget.limits())
	}
	add(r.Budget.noiseShare() > mostlyNoise, NoiseGoverns, "noise makes %.0f %% of the variance of a reading: less noise or more readings would tell more", percent*r.Budget.noiseShare())
	for _, t := range r.Trends {
		add(t.Flagged, ResidualTrend, "%s would have to change with %s, from %.3g to %.3g over its range, to fit the readings (z %.1f, probability %.1g)", r.Marginals[0].Name, t.Name, t.From, t.To, t.Z, t.Probability)
	}
	add(outer > outerMass, EdgeOfGrid, "%.1g of the probability lies at the end of the grid: the ends of the intervals are not to be trusted", outer)
	add(r.Budget.Nonlinear > mostlyNonlinear || r.Budget.Skewness > mostSkewed, NotNormal,
		"the variation is far from normal (skewness %.1f, %.0f %% not linear in its sources): the intervals are approximate", r.Budget.Skewness, percent*r.Budget.Nonlinear)
	add(r.Unusable > mostUnusable, UnusableDraws, "%.0f %% of the draws could not have been observed and are left out", percent*r.Unusable)
}

// limits says what keeps the readings from telling more.
func (b Budget) limits() string {
	switch {
	case b.noiseShare() > mostlyNoise:
		return "noise covers the rest"
	case b.Unit >= b.Common && b.Unit >= b.Setup:
		return "variation from unit to unit covers the rest: read more units"
	case b.Common >= b.Setup:
		return "what all readings share covers the rest: more readings of the same kind tell no more"
	}
	return "variation from set-up to set-up covers the rest: read more set-ups"
}
