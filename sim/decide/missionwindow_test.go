package decide

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
)

// hotAndTight is a mission with a limit that falls as the setting rises and one that
// rises: "hot" = x + m - setting over 0, "tight" = x + setting over 8, the first worse
// by 0.5 in the second condition. With m ~ N(0, 0.5) not known, the quantile of the
// probability of hot is Φ(0.8224 + 0.5 - setting) there, at 95 %.
func hotAndTight(t testing.TB, setting float64) []Member {
	member := func(name string, hotter float64) Member {
		s := partlyKnown(t, 0.5, 0, 0.01)
		s.Name = name
		s.Model = linear{names: []string{"hot", "tight"}, offset: []float64{hotter - setting, setting}, weight: [][]float64{{1, 1}, {1, 0}}}
		s.Requirements = []sim.Requirement{{Name: "hot", Output: "hot", Target: 0.01}, {Name: "tight", Output: "tight", Limit: 8, Target: 0.001}}
		return Member{Scenario: s}
	}
	return []Member{member("as written", 0), member("hot day", 0.5)}
}

// The true ends: where the quantile of hot, and the probability of tight, are at their
// targets.
var (
	trueLower = 0.5 + 0.5*dist.NormalQuantile(0.95) - dist.NormalQuantile(0.01)
	trueUpper = 8 + dist.NormalQuantile(0.001)
)

func missionAdjust(t testing.TB, seed uint64, low, high float64) *MissionAdjust {
	a := &MissionAdjust{
		Setup: setup(0, seed), Interval: sim.Interval{Low: low, High: high}, Accuracy: 0.02, Step: 0.1,
		Falls: func(requirement string) bool { return requirement == "hot" },
		At:    func(setting float64) ([]Member, error) { return hotAndTight(t, setting), nil },
	}
	a.Judge = func(ctx context.Context, setting float64) (*Mission, error) {
		return a.Mission(ctx, hotAndTight(t, setting))
	}
	return a
}

func missionWindow(t testing.TB, seed uint64, low, high float64) *MissionWindow {
	w, err := missionAdjust(t, seed, low, high).Window(background)
	require.NoError(t, err)
	return w
}

func TestMissionWindowIsThatOfTheWorstConditionEachWay(t *testing.T) {
	if testing.Short() {
		t.Skip("many records; the windows below take the same way")
	}
	for _, from := range [][2]float64{{2, 6}, {0, 12}} { // its middle met, and missed on the other side
		w := missionWindow(t, 1, from[0], from[1])
		require.True(t, w.Available)
		assert.Equal(t, sim.Met, w.Verdict)
		// The interval of the records keeps the ends inside, by less than half a tenth of the probability's logarithm.
		assert.InDelta(t, trueLower, w.Lower.Met, 0.12)
		assert.InDelta(t, trueUpper, w.Upper.Met, 0.12)
		assert.GreaterOrEqual(t, w.Lower.Met, trueLower)
		assert.LessOrEqual(t, w.Upper.Met, trueUpper)
		assert.Equal(t, Place{1, 0}, w.Lower.Place)
		along := w.Lower.Along
		assert.True(t, slices.IsSortedFunc(along, func(a, b Sight) int { return cmp.Compare(a.At, b.At) }))
		assert.True(t, slices.ContainsFunc(along, func(s Sight) bool { return s.At == w.Lower.Met && s.Verdict == sim.Met }))
		assert.True(t, slices.ContainsFunc(along, func(s Sight) bool { return s.At == w.Lower.Beyond && s.Bound.Value == w.Lower.Record.Bound.Value }))
		assert.Equal(t, 1, w.Upper.Place.Requirement)
		for _, c := range w.Checked {
			assert.Equal(t, sim.Met, c.Mission.Verdict, "at %v", c.Setting)
		}
		assert.Len(t, w.Checked, 3)
		assert.InDelta(t, 0, math.Remainder(w.Recommended, 0.1), 1e-9)
	}
}

func TestMissionWindowThatIsNotThere(t *testing.T) {
	w := missionWindow(t, 1, 1, 2.5)
	assert.False(t, w.Available)
	assert.Equal(t, Never, w.Lower.State)
	assert.Equal(t, Place{1, 0}, w.Lower.Place)
	assert.Equal(t, sim.NotMet, w.Verdict, "on average too")
	require.NotNil(t, w.Missed)
	assert.InDelta(t, 1.7, w.Missed.Setting, 1e-9, "the step in the middle: the start lies outside")

	w = missionWindow(t, 1, trueLower-0.5, trueLower-0.05)
	assert.False(t, w.Available)
	assert.Equal(t, sim.Undecided, w.Verdict, "on average it holds")

	w = missionWindow(t, 1, 4.2, 4.6)
	assert.Equal(t, 4.2, w.Lower.Met)
	assert.Equal(t, -1, w.Lower.Place.Member, "nothing sets it: the search ends there")
}

