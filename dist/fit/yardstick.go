package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat"

	"clampodds/dist"
)

// yardstick says how far out a reading lies under a family whose parameters come
// from the same readings. It has a scale on which the family's shape is known:
// for the normal and the lognormal family the readings and their logarithms, for
// most others the normal scores of the fitted curve; all of these are measured in
// standard deviations from their mean, on both sides. A half-normal or Rayleigh
// reading is measured by its share in the sum of squares, above only: near 0 these
// families have no tail.
type yardstick struct {
	scale func(x float64) float64 // rises with the reading
	back  func(y float64) float64
	// chi is the number of squared normal values that one squared reading is worth:
	// 1 half-normal, 2 Rayleigh, 0 for a scale of standard deviations.
	chi float64
	// free reports whether the statistic has the same distribution whatever the
	// parameters are, as long as readings are not rounded.
	free bool
}

// yardstick of the fitted family with the given parameters, which is not the uniform one: that ends at
// its outermost readings.
func (s *Sample) yardstick(m model, natural []float64) yardstick {
	same := func(x float64) float64 { return x }
	switch m.family {
	case Normal:
		return yardstick{scale: same, back: same, free: true}
	case Lognormal:
		least := s.least()
		return yardstick{scale: func(x float64) float64 { return math.Log(math.Max(x, least)) }, back: math.Exp, free: true}
	case HalfNormal:
		return yardstick{scale: same, back: same, chi: 1, free: true}
	case Rayleigh:
		return yardstick{scale: same, back: same, chi: 2, free: true}
	}
	d := cutTo(m.blur(natural, s.data.GaugeSD), s.data.Kept)
	low, high := m.support.Low, m.support.High
	return yardstick{
		scale: func(x float64) float64 {
			if s.data.GaugeSD == 0 { // a rounded reading may stand at an end
				x = math.Min(math.Max(x, low+s.least()), high-s.least())
			}
			return scoreOf(d.Survival(x), d.CDF(x))
		},
		back: func(score float64) float64 { return valueAt(d, score, s.mean, s.sd) },
	}
}

// least stands for a reading that was rounded to the end of its support: the middle of
// the half step that is left of it.
func (s *Sample) least() float64 { return s.step / 4 }

