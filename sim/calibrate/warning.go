package calibrate

import (
	"fmt"
	"math"

	"clampodds/sim"
)

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
