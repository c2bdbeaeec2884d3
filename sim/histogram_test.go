package sim

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Every finite number lies within the edges of its bin, and bins order like
// their values, over the whole range of float64.
func TestBinsHoldTheirValues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := rapid.Float64Range(-math.MaxFloat64, math.MaxFloat64).Draw(t, "q")
		other := rapid.Float64Range(-math.MaxFloat64, math.MaxFloat64).Draw(t, "other")
		bin := binOf(q)
		require.LessOrEqual(t, binEdge(bin), q)
		require.GreaterOrEqual(t, binEdge(bin+1), q)
		if q <= other {
			require.LessOrEqual(t, bin, binOf(other))
		}
	})
}

func TestBinEdges(t *testing.T) {
	for q, want := range map[float64]int{
		0: 0, 0.5: 0, 1: 1, -0.5: -1, -1: -1, -1.5: -2,
		linearBins - 0.5:   linearBins - 1,
		linearBins:         linearBins,
		linearBins * 2:     linearBins + 4096,
		-linearBins:        -linearBins - 1,
		-linearBins + 0.25: -linearBins,
	} {
		assert.Equal(t, want, binOf(q), "%v", q)
	}
	assert.Equal(t, largestBin, binOf(math.Inf(1)), "a quotient that overflows")
	for bin := range []int{linearBins - 1, linearBins, linearBins + 1, largestBin - 1} {
		assert.Less(t, binEdge(bin), binEdge(bin+1))
		assert.Less(t, binEdge(-bin-1), binEdge(-bin))
	}
	assert.Equal(t, float64(linearBins)*(1+1./4096), binEdge(linearBins+1), "4096 bins to a doubling")
}

func TestHistogramAgainstSortedValues(t *testing.T) {
	stream := NewStream(1, "histogram test", 0, "")
	values := make([]float64, 5000)
	for i := range values {
		values[i] = 1 / (stream.Uniform() - 0.5) // heavy tails
	}
	values[17], values[18], values[19], values[20] = math.Inf(1), math.Inf(-1), math.NaN(), math.MaxFloat64
	h := NewHistogram(0.01, 1)
	h.Add(values[:1000])
	h.Add(values[1000:])

	finite := slices.DeleteFunc(slices.Clone(values), func(v float64) bool { return math.IsNaN(v - v) })
	slices.Sort(finite)
	assert.Equal(t, int64(len(finite)), h.Finite())
	minus, plus := h.Infinite()
	assert.Equal(t, []int64{1, 1, 1}, []int64{minus, plus, h.Undefined()})
	for _, rank := range []int{1, 2, 100, 2500, 4000, len(finite)} {
		bin := h.AtRank(int64(rank))
		assert.True(t, bin.Low <= finite[rank-1] && finite[rank-1] <= bin.High, "rank %d: %v in %v", rank, finite[rank-1], bin)
	}
	assert.Panics(t, func() { h.AtRank(0) })
	assert.Panics(t, func() { h.AtRank(int64(len(finite)) + 1) })
	assert.Panics(t, func() { NewHistogram(math.NaN(), 1) })
}

// The order of values and of blocks leaves no trace.
func TestHistogramForgetsTheOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.Float64Range(-50, 50), 1, 60).Draw(t, "values")
		shuffled := rapid.Permutation(values).Draw(t, "shuffled")
		a, b := NewHistogram(0.01, 1), NewHistogram(0.01, 1)
		a.Add(values)
		for i := range shuffled {
			b.Add(shuffled[i : i+1])
		}
		require.Equal(t, a, b)
	})
}

