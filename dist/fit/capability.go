package fit

import (
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"

	"clampodds/dist"
	"clampodds/sim/result"
)

// Index is a capability or performance index with its uncertainty.
type Index struct {
	Name            string  `json:"index"`
	Estimate        float64 `json:"value"`
	result.Interval         // two-sided, at the level asked for
	Lower           float64 `json:"one_sided_lower"` // bound at the same level: what a requirement is held against
}

// Capability compares readings with the limits of a requirement (ISO 22514-2).
//
// Cp and Cpk are the process capability: they rest on the standard deviation
// within subgroups, and mean something for a stable process only. Pp and Ppk are
// the process performance, on the standard deviation of all readings. All four
// presuppose normal readings: read the warnings first.
type Capability struct {
	Limits          Range
	N               int
	Mean            float64
	Within, Overall float64 // standard deviations
	WithinFreedom   float64 // degrees of freedom of Within
	// Cp and Pp are NaN with one limit only.
	Cp, Cpk, Pp, Ppk Index
	Warnings         []Warning
}

// Capability takes the readings by subgroup (nil: there are none, then Within comes
// from the moving range); the limits, of which one may be infinite; and the options of
// the test for normal readings, with the level of the intervals in (0, 1). Other input gets an
// error, and so do readings that are only bounds.
//
// What rounding adds to a variance is taken out of it.
//
// Sources: Cp's interval from chi-square; Cpk's from Bissell, Appl. Statist. 39
// (1990) 331; the moving range counts for 0.605 (n-1) degrees of freedom.
func (s *Sample) Capability(subgroups *Lots, limits Range, o Options) (Capability, error) {
	c := Capability{Limits: limits, N: s.N(), Mean: s.mean}
	if err := checkLevel(o.Level); err != nil {
		return c, err
	}
	if math.IsNaN(limits.Low) || math.IsInf(limits.Low, 1) {
		return c, refuse("lower limit", limits.Low, "a number, or none")
	}
	if !(limits.Low < limits.High) || math.IsInf(limits.High, -1) || limits == wholeLine {
		return c, refuse("upper limit", limits.High, "> the lower limit, and one of them finite")
	}
	if s.boundsOnly() {
		return c, errors.New("capability: some readings are only bounds: their mean and standard deviation are not known; see Performance of a fitted curve")
	}
	var freedom float64
	c.Overall, freedom = s.withoutSteps(s.sd, float64(c.N-1))
	c.Within = s.shortTerm() // not widened: between steps the size of a difference is linear, and so right on average
	_, c.WithinFreedom = s.withoutSteps(c.Within, movingRangeFreedom(c.N))
	if subgroups != nil {
		c.Within, c.WithinFreedom = s.withoutSteps(subgroups.Within, float64(subgroups.N-subgroups.Count))
	}
	c.Cp, c.Cpk = indices("C", limits, c.Mean, c.Within, float64(c.N), c.WithinFreedom, o.Level)
	c.Pp, c.Ppk = indices("P", limits, c.Mean, c.Overall, float64(c.N), freedom, o.Level)
	return c, c.warn(s, o)
}

// withoutSteps takes out of a standard deviation what rounding adds to the variance, step^2/12 (Sheppard, Proc. London Math. Soc. 29
// (1898) 353, from memory), unless that is more than half; what is left counts for fewer degrees of freedom (Satterthwaite).
func (s *Sample) withoutSteps(sd, freedom float64) (float64, float64) {
	left := 1 - s.step*s.step/12/(sd*sd)
	if !(left >= 0.5) {
		return sd, freedom
	}
	return sd * math.Sqrt(left), freedom * left * left
}

// indices: Cp = (U-L)/(6s), Cpk = min(U-mean, mean-L)/(3s).
func indices(kind string, limits Range, mean, sd, n, freedom, level float64) (p, pk Index) {
	p, pk = noIndex(kind+"p"), noIndex(kind+"pk")
	if width := limits.High - limits.Low; !math.IsInf(width, 0) {
		p.Estimate = width / (6 * sd)
		// true Cp = estimate s/sigma, and freedom s^2/sigma^2 is chi-square
		ratio := func(tail float64) float64 {
			return math.Sqrt(2 * mathext.GammaIncRegInv(freedom/2, tail) / freedom)
		}
		p.Interval = Range{Low: p.Estimate * ratio((1-level)/2), High: p.Estimate * ratio((1+level)/2)}
		p.Lower = p.Estimate * ratio(1-level)
	}
	pk.Estimate = math.Min(limits.High-mean, mean-limits.Low) / (3 * sd)
	// Bissell: sqrt(1/(9n) + Cpk^2/(2 freedom))
	error := math.Sqrt(1/(9*n) + pk.Estimate*pk.Estimate/(2*freedom))
	half := -dist.NormalQuantile((1-level)/2) * error
	pk.Interval = Range{Low: pk.Estimate - half, High: pk.Estimate + half}
	pk.Lower = pk.Estimate + dist.NormalQuantile(1-level)*error
	return p, pk
}

// noIndex has a name and no numbers.
func noIndex(name string) Index {
	return Index{Name: name, Estimate: math.NaN(), Interval: Range{Low: math.NaN(), High: math.NaN()}, Lower: math.NaN()}
}

func (c *Capability) warn(s *Sample, o Options) error {
	asTheyStand, err := NewSample(Data{Values: s.data.Values, Resolution: s.data.Resolution})
	if err != nil {
		return err
	}
	if normal, err := asTheyStand.Fit(Normal, o); err == nil && normal.P < 0.05 { // else nothing speaks against it
		c.Warnings = append(c.Warnings, result.Warn(NotNormal,
			"the readings are not normal (Anderson-Darling, p = %.2g): the indices do not stand for a share of parts; use the percentiles of a fitted curve", normal.P))
	}
	if c.N < 50 {
		c.Warnings = append(c.Warnings, result.Warn(FewReadings, "%d readings: the lower bound counts, not the estimate", c.N))
	}
	below, _ := slices.BinarySearch(s.sorted, c.Limits.Low)
	inside, _ := slices.BinarySearch(s.sorted, math.Nextafter(c.Limits.High, math.Inf(1)))
	outside := below + c.N - inside
	if outside > 0 {
		c.Warnings = append(c.Warnings, result.Warn(OutsideLimits, "%d of %d readings outside the limits", outside, c.N))
	}
	return nil
}

// Performance returns Pp and Ppk of any distribution by its percentiles (ISO
// 22514-2): Pp = (U-L)/(X99.865 - X0.135), Ppk the smaller of
// (U-X50)/(X99.865-X50) and (X50-L)/(X50-X0.135). Pp is NaN with one limit only.
// They are estimates without an interval.
func Performance(d dist.Distribution, limits Range) (pp, ppk Index) {
	tail := dist.NormalSurvival(3)
	low, middle, high := d.Quantile(tail), d.Quantile(0.5), d.UpperQuantile(tail)
	pp, ppk = noIndex("Pp"), noIndex("Ppk")
	if width := limits.High - limits.Low; !math.IsInf(width, 0) {
		pp.Estimate = width / (high - low)
	}
	ppk.Estimate = math.Min((limits.High-middle)/(high-middle), (middle-limits.Low)/(middle-low))
	return pp, ppk
}
