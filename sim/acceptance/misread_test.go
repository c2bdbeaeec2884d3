package acceptance

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// By every way in which parts can be drawn and read: against a sum over the parts that read as
// defective, drawn without replacement from a lot in which each part was read beforehand.
func TestMisreadingsBySummation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lot := rapid.Int64Range(1, 14).Draw(t, "lot")
		defectives := rapid.Int64Range(0, lot).Draw(t, "defectives")
		n := rapid.Int64Range(1, lot).Draw(t, "n")
		p := plan(t, n, rapid.Int64Range(0, n-1).Draw(t, "c"))
		m := Misreadings{rapid.Float64Range(0, .9).Draw(t, "passed"), rapid.Float64Range(0, .9).Draw(t, "failed")}
		read := []float64{1} // probability of so many that read as defective
		for i := range lot {
			called := m.Failed
			if i < defectives {
				called = 1 - m.Passed
			}
			read = append(read, 0)
			for x := len(read) - 1; x >= 0; x-- {
				read[x] *= 1 - called
				if x > 0 {
					read[x] += read[x-1] * called
				}
			}
		}
		want := 0.0
		for x, probability := range read {
			want += probability * p.ProbabilityInLot(lot, int64(x))
		}
		assert.InDelta(t, want, p.ProbabilityMisread(lot, defectives, m), 1e-12)
	})
}

// Trying every plan finds no smaller sample; where there is none, none keeps both risks.
func TestSmallestPlanWithMisreadings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lot := rapid.Int64Range(2, 30).Draw(t, "lot")
		poor := rapid.Int64Range(1, lot).Draw(t, "poor")
		r := LotRisks{
			Lot: lot, Poor: poor, Good: rapid.Int64Range(0, poor-1).Draw(t, "good"), Producer: .1, Consumer: .2,
			Misread: Misreadings{rapid.Float64Range(0, .3).Draw(t, "passed"), rapid.Float64Range(0, .1).Draw(t, "failed")},
		}
		keeps := func(p Plan) bool {
			return p.ProbabilityMisread(lot, r.Good, r.Misread) >= 1-r.Producer && p.ProbabilityMisread(lot, poor, r.Misread) <= r.Consumer
		}
		got, err := SmallestPlanInLot(r)
		smaller := got.sample
		if err != nil {
			require.ErrorIs(t, err, ErrNoPlan)
			smaller = lot + 1
		} else {
			assert.True(t, keeps(got), "%s", got)
		}
		for n := int64(1); n < smaller; n++ {
			for c := int64(0); c < n; c++ {
				assert.False(t, keeps(Plan{n, c}), "n = %d, Ac %d", n, c)
			}
		}
	})
}

// A fifth of the good parts reads as defective: 40 of a good lot of 200 and 36 beside the 20 of a poor
// one. The plan has to accept more than a poor lot has defectives.
func TestMoreAcceptedThanDefectives(t *testing.T) {
	p, err := SmallestPlanInLot(LotRisks{Lot: 200, Poor: 20, Producer: .1, Consumer: .2, Misread: Misreadings{Failed: .2}})
	require.NoError(t, err)
	assert.Greater(t, p.Accept(), int64(20))
}

func TestInvalidMisreadings(t *testing.T) {
	for _, m := range []Misreadings{{-.1, 0}, {1, 0}, {0, 1}} {
		_, err := SmallestPlanInLot(LotRisks{Lot: 100, Poor: 10, Producer: .05, Consumer: .1, Misread: m})
		assert.ErrorContains(t, err, "misreadings")
	}
	_, err := SmallestSampleInLot(LotRisks{Lot: 10, Poor: 2, Producer: .05, Consumer: .1, Misread: Misreadings{Passed: .9}}, 0)
	assert.ErrorIs(t, err, ErrNoPlan)
	assert.Panics(t, func() { plan(t, 80, 2).ProbabilityMisread(79, 1, Misreadings{Passed: .1}) })
}