// The sums of squares from the weights are those of a direct count, at every
// threshold, infinite and undefined values included.
func TestClusterWeightsAgainstDirectCount(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.IntRange(2, smallCluster+2).Draw(t, "cluster size")
		value := rapid.Map(rapid.IntRange(-8, 8), func(i int) float64 {
			switch i {
			case 8:
				return math.Inf(1)
			case -8:
				return math.Inf(-1)
			case 7:
				return math.NaN()
			}
			return float64(i) + 0.5
		})
		clusters := rapid.SliceOfN(rapid.SliceOfN(value, size, size), 1, 20).Draw(t, "clusters")
		h := NewHistogram(1, size)
		sizeSquares := uint64(0)
		for _, c := range clusters {
			h.Add(c)
			m := countAbove(c, math.Inf(-1))
			sizeSquares += m * m
		}
		require.Equal(t, sizeSquares, h.sizeSquares)
		for threshold := -8.0; threshold <= 8; threshold++ {
			var want [3]uint64
			for _, c := range clusters {
				k, m := countAbove(c, threshold), countAbove(c, math.Inf(-1))
				want[0] += k
				want[1] += k * k
				want[2] += k * m
			}
			count, square, cross := h.above(threshold)
			require.Equal(t, want, [3]uint64{count, square, cross}, "above %v", threshold)
		}
	})
}

// countAbove counts finite values above a threshold.
func countAbove(values []float64, threshold float64) uint64 {
	n := uint64(0)
	for _, v := range values {
		if cmp.Compare(v, threshold) > 0 && !math.IsInf(v, 0) {
			n++
		}
	}
	return n
}

// Counts beyond 16 bits are as exact as those below.
func TestCountersCarry(t *testing.T) {
	h := NewHistogram(1, 3)
	const clusters = 50_000
	for range clusters {
		h.Add([]float64{3.5, math.Inf(1), 3.5})
	}
	count, square, cross := h.above(3)
	assert.Equal(t, [3]uint64{2 * clusters, 4 * clusters, 4 * clusters}, [3]uint64{count, square, cross})
	assert.Equal(t, int64(2*clusters), h.Finite())
	assert.Equal(t, Bin{Interval{Low: 3, High: 4}, 2 * clusters}, h.AtRank(2*clusters))
	assert.Panics(t, func() { h.AtRank(2*clusters + 1) })
}

func TestMeanAndStandardDeviation(t *testing.T) {
	h := NewHistogram(1, 1)
	h.Add([]float64{1.5, 2.5, 4.5, math.Inf(1)})
	mean, deviation := h.MeanStdDev()
	assert.InDelta(t, 8.5/3, mean, 1e-15, "values in the middle of their bins: rounding only")
	assert.InDelta(t, math.Sqrt(14./6), deviation, 1e-15)
	mean, _ = NewHistogram(1, 1).MeanStdDev()
	assert.True(t, math.IsNaN(mean))

	// Like NIST StRD NumAcc3 and 4: a small spread on a large mean.
	h = NewHistogram(2, 1)
	for range 500 {
		h.Add([]float64{10000001, 10000003})
	}
	_, deviation = h.MeanStdDev()
	assert.InEpsilon(t, math.Sqrt(1000./999), deviation, 1e-12, "two passes lose no digits to the mean")
}

// Far outliers cost a page each, not the way to them; all of float64 together
// is bounded.
func TestHistogramMemoryIsBounded(t *testing.T) {
	h := NewHistogram(1e-4, 1)
	h.Add([]float64{0, 800, -800, 1e9, -1e9, math.MaxFloat64, -math.MaxFloat64, 5e-324})
	pages := 0
	for _, p := range h.pages {
		if p != nil {
			pages++
		}
	}
	assert.LessOrEqual(t, pages, 8)
	assert.Less(t, len(h.pages), 25_000)
}

func BenchmarkHistogram(b *testing.B) {
	values := make([]float64, 4096)
	stream := NewStream(1, "benchmark", 0, "")
	for i := range values {
		values[i] = 340 + 30*stream.Uniform()
	}
	for name, clusterRows := range map[string]int{"cluster=1": 1, "cluster=4": 4, "cluster=4096": 4096} {
		b.Run(name, func(b *testing.B) {
			h := NewHistogram(1e-4, clusterRows)
			h.Add(values)
			b.ReportAllocs()
			for b.Loop() {
				h.Add(values)
			}
			b.ReportMetric(float64(b.N)*float64(len(values))/b.Elapsed().Seconds(), "values/s")
		})
	}
}
