package question

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
	"clampodds/sim/decide"
	"clampodds/sim/loosen"
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

// A condition may have a torque of its own: where it is judged that is held to the clamp maker's limits as the study's is, and as
// what the tool takes beyond is said of the worst of them.
func TestTorqueOfAConditionIsHeldToTheMakersLimits(t *testing.T) {
	for stated, want := range map[string]string{
		`{ shape = "normal", nominal = "0.70 N*m", plus_minus = "20 %", coverage = 0.95 }`: `in the condition "retorqued" 8.1 % of the screws get more than the clamp maker's most, 0.8 N·m`,
		`{ shape = "normal", nominal = "0.85 N*m", plus_minus = "1 %", coverage = 0.95 }`:  `in the condition "retorqued" the screw's torque of 0.85 N·m is more than the clamp maker allows`,
	} {
		s, err := study.Parse("s.toml", []byte("extends = \"../../../../testdata/frozen/two-face.toml\"\ntorque.most = \"0.8 N*m\"\n"+
			"condition = [{ name = \"retorqued\", replace = { \"screw.torque\" = "+stated+" } }]\n"), os.ReadFile)
		require.NoError(t, err)
		judged := &decide.Mission{Worst: decide.Place{Member: -1}, Verdict: sim.Met, Members: []decide.Member{{Scenario: sim.Scenario{Name: AsWritten}}}}
		_, verdict := decided(s, judged, 0.95)
		assert.Equal(t, sim.Met, verdict, "it is not judged")
		judged.Members = append(judged.Members, decide.Member{Scenario: sim.Scenario{Name: "retorqued"}})
		d, verdict := decided(s, judged, 0.95)
		assert.Equal(t, sim.NotMet, verdict)
		assert.Contains(t, d.NotAllowed, want)
		asked := &torque{study: s, Adjust: decide.Adjust{From: 0.3, Now: 0.7, To: 1.5}}
		most := asked.mostSetting()
		assert.LessOrEqual(t, asked.above()(most), mostNotAllowed(s), "as printed")
		assert.Greater(t, asked.above()(most+0.001), mostNotAllowed(s), "and not at the next that can be printed")
	}
}

// The mean of the torque, 0.70 N·m, is met by the targets from 0.60 to 0.80: what the maker allows cuts that, on one side of the mean or both.
func TestEndsOfTheTorqueAreAllowed(t *testing.T) {
	s := loadDemo(t)
	one, err := Scenario(s, AsWritten)
	require.NoError(t, err)
	m, err := loosen.ShiftMean(one.Inputs, TorqueKey)
	require.NoError(t, err)
	lower, upper := decide.Reached{State: decide.Found, Met: -0.1}, decide.Reached{State: decide.Found, Met: 0.1}
	// The scatter is cut at the audit limits, which move with the mean: at most 0.10 N·m either way.
	for most, want := range map[float64]float64{0.84: 0.04, 0.70: -0.10} {
		s.Tool.Most = most
		many := mostNotAllowed(s)
		e, stop := keptAllowed(s, m, sim.Met, upper, lower)
		assert.Equal(t, mostKey, stop)
		assert.Equal(t, decide.Found, e.State)
		d, err := m.Distribution(s.Input(TorqueKey).Dist, e.Met)
		require.NoError(t, err)
		assert.LessOrEqual(t, d.Survival(most), many)
		assert.Greater(t, e.Met, want, "the cut keeps all below")
		assert.Less(t, e.Met, want+0.04, "three standard deviations and a half of 0.0214 are 0.075 of the cut's 0.10")
		beyond, err := m.Distribution(s.Input(TorqueKey).Dist, e.Met+m.Finest)
		require.NoError(t, err)
		assert.Greater(t, beyond.Survival(most), many)
	}
	s.Tool.Most = 0.55
	e, _ := keptAllowed(s, m, sim.Met, upper, lower)
	assert.Equal(t, decide.Never, e.State)
}
