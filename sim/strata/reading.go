package strata

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
)

// reading are places in the space of the unknown inputs at which surfaces are read
// and integrated, with the share of the probability that each stands for, and a normal
// score for the misfit.
type reading struct {
	places [][]float64
	weight []float64
	extra  []float64

	workers int
}

// narrowing is scratch for a quantile of weighted values.
type narrowing struct {
	bins          []float64 // the weight in each
	inside, share []float64 // values of one bin, and their weights
}

func newNarrowing() *narrowing { return &narrowing{bins: make([]float64, quantileBins)} }

// quantileBins leaves a few values in each bin.
const quantileBins = 4096

const (
	// readings is the number of places for usualRows; a look at more rows, which sees more of what the places miss, has as
	// many times more, a power of two, up to mostReadings.
	readings     = 1 << 14
	mostReadings = 1 << 18
	// wideAlong is the standard deviation along the index of half of the places: the
	// probability is large there.
	wideAlong = 2
)

// newReading lays the places for a look at finer times the usual rows evenly: by the standard normal density, and half
// of them stretched along the index.
func newReading(index []float64, finer float64, seed uint64, workers int) reading {
	n, places := len(index), readings
	for places < mostReadings && float64(places) < finer*readings {
		places *= 2
	}
	u := batch.Columns(n+2, places)
	names := make([]string, n+2)
	for j := range names {
		names[j] = fmt.Sprint(j)
	}
	sim.Halton{}.Fill(u, names, seed, 0)
	r := reading{weight: make([]float64, places), extra: u[n+1], workers: workers}
	for i := range places {
		place := make([]float64, n)
		for j := range place {
			place[j] = dist.NormalQuantile(u[j][i])
		}
		t := dist.NormalQuantile(u[n][i])
		if i%2 == 0 {
			t *= wideAlong
		}
		floats.AddScaled(place, t-floats.Dot(index, place), index)
		r.places = append(r.places, place)
		// φ(t) over the mean of both densities.
		r.weight[i] = 2 / (1 + math.Exp(t*t/2*(1-1.0/(wideAlong*wideAlong)))/wideAlong)
		r.extra[i] = dist.NormalQuantile(r.extra[i])
	}
	floats.Scale(1/floats.Sum(r.weight), r.weight)
	return r
}

// heights are the normal scores of a surface of some coefficients where it is read.
func (r reading) heights(s surface, coefficients mat.Vector, misfit float64) []float64 {
	var heights mat.VecDense
	heights.MulVec(s.read, coefficients)
	z := heights.RawVector().Data
	floats.AddScaled(z, misfit, r.extra)
	return z
}

// quantile is the least value up to which the weights reach p. Values are counted in bins, and only those of one
// bin sorted: sorting tens of thousands for each set of coefficients takes longer.
func (n *narrowing) quantile(values, weight []float64, p float64) float64 {
	low, high := floats.Min(values), floats.Max(values)
	if low == high {
		return low
	}
	last := len(n.bins) - 1
	bin := func(v float64) int { return int((v - low) / (high - low) * float64(last)) }
	clear(n.bins)
	for i, v := range values {
		n.bins[bin(v)] += weight[i]
	}
	below, at := 0.0, 0
	for at < last && below+n.bins[at] < p {
		below += n.bins[at]
		at++
	}
	n.inside, n.share = n.inside[:0], n.share[:0]
	for i, v := range values {
		if bin(v) == at {
			n.inside, n.share = append(n.inside, v), append(n.share, weight[i])
		}
	}
	stat.SortWeighted(n.inside, n.share)
	k := 0
	for below += n.share[k]; below < p && k < len(n.inside)-1; below += n.share[k] {
		k++
	}
	return n.inside[k]
}

// misfitBins is the number of parts of equal weight into which the rows that exceed are
// cut by an unknown input, and by the index.
const misfitBins = 10

// misfit is what the surface leaves out, as a standard deviation of normal scores: of
// the rows that exceed, how many lie in each part of the range of an input, against
// what the surface expects there, the noise of the rows taken off. noise is what that may still show where nothing is
// left out: the root of the standard deviation of its square.
func (r reading) misfit(s surface, e exceeding) (misfit, noise float64) {
	var sum, variance float64
	expected := make([]float64, len(r.places))
	for i, z := range r.heights(s, s.coefficients, 0) {
		expected[i] = r.weight[i] * dist.NormalSurvival(-z)
	}
	axes := []func(place []float64) float64{func(place []float64) float64 { return floats.Dot(s.index, place) }}
	if s.inputs() > 1 {
		for j := range s.inputs() {
			axes = append(axes, func(place []float64) float64 { return place[j] })
		}
	}
	n := newNarrowing()
	for _, along := range axes {
		square, v := r.excess(along, e, expected, n)
		sum, variance = sum+square, variance+v
	}
	return math.Sqrt(max(0, sum)) / s.hazard, math.Sqrt(math.Sqrt(variance)) / s.hazard
}

// excess is the mean square of ln(seen/expected) over the parts, less its noise, and the variance that this leaves.
func (r reading) excess(along func([]float64) float64, e exceeding, expected []float64, n *narrowing) (square, variance float64) {
	t := make([]float64, len(e.weight))
	for i, place := range e.places {
		t[i] = along(place)
	}
	var cuts [misfitBins - 1]float64
	for i, total := 0, floats.Sum(e.weight); i < len(cuts); i++ {
		cuts[i] = n.quantile(t, e.weight, total*float64(i+1)/misfitBins)
	}
	bin := func(x float64) int {
		b := 0
		for b < len(cuts) && x > cuts[b] {
			b++
		}
		return b
	}
	var seen, squares, fitted [misfitBins]float64
	for i, x := range t {
		b := bin(x)
		seen[b] += e.weight[i]
		squares[b] += e.weight[i] * e.weight[i]
	}
	for i, place := range r.places {
		fitted[bin(along(place))] += expected[i]
	}
	for b := range seen {
		if seen[b] == 0 { // a heavy row may span several parts
			continue
		}
		ratio, of := math.Log(seen[b]/max(fitted[b], 1e-3*seen[b])), squares[b]/(seen[b]*seen[b])
		square += (ratio*ratio - of) / misfitBins
		variance += 2 * of * of / (misfitBins * misfitBins) // of a normal variable's square
	}
	return square, variance
}

// withoutGroups returns numbers, by number and group, of the values at the places without each group of rows.
func (r reading) withoutGroups(values func(group int) []float64, numbers ...func(values []float64, n *narrowing) float64) [][]float64 {
	found := batch.Columns(len(numbers), rowGroups)
	_ = batch.EachWith(context.Background(), r.workers, rowGroups, newNarrowing, func(n *narrowing, g int) error {
		at := values(g)
		for k, number := range numbers {
			found[k][g] = number(at, n)
		}
		return nil
	})
	return found
}

// jackknife returns the standard error of a number from what it is without each group
// of rows.
func jackknife(without []float64) float64 {
	return (rowGroups - 1) * stat.StdErr(stat.StdDev(without, nil), rowGroups)
}
