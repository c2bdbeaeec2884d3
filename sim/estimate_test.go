package sim

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim/interval"
	"clampodds/sim/result"
)

// quantityOf counts values in bins of width 1, so that the value v + 1/2 is the
// middle of its bin.
func quantityOf(l layout, values ...float64) Quantity {
	h := NewHistogram(1, l.clusterRows())
	h.Add(values)
	l.rows = int64(len(values))
	l.blocks = (l.rows + int64(l.blockRows) - 1) / int64(l.blockRows)
	return Quantity{Output{Name: "y", Bin: 1}, h, l}
}

func middles(n int) []float64 {
	values := make([]float64, n)
	for i := range values {
		values[i] = float64(i) + 0.5
	}
	return values
}

var independentRows = layout{rowsPerGroup: 1, blockRows: 1024, confidence: 0.95}

func TestPercentileTakesTheExactRanks(t *testing.T) {
	// statistics of 20 values: ranks 6 and 15 bound the median, coverage
	// 0.958610535 (computed from the binomial distribution).
	e := quantityOf(independentRows, middles(20)...).Percentile(0.5)
	assert.Equal(t, []float64{9.5, 5, 15}, []float64{e.Value, e.Low, e.High}, "value 10, bin edges of values 6 and 15")
	assert.InDelta(t, 0.958610535, e.Achieved, 1e-9, "nine digits given")
	assert.Equal(t, []int64{10, 20}, []int64{e.Count, e.N})
	assert.Equal(t, "order statistics", e.Method)
	assert.Empty(t, e.Warnings)
}

func TestPercentileEndNotAvailable(t *testing.T) {
	e := quantityOf(independentRows, middles(50)...).Percentile(0.99)
	assert.Equal(t, 49.5, e.Value)
	assert.True(t, math.IsInf(e.High, 1) && e.Low > 0)
	require.Len(t, e.Warnings, 1)
	assert.Equal(t, Warning{Code: EndNotAvailable, Text: "50 independent samples are too few for an upper end"}, e.Warnings[0])
	assert.Less(t, e.Achieved, 1.0)

	e = quantityOf(independentRows, middles(50)...).Percentile(0.01)
	assert.True(t, math.IsInf(e.Low, -1) && e.High < 10)
	assert.Panics(t, func() { quantityOf(independentRows, 1).Percentile(1) })
}

func TestPercentileLeavesOutRowsWithoutValue(t *testing.T) {
	values := append(middles(20), math.Inf(1), math.Inf(1))
	e := quantityOf(independentRows, values...).Percentile(0.5)
	assert.Equal(t, 9.5, e.Value)
	assert.Equal(t, int64(20), e.N)
	assert.Equal(t, Warning{Code: WithoutValue, Text: "2 of 22 rows have no value and are left out"}, e.Warnings[0])

	e = quantityOf(independentRows, math.Inf(1)).Percentile(0.5)
	assert.True(t, math.IsNaN(e.Value))
	assert.Equal(t, NothingCounted, e.Warnings[0].Code)
	assert.True(t, math.IsNaN(quantityOf(independentRows, math.Inf(1)).Mean().Value))
}

// Cards that always go together count once: 100 chassis of 4 equal cards are
// 100 samples, but for the small-sample correction.
func TestCardsThatGoTogetherCountOnce(t *testing.T) {
	l := layout{rowsPerGroup: 4, blockRows: 1024, confidence: 0.95}
	var values []float64
	for _, v := range middles(100) {
		values = append(values, v, v, v, v)
	}
	together := quantityOf(l, values...).Percentile(0.5)
	student := interval.StudentTUpper(0.025, 99)
	correction := math.Pow(1.959963984540054/student, 2)
	assert.InEpsilon(t, 100*0.99*correction, together.EffectiveN, 1e-12, "400 over the design effect 4 C/(C-1)")
	alone := quantityOf(independentRows, middles(100)...).Percentile(0.5)
	assert.Equal(t, alone.Value, together.Value)
	assert.InDelta(t, alone.Low, together.Low, 2)
	assert.InDelta(t, alone.High, together.High, 2)

	// One chassis of events: too few to see, the worst case.
	e := Event{tally: tally{rows: 2, rowSquares: 2, groups: 2, groupSquares: 2}, layout: layout{rowsPerGroup: 4, blockRows: 1024, rows: 4000, confidence: 0.95}}
	card := e.PerRow()
	assert.Equal(t, FewClusters, card.Warnings[0].Code)
	assert.InEpsilon(t, 1000, card.EffectiveN, 0.01)
	assert.Equal(t, 2./4000, card.Value)
	chassis := e.PerGroup()
	assert.Equal(t, 1000.0, chassis.EffectiveN)
	assert.Equal(t, 2./1000, chassis.Value)
	low, high := interval.ClopperPearson(2, 1000, 0.95)
	assert.Equal(t, []float64{low, high}, []float64{chassis.Low, chassis.High})
}

func TestNeverAndAlwaysSeen(t *testing.T) {
	l := layout{rowsPerGroup: 1, blockRows: 1024, rows: 1000, confidence: 0.95}
	never := Event{layout: l}.PerRow()
	assert.Equal(t, []float64{0, 0}, []float64{never.Value, never.Low})
	assert.InEpsilon(t, 0.0029912495, never.High, 1e-7, "rule of three: 1 - 0.05^(1/1000), eight digits given")
	assert.Equal(t, NeverSeen, never.Warnings[0].Code)

	always := Event{tally: tally{rows: 1000, rowSquares: 1000}, layout: l}.PerRow()
	assert.Equal(t, []float64{1, 1}, []float64{always.Value, always.High})
	assert.InEpsilon(t, 1-0.0029912495, always.Low, 1e-9)

	l.rowsPerGroup = 10
	assert.InEpsilon(t, 1-math.Pow(0.05, 0.01), Event{layout: l}.PerRow().High, 1e-12, "a hundred chassis")
}

func TestVerdicts(t *testing.T) {
	e := Estimate{Interval: result.Interval{Low: 0.01, High: 0.02}}
	assert.Equal(t, Met, e.Judge(0.02))
	assert.Equal(t, Undecided, e.Judge(0.0199))
	assert.Equal(t, Undecided, e.Judge(0.01))
	assert.Equal(t, NotMet, e.Judge(0.0099))
	assert.Equal(t, NoTarget, e.Judge(0))
	assert.Equal(t, []string{"no target", "met", "not met", "undecided"}, []string{NoTarget.String(), Met.String(), NotMet.String(), Undecided.String()})
}

// Blocks that all hold the same count have no scatter to see; the effective
// size stays finite and the interval is not empty.
func TestReplicatesWithoutScatter(t *testing.T) {
	c := clusterSums{
		clusters: 10, count: 500, square: 10 * 50 * 50, cross: 500 * 100, size: 1000, sizeSquares: 10 * 100 * 100,
		together: 1, replicates: true,
	}
	effective, warnings := c.effective(0.95)
	assert.Empty(t, warnings)
	assert.Greater(t, effective, 1000.0)
	assert.Less(t, effective, 1e6)
	e := probability(c, 0.95)
	assert.True(t, e.Low < 0.5 && e.High > 0.5)
}