// Open at one end, and with a single step inside: the tolerance is then none, and one setting is
// checked.
func TestMissionWindowOpenAtOneEndAndOfNoWidth(t *testing.T) {
	w := missionWindow(t, 1, 4.2, 6)
	assert.Equal(t, 4.2, w.Lower.Met)
	assert.Equal(t, -1, w.Lower.Place.Member, "nothing sets it")
	assert.Equal(t, 1, w.Upper.Place.Requirement)
	assert.LessOrEqual(t, w.Upper.Met, trueUpper)
	assert.Equal(t, sim.Met, w.Verdict)

	a := missionAdjust(t, 1, 4.2, 6) // an end that is only that of the search is no reason to move
	a.LowSearched, a.Start, a.Allowed.LargestTolerance = true, 4.4, 0.1
	w, err := a.Window(background)
	require.NoError(t, err)
	assert.InDelta(t, 4.4, w.Recommended, 1e-9, "the middle is 4.5")
	assert.InDelta(t, 0.1, w.Tolerance, 1e-9)
	assert.Equal(t, sim.Met, w.Verdict)

	w = missionWindow(t, 1, 4.26, 4.34)
	assert.Equal(t, sim.Met, w.Verdict)
	assert.InDelta(t, 4.3, w.Recommended, 1e-9)
	assert.Zero(t, w.Tolerance)
	assert.Len(t, w.Checked, 1)

	w = missionWindow(t, 1, 4.22, 4.28)
	assert.False(t, w.Available, "no step inside")
	assert.Equal(t, sim.Undecided, w.Verdict)
}

// Where nothing of the window is allowed, the nearest setting that is says what stands in the way; none at all, or only what is known not to
// hold, is no.
func TestTheNearestAllowedSettingAnswersForThem(t *testing.T) {
	for _, one := range []struct {
		allowed     Allowed
		searched    bool
		there, want sim.Verdict
		at          float64
	}{
		{Allowed{Least: 2, Most: 3.04}, false, sim.Undecided, sim.Undecided, 3},
		{Allowed{Least: 2, Most: 3.04}, false, sim.NotMet, sim.NotMet, 3},
		{Allowed{Least: 6.12}, false, sim.NotMet, sim.NotMet, 6.2},
		{Allowed{Least: 3.5, Most: 3}, false, sim.Met, sim.NotMet, 0},
		{Allowed{Least: 9}, false, sim.Met, sim.NotMet, 0},
		{Allowed{Least: 9}, true, sim.Met, sim.Undecided, 0},
	} {
		a := &MissionAdjust{Interval: sim.Interval{Low: 1, High: 8}, Step: 0.1, Allowed: one.allowed, HighSearched: one.searched}
		a.Judge = func(context.Context, float64) (*Mission, error) { return &Mission{Verdict: one.there}, nil }
		w := &MissionWindow{Verdict: sim.Undecided, Lower: Reached{Met: 4}, Upper: Reached{Met: 6}}
		_, _, w.Available, w.Bounds = a.Allowed.within(4, 6, a.Step, math.NaN())
		assert.Equal(t, []bool{false, true}, []bool{w.Available, w.Bounds.Disjoint})
		require.NoError(t, a.nearestAllowed(background, w))
		assert.Equal(t, one.want, w.Verdict, "%v", one)
		if one.at > 0 {
			require.NotNil(t, w.Missed)
			assert.InDelta(t, one.at, w.Missed.Setting, 1e-9)
		}
	}
}

// The search starts where it is told to, if that lies inside, and else in the middle.
func TestMissionWindowStartsWhereItIsTold(t *testing.T) {
	for start, want := range map[float64]float64{3.37: 3.37, 9: 4, 0: 4} {
		a := missionAdjust(t, 1, 2, 6)
		a.Start = start
		stop := errors.New("enough")
		var first float64
		a.Judge = func(_ context.Context, setting float64) (*Mission, error) {
			first = setting
			return nil, stop
		}
		_, err := a.Window(background)
		assert.ErrorIs(t, err, stop)
		assert.InDelta(t, want, first, 1e-12, "start %v", start)
	}
}
