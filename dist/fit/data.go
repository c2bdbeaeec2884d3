package fit

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"clampodds/dist"
	"clampodds/sim/result"
)

// Range is a range of values. The zero value means that there is none; a
// one-sided range has an infinite end.
type Range = result.Interval

func given(r Range) bool { return r != Range{} }

// Data are readings in the order they were taken, with what is known of them.
type Data struct {
	Values []float64
	// Below and Above are indexes of readings that are only bounds: the true
	// value lies below (above) what Values holds, because the gauge shows no
	// less (no more).
	Below, Above []int
	// Resolution is the step of a rounded reading: x stands for anything within
	// half a step of x. 0: readings are exact.
	Resolution float64
	// GaugeSD is the standard deviation of a reading's own error (gauge
	// repeatability and reproducibility, calibration). It is taken out of the
	// fitted spread. 0: none. See LimitError for a gauge known by its limit.
	GaugeSD float64
	// GaugeFreedom is the number of degrees of freedom that GaugeSD was estimated with in a gauge study; intervals and
	// predictions then allow for it. 0: GaugeSD is known.
	GaugeFreedom float64
	// Kept is the range of readings that were kept: those outside were cut by
	// inspection and are not among Values, nor is their number known.
	Kept Range
	// BetaLimits are the ends of a beta distribution, which has to be told them.
	BetaLimits Range
}

// Sample is a set of readings ready to be fitted. It is immutable and safe for
// concurrent use.
type Sample struct {
	data     Data
	n        float64
	sorted   []float64  // the values as they stand
	exact    []point    // readings that are no bounds, rising, for the likelihood
	ranked   []point    // the same for the goodness of fit, which takes finer steps
	bounded  []interval // readings that are only known to lie in a range
	mean, sd float64    // of the values as they stand
	step     float64    // of rounded readings: declared, or found where it shows
}

// point is a value with its number of readings.
type point struct{ x, count float64 }

type interval struct{ low, high, count float64 }

// NewSample takes at least 3 readings, finite and not all equal, with
// Resolution >= 0 and GaugeSD >= 0 and below their standard deviation, inside
// Kept where that is given. Values are kept, and must not change as long as the
// sample is used. Other input gets an error that says what was refused.
//
// Of more than 100 000 readings those within 1/1000 of the standard deviation
// (and of their own size, where positive) are taken together in the likelihood,
// which moves parameters by less than 1/1000 of their standard errors up to 20
// million readings. The Anderson-Darling statistic takes steps so fine that it is
// right to 0.001.
func NewSample(d Data) (*Sample, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	mean, sd := stat.MeanStdDev(d.Values, nil)
	if !(sd > 0) {
		return nil, refuse("the largest reading", d.Values[0], "> the smallest")
	}
	if width := slices.Max(d.Values) - slices.Min(d.Values); d.Resolution > 1.001*width {
		return nil, refuse("resolution", d.Resolution, fmt.Sprintf("at most the range of the readings, %g", width))
	}
	if d.Resolution < 1e-6*sd { // exact, and too fine for differences of probabilities
		d.Resolution = 0
	}
	s := &Sample{data: d, n: float64(len(d.Values)), mean: mean, sd: sd}
	if !(d.GaugeSD < s.sd) {
		return nil, refuse("gauge sd", d.GaugeSD, fmt.Sprintf("below the standard deviation of the readings, %g", s.sd))
	}
	s.sort(d)
	if s.step = d.Resolution; s.step == 0 {
		s.step = s.foundStep()
	}
	return s, nil
}

func refuse(parameter string, value float64, allowed string) error {
	return &dist.ParameterError{Shape: "readings", Parameter: parameter, Value: value, Allowed: allowed}
}

