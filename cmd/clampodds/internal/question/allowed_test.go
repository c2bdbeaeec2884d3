package question

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim"
	"clampodds/sim/decide"
)

// The tool's scatter, 6 % at 95 % about 0.70 N·m and cut at 0.60 and 0.80, takes half of the screws above 0.70 and none above 0.80.
func TestScrewsBeyondTheMakersLimits(t *testing.T) {
	before, after := loadDemo(t), loadDemo(t)
	assert.Nil(t, beyond(after, before, false), "nobody says")
	after.Tool.Least, after.Tool.Most = 0.60, 0.80
	assert.Nil(t, beyond(after, before, false))
	assert.Nil(t, beyond(after, before, true))
	after.Tool.Least, after.Tool.Most = 0.70, 0.70
	for _, below := range []bool{false, true} {
		found := beyond(after, before, below)
		require.NotNil(t, found)
		assert.InDelta(t, 0.5, found.Share, 1e-9)
		assert.Equal(t, []any{found.Share, "0.7 N·m", map[bool]string{false: "0.8 N·m", true: "0.6 N·m"}[below]}, []any{*found.Before, found.LimitText, found.Reach})
	}
	assert.Nil(t, beyond(after, nil, false).Before, "no change")
}

// One threshold for every command: both screws of a card beside the tenth to which the smallest target, 1e-3, is judged; and it moves
// with them.
func TestFewScrewsAreFewBesideTheTargets(t *testing.T) {
	s := loadDemo(t)
	assert.InDelta(t, 5e-5, fewNotAllowed(s), 1e-18)
	torque := s.Input(TorqueKey).Dist
	for share, told := range map[float64]bool{4.9e-5: false, 5.1e-5: true} {
		s.Tool.Least, s.Tool.Most = torque.Quantile(share), torque.UpperQuantile(share)
		d, verdict := decided(s, &decide.Mission{Worst: decide.Place{Member: -1}, Verdict: sim.Met}, 0.95)
		assert.Equal(t, sim.Met, verdict, "a caution, not a verdict")
		assert.Equal(t, []bool{told, told}, []bool{d.BelowLeast != nil, d.AboveMost != nil}, "%v", share)
	}
	// Above half of it they are too many: with both screws of a card it would be missed, if each were damage.
	assert.InDelta(t, 5e-4, mostNotAllowed(s), 1e-18)
	for _, below := range []bool{true, false} {
		for share, want := range map[float64]sim.Verdict{4.9e-4: sim.Met, 5.1e-4: sim.NotMet} {
			s.Tool.Least, s.Tool.Most = 0, torque.UpperQuantile(share)
			if below {
				s.Tool.Least, s.Tool.Most = torque.Quantile(share), 0
			}
			d, verdict := decided(s, &decide.Mission{Worst: decide.Place{Member: -1}, Verdict: sim.Met}, 0.95)
			assert.Equal(t, want, verdict, "%v", share)
			assert.Equal(t, want == sim.NotMet, d.NotAllowed != "" && d.Helps != "" && d.ByTargets == "met")
		}
	}
	s.Verdict.Accuracy = 0.03
	assert.InDelta(t, 1.5e-5, fewNotAllowed(s), 1e-18)
	for i := range s.Limits {
		s.Limits[i].Target = 0
	}
	s.Verdict.Accuracy = 0
	assert.InDelta(t, 5e-5, fewNotAllowed(s), 1e-18)
	assert.InDelta(t, 5e-4, mostNotAllowed(s), 1e-18, "without a target")
}
