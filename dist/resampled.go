package dist

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat"
)

// Resampled draws the readings themselves, each as likely as the others; it
// knows nothing between them and nothing beyond the smallest and the largest.
// Safe for concurrent use.
type Resampled struct{ sorted []float64 }

// NewResampled takes one reading or more, all finite, in any order, ties
// allowed; they are copied. Other input gets a *ParameterError.
func NewResampled(readings []float64) (Resampled, error) {
	sorted, err := sortedReadings(readings, 1)
	return Resampled{sorted}, err
}

func sortedReadings(readings []float64, wanted int) ([]float64, error) {
	n := float64(len(readings))
	requirements := []requirement{{"number of readings", n, len(readings) >= wanted, fmt.Sprintf(">= %d", wanted)}}
	for i, x := range readings {
		requirements = append(requirements, finite(fmt.Sprintf("reading %d", i+1), x))
	}
	sorted := slices.Clone(readings)
	slices.Sort(sorted)
	return sorted, check("measured", requirements...)
}

// Quantile returns the right-continuous inverse of the empirical CDF: reading
// number floor(n p) + 1 of n in rising order, so that each reading owns a
// stretch 1/n of the unit interval. NaN for p outside [0, 1].
func (r Resampled) Quantile(p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	n := len(r.sorted)
	return r.sorted[min(int(p*float64(n)), n-1)]
}

// UpperQuantile is Quantile(1-q) without the rounding of 1-q.
func (r Resampled) UpperQuantile(q float64) float64 {
	if !(q >= 0 && q <= 1) {
		return math.NaN()
	}
	n := len(r.sorted)
	return r.sorted[n-max(int(math.Ceil(q*float64(n))), 1)]
}

// CDF returns the fraction of readings <= x.
func (r Resampled) CDF(x float64) float64 {
	if math.IsNaN(x) {
		return x
	}
	return float64(r.atMost(x)) / float64(len(r.sorted))
}

// Survival returns the fraction of readings > x.
func (r Resampled) Survival(x float64) float64 {
	if math.IsNaN(x) {
		return x
	}
	n := len(r.sorted)
	return float64(n-r.atMost(x)) / float64(n)
}

// atMost is the number of readings <= x.
func (r Resampled) atMost(x float64) int {
	return sort.Search(len(r.sorted), func(i int) bool { return r.sorted[i] > x })
}

// LogDensity returns +Inf at a reading, -Inf elsewhere.
func (r Resampled) LogDensity(x float64) float64 {
	if _, found := slices.BinarySearch(r.sorted, x); found {
		return math.Inf(1)
	}
	return math.Inf(-1)
}

// Mean returns the mean of the readings.
func (r Resampled) Mean() float64 { return stat.Mean(r.sorted, nil) }

// StdDev returns the standard deviation of what is drawn: the root mean square
// deviation of the readings (divided by n, not n-1).
func (r Resampled) StdDev() float64 { return stat.PopStdDev(r.sorted, nil) }

// Support returns the smallest and the largest reading.
func (r Resampled) Support() (low, high float64) {
	return r.sorted[0], r.sorted[len(r.sorted)-1]
}
