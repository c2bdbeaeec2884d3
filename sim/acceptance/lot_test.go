package acceptance

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Trying every sample and acceptance number finds no smaller sample.
func TestSmallestPlanInLotIsSmallest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lot := rapid.Int64Range(1, 60).Draw(t, "lot")
		poor := rapid.Int64Range(1, lot).Draw(t, "poor")
		r := LotRisks{
			Lot: lot, Poor: poor, Good: rapid.Int64Range(0, poor-1).Draw(t, "good"),
			Producer: rapid.Float64Range(0.01, 0.9).Draw(t, "producer"), Consumer: rapid.Float64Range(0.01, 0.9).Draw(t, "consumer"),
		}
		got, err := SmallestPlanInLot(r)
		require.NoError(t, err)
		keeps := func(p Plan) bool {
			return p.ProbabilityInLot(lot, r.Good) >= 1-r.Producer && p.ProbabilityInLot(lot, poor) <= r.Consumer
		}
		assert.True(t, keeps(got), "%s", got)
		for n := int64(1); n < got.Sample(); n++ {
			for c := int64(0); c < n; c++ {
				assert.False(t, keeps(Plan{n, c}), "n = %d, Ac %d is smaller than %s", n, c, got)
			}
		}
	})
}

// One defective in a lot of 3e9 is missed with 1 - n/N: n = 0.9 N leaves 0.1. More
// parts than an int of 32 bits counts.
func TestSmallestPlanInALargeLot(t *testing.T) {
	p, err := SmallestSampleInLot(LotRisks{Lot: 3_000_000_000, Poor: 1, Producer: 0.05, Consumer: 0.1}, 0)
	require.NoError(t, err)
	assert.InEpsilon(t, 2.7e9, p.Sample(), 1e-7) // logarithms of factorials of the size of the lot
}

// Without acceptance of any defective, the chance of missing all D in a lot of N
// is C(N-D, n)/C(N, n). N = 100, D = 10: n = 20 leaves 0.0951, n = 19 0.1085
// (products of 10 ratios by hand).
func TestSmallestPlanInLotByHand(t *testing.T) {
	p, err := SmallestPlanInLot(LotRisks{Lot: 100, Poor: 10, Producer: 0.05, Consumer: 0.10})
	require.NoError(t, err)
	assert.Equal(t, plan(t, 20, 0), p)
	for accept, want := range []int64{20, 33, 44} {
		// Sums of products of binomial coefficients in exact integers, by an
		// independent program.
		p, err := SmallestSampleInLot(LotRisks{Lot: 100, Poor: 10, Producer: 0.05, Consumer: 0.10}, int64(accept))
		require.NoError(t, err)
		assert.Equal(t, plan(t, want, int64(accept)), p)
	}
	_, err = SmallestSampleInLot(LotRisks{Lot: 100, Poor: 10, Producer: 0.05, Consumer: 0.10}, 10)
	assert.ErrorContains(t, err, "acceptance number 10")
	whole, err := SmallestPlanInLot(LotRisks{Lot: 50, Poor: 1, Producer: 0.05, Consumer: 0.01})
	require.NoError(t, err)
	assert.Equal(t, int64(50), whole.Sample(), "one bad screw is only found by looking at all")
}

// A large lot takes the sample of a process.
func TestLargeLotTakesTheBinomialPlan(t *testing.T) {
	want, err := SmallestPlan(Risks{Good: .01, Producer: .05, Poor: .05, Consumer: .10})
	require.NoError(t, err)
	got, err := SmallestPlanInLot(LotRisks{Lot: 1e8, Good: 1e6, Producer: .05, Poor: 5e6, Consumer: .10})
	require.NoError(t, err)
	assert.Equal(t, want, got)
}

func TestInvalidLotRisks(t *testing.T) {
	good := LotRisks{Lot: 100, Good: 1, Producer: .05, Poor: 10, Consumer: .1}
	for _, change := range []func(*LotRisks){
		func(r *LotRisks) { r.Lot = 0 },
		func(r *LotRisks) { r.Poor = 0 },
		func(r *LotRisks) { r.Poor = 101 },
		func(r *LotRisks) { r.Good = 10 },
		func(r *LotRisks) { r.Good = -1 },
		func(r *LotRisks) { r.Producer = 0 },
		func(r *LotRisks) { r.Producer = math.NaN() },
		func(r *LotRisks) { r.Consumer = 1 },
	} {
		r := good
		change(&r)
		_, err := SmallestPlanInLot(r)
		assert.Error(t, err, "%+v", r)
	}
}