func (d Data) check() error {
	if len(d.Values) < 3 {
		return refuse("number of readings", float64(len(d.Values)), ">= 3")
	}
	if !(d.Resolution >= 0) || math.IsInf(d.Resolution, 1) {
		return refuse("resolution", d.Resolution, ">= 0")
	}
	if !(d.GaugeSD >= 0) {
		return refuse("gauge sd", d.GaugeSD, ">= 0")
	}
	if !(d.GaugeFreedom >= 0) || math.IsInf(d.GaugeFreedom, 1) {
		return refuse("degrees of freedom of the gauge sd", d.GaugeFreedom, ">= 0")
	}
	if given(d.Kept) && !(d.Kept.Low < d.Kept.High) {
		return refuse("upper end of the kept range", d.Kept.High, "> the lower end")
	}
	if err := finite(d.Values); err != nil {
		return err
	}
	for i, x := range d.Values {
		if given(d.Kept) && !(x >= d.Kept.Low && x <= d.Kept.High) {
			return refuse(fmt.Sprintf("reading %d", i+1), x, fmt.Sprintf("inside the kept range, %g to %g", d.Kept.Low, d.Kept.High))
		}
	}
	for _, i := range slices.Concat(d.Below, d.Above) {
		if i < 0 || i >= len(d.Values) {
			return refuse("index of a bound", float64(i), fmt.Sprintf("from 0 to %d", len(d.Values)-1))
		}
	}
	return nil
}

func finite(values []float64) error {
	for i, x := range values {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return refuse(fmt.Sprintf("reading %d", i+1), x, "finite")
		}
	}
	return nil
}

// many is the number of readings from which those nearly equal are joined.
const many = 100_000

// sort sets up the exact and the bounded readings.
func (s *Sample) sort(d Data) {
	s.sorted = slices.Clone(d.Values)
	slices.Sort(s.sorted)
	exact := s.sorted
	if len(d.Below)+len(d.Above) > 0 {
		exact = s.bounds(d)
	}
	if len(exact) <= many {
		s.exact = together(exact, 0, 0)
		s.ranked = s.exact
	} else {
		s.exact = together(exact, s.sd, 1e-3)
		// Steps of w standard deviations add 0.04 n w^2 to the A2 of a normal fit.
		s.ranked = together(exact, s.sd, math.Sqrt(0.02/s.n))
	}
	if d.Resolution > 0 {
		for _, p := range s.exact {
			s.bounded = append(s.bounded, interval{p.x - d.Resolution/2, p.x + d.Resolution/2, p.count})
		}
	}
}

// bounds sets the readings that are only bounds apart and returns the others,
// rising.
func (s *Sample) bounds(d Data) (exact []float64) {
	isBound := make(map[int]bool, len(d.Below)+len(d.Above))
	for _, i := range d.Below {
		isBound[i] = true
		s.bounded = append(s.bounded, interval{math.Inf(-1), d.Values[i], 1})
	}
	for _, i := range d.Above {
		isBound[i] = true
		s.bounded = append(s.bounded, interval{d.Values[i], math.Inf(1), 1})
	}
	for i, x := range d.Values {
		if !isBound[i] {
			exact = append(exact, x)
		}
	}
	slices.Sort(exact)
	return exact
}

// together counts equal values once, and joins those within near standard
// deviations and near of their own size, where positive, at their mean.
func together(sorted []float64, sd, near float64) []point {
	var points []point
	for i := 0; i < len(sorted); {
		first := sorted[i]
		last := first + near*sd
		if first > 0 {
			last = math.Min(last, first*(1+near))
		}
		sum, count := 0.0, 0.0
		for ; i < len(sorted) && sorted[i] <= last; i++ {
			sum += sorted[i] - first
			count++
		}
		points = append(points, point{first + sum/count, count})
	}
	return points
}

// complete reports whether every reading is exact, free of a declared gauge
// error and of inspection: the case of the textbook formulas.
func (s *Sample) complete() bool {
	return len(s.bounded) == 0 && s.data.GaugeSD == 0 && !given(s.data.Kept)
}

// N returns the number of readings.
func (s *Sample) N() int { return int(s.n) }
