package acceptance

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// bruteCommon tries every sample and every pair of acceptance numbers.
func bruteCommon(kinds []LotRisks, producer float64) int64 {
	keeps := func(k LotRisks, p Plan) (refused float64, ok bool) {
		return 1 - p.ProbabilityMisread(k.Lot, k.Good, k.Misread), p.ProbabilityMisread(k.Lot, k.Poor, k.Misread) <= k.Consumer
	}
	for n := int64(1); n <= kinds[0].Lot; n++ {
		for first := range n {
			a, ok := keeps(kinds[0], Plan{n, first})
			if !ok {
				break
			}
			for second := range n {
				if b, ok := keeps(kinds[1], Plan{n, second}); ok && a+b <= producer {
					return n
				}
			}
		}
	}
	return 0
}

// Trying every sample and every pair of acceptance numbers finds no smaller sample.
func TestCommonPlansAreSmallest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lot := rapid.Int64Range(2, 40).Draw(t, "lot")
		kind := func(name string) LotRisks {
			poor := rapid.Int64Range(1, lot).Draw(t, "poor "+name)
			r := LotRisks{Lot: lot, Poor: poor, Good: rapid.Int64Range(0, poor-1).Draw(t, "good "+name), Producer: .5, Consumer: .2}
			if rapid.Bool().Draw(t, "misread "+name) {
				r.Misread = Misreadings{rapid.Float64Range(0, .3).Draw(t, "passed "+name), rapid.Float64Range(0, .1).Draw(t, "failed "+name)}
			}
			return r
		}
		kinds, producer := []LotRisks{kind("a"), kind("b")}, rapid.Float64Range(.01, .3).Draw(t, "producer")
		got, err := CommonPlans(kinds, producer)
		want := bruteCommon(kinds, producer)
		if err != nil {
			require.ErrorIs(t, err, ErrNoPlan)
			assert.Zero(t, want)
			return
		}
		assert.Equal(t, want, got[0].Sample())
		assert.Equal(t, got[0].Sample(), got[1].Sample())
	})
}

// One kind has its own smallest plan.
func TestCommonPlanOfOneKind(t *testing.T) {
	r := LotRisks{Lot: 100, Poor: 10, Good: 2, Producer: 0.05, Consumer: 0.10}
	want, err := SmallestPlanInLot(r)
	require.NoError(t, err)
	got, err := CommonPlans([]LotRisks{r}, r.Producer)
	require.NoError(t, err)
	assert.Equal(t, []Plan{want}, got)
}

// Lots are put together, sampled and read by a generator: loose parts, over-tight ones, some in between, each
// reading wrong by itself. 20 000 lots each: the standard error of a risk of 10 % is 0.2 %, five are allowed for
// (a false alarm in two million); with no more screws off than is acceptable on either side.
func TestRisksOfCommonPlansBySampling(t *testing.T) {
	const lots = 20_000
	loose := LotRisks{Lot: 200, Good: 2, Poor: 30, Producer: 1, Consumer: 0.1, Misread: Misreadings{Passed: 0.05, Failed: 0.004}}
	tight := LotRisks{Lot: 200, Good: 1, Poor: 25, Producer: 1, Consumer: 0.1, Misread: Misreadings{Passed: 0.02, Failed: 0.003}}
	plans, err := CommonPlans([]LotRisks{loose, tight}, 0.05)
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(1, 2))
	accepted := func(low, high int64) float64 {
		n := 0
		for range lots {
			var below, above int64
			for _, part := range random.Perm(int(loose.Lot))[:plans[0].Sample()] {
				reading := random.Float64()
				switch part := int64(part); {
				case part < low:
					if reading >= loose.Misread.Passed {
						below++
					}
				case part < low+high:
					if reading >= tight.Misread.Passed {
						above++
					}
				case reading < loose.Misread.Failed:
					below++
				case reading < loose.Misread.Failed+tight.Misread.Failed:
					above++
				}
			}
			if below <= plans[0].Accept() && above <= plans[1].Accept() {
				n++
			}
		}
		return float64(n) / lots
	}
	within := func(risk float64) float64 { return risk + 5*0.0022 }
	assert.LessOrEqual(t, accepted(loose.Poor, 0), within(loose.Consumer))
	assert.LessOrEqual(t, accepted(0, tight.Poor), within(tight.Consumer))
	refused := 1 - accepted(loose.Good, tight.Good)
	assert.LessOrEqual(t, refused, within(0.05))
	// The bound is the risk but for a product.
	sum := loose.refusal(plans[0]) + tight.refusal(plans[1])
	assert.InDelta(t, sum, refused, 5*0.0016+sum*sum)
}

func TestCommonPlansAreRefused(t *testing.T) {
	_, err := CommonPlans([]LotRisks{{Lot: 10, Poor: 0, Consumer: .1}}, 0.05)
	assert.ErrorContains(t, err, "poor lot")
	// As many good parts read as defective as poor ones: no sample tells the lots apart.
	_, err = CommonPlans([]LotRisks{{Lot: 50, Poor: 5, Producer: .5, Consumer: .1, Misread: Misreadings{Passed: .5, Failed: .5}}}, 0.05)
	assert.ErrorIs(t, err, ErrNoPlan)
}