// valueAt is the reading with a normal score, by bisection.
func valueAt(d density, score, mean, sd float64) float64 {
	low, high := mean, mean
	for width := sd; scoreOf(d.Survival(low), d.CDF(low)) > score && width < 1e9*sd; width *= 2 {
		low -= width
	}
	for width := sd; scoreOf(d.Survival(high), d.CDF(high)) < score && width < 1e9*sd; width *= 2 {
		high += width
	}
	for range 100 {
		middle := low + (high-low)/2
		if scoreOf(d.Survival(middle), d.CDF(middle)) < score {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

type farOut struct {
	last bool // it is the largest; else the smallest
	// statistic is |y - mean|/sd, or the share in the sum of squares.
	statistic float64
	// level bounds the probability that some reading of a sample of this size lies
	// as far out: the sum over the readings (Bonferroni), exact where no two can.
	level float64
}

// farthest looks at values on the scale, rising, not all equal.
func (y yardstick) farthest(sorted []float64) farOut {
	n, end := float64(len(sorted)), len(sorted)-1
	if y.chi > 0 {
		squares := 0.0
		for _, x := range sorted {
			squares += x * x
		}
		f := farOut{last: true, statistic: sorted[end] * sorted[end] / squares}
		// a share of a sum of squares is beta distributed; the rest is the smaller number
		rest := (squares - sorted[end]*sorted[end]) / squares
		f.level = math.Min(1, n*mathext.RegIncBeta(y.chi*(n-1)/2, y.chi/2, math.Max(rest, 0)))
		return f
	}
	mean, sd := stat.MeanStdDev(sorted, nil)
	f := farOut{statistic: (mean - sorted[0]) / sd}
	if above := (sorted[end] - mean) / sd; above > f.statistic {
		f.last, f.statistic = true, above
	}
	f.level = grubbsLevel(n, f.statistic)
	return f
}

// grubbsLevel is the level at which a distance in standard deviations is critical
// (Grubbs, Technometrics 11 (1969) 1): with t^2 = n(n-2)g^2/((n-1)^2 - n g^2) it is
// 2n P(T > t), T Student's with n-2 degrees of freedom.
func grubbsLevel(n, g float64) float64 {
	rest := (n-1)*(n-1) - n*g*g
	if !(rest > 0) {
		return 0
	}
	// P(|T| > t) is the incomplete beta function of (n-2)/(n-2+t^2).
	square := n * (n - 2) * g * g / rest
	return math.Min(1, n*mathext.RegIncBeta((n-2)/2, 0.5, (n-2)/(n-2+square)))
}

// critical is the statistic that has a level among n readings.
func (y yardstick) critical(n int, level float64) float64 {
	m := float64(n)
	switch {
	case !(level > 0):
		return math.Inf(1)
	case y.chi > 0:
		return 1 - mathext.InvRegIncBeta(y.chi*(m-1)/2, y.chi/2, math.Min(level/m, 1))
	}
	return rosner(n, 1, level)
}

// rosner is the critical value of step i of n readings:
// (n-i) t / sqrt((n-i-1+t^2)(n-i+1)), t exceeded with probability
// significance/(2(n-i+1)) at n-i-1 degrees of freedom (Rosner, Technometrics 25
// (1983) 165).
func rosner(n, i int, significance float64) float64 {
	left := float64(n - i)
	t := studentQuantile(significance/(2*(left+1)), left-1)
	return left * t / math.Sqrt((left-1+t*t)*(left+1))
}

// limits are the readings beyond which one has less than a level: quantiles of the
// fitted family; infinite where the scale has none.
func (y yardstick) limits(sorted []float64, level float64) Range {
	critical := y.critical(len(sorted), level)
	if y.chi > 0 {
		squares := 0.0
		for _, x := range sorted {
			squares += x * x
		}
		return Range{Low: math.Inf(-1), High: math.Sqrt(critical * squares)}
	}
	mean, sd := stat.MeanStdDev(sorted, nil)
	return Range{Low: y.back(mean - critical*sd), High: y.back(mean + critical*sd)}
}

// onScale puts values on the scale, rising.
func (y yardstick) onScale(values []float64) []float64 {
	scaled := make([]float64, len(values))
	for i, x := range values {
		scaled[i] = y.scale(x)
	}
	slices.Sort(scaled)
	return scaled
}

// standard is a distribution of which the free yardsticks can be simulated.
func (y yardstick) standard() (dist.Distribution, error) {
	switch y.chi {
	case 1:
		return dist.NewHalfNormal(1)
	case 2:
		return dist.NewRayleigh(1)
	}
	return dist.NewNormal(0, 1)
}

// Suspects are the readings that a slip may have put where they are, as indexes: those that lie so far out among normal
// readings, or among readings with normal logarithms, that some reading of a column does with probability level at most; the
// farthest first, at most as many as OutlierTest takes off. They do not depend on a fitted family, which a single slip can
// choose. A set for each of the two scales, different ones only; none where some readings are only bounds.
func (s *Sample) Suspects(level float64) (sets [][]int) {
	if s.boundsOnly() || s.N() < 5 { // of four, three are left
		return nil
	}
	for _, build := range []func() model{normalModel, lognormalModel} {
		m := build()
		if s.inSupport(m) != nil {
			continue
		}
		t := OutlierTest{Most: mostOutliers(s.N())}
		t.steps(s.yardstick(m, nil), s.data.Values, level)
		var set []int
		for _, step := range t.Steps[:t.Flagged] {
			set = append(set, step.Index)
		}
		if len(set) > 0 && !slices.ContainsFunc(sets, func(other []int) bool { return sameSet(other, set) }) {
			sets = append(sets, set)
		}
	}
	return sets
}

func sameSet(a, b []int) bool {
	return len(a) == len(b) && !slices.ContainsFunc(a, func(i int) bool { return !slices.Contains(b, i) })
}

// Without is the sample without some of its readings, given by their indexes, what else is known of them unchanged. It fails
// as NewSample does where too little is left. Readings that are only bounds are no samples for it.
func (s *Sample) Without(indexes []int) (*Sample, error) {
	data := s.data
	data.Values = nil
	for i, x := range s.data.Values {
		if !slices.Contains(indexes, i) {
			data.Values = append(data.Values, x)
		}
	}
	return NewSample(data)
}

// Outlying bounds the probability that one of so many readings lies as far out as x, under the fit of the others: of the next
// part, its predictive distribution, on both sides, times the readings (Bonferroni). For normal readings that is the level of
// Grubbs' test. A rounded reading counts as its near end, and one of a gauge with an error in the parts' own spread. NaN where the
// readings do not bound the parameters.
func (f *Fit) Outlying(x float64, readings int) float64 {
	s := f.sample
	middle := f.Distribution().Quantile(0.5)
	distance := math.Max(math.Abs(x-middle)-s.step/2, 0)
	if g := s.data.GaugeSD; g > 0 {
		own := f.Distribution().StdDev()
		distance *= own / math.Hypot(own, g)
	}
	return math.Min(1, 2*float64(readings)*f.uncertain.beyond(middle+math.Copysign(distance, x-middle), x > middle))
}
