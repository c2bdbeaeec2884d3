package decide

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"clampodds/dist"
	"clampodds/sim"
	_ "clampodds/testdata/fixedseed"
	_ "clampodds/testdata/roomyheap"
)

// joint is a joint whose temperature falls and whose stress rises with the
// torque a, the setting; the tool scatters by 0.03. Temperature is offset - cooling
// a + 2 b, stress 0.8 a + 0.05 c.
type joint struct{ offset, cooling, targetHot, targetStress float64 }

func (j joint) at(t testing.TB) func(float64) (sim.Scenario, error) {
	model := linear{
		names: []string{"temperature", "stress"}, offset: []float64{j.offset, 0},
		weight: [][]float64{{-j.cooling, 2, 0}, {0.8, 0, 0.05}},
	}
	return func(setting float64) (sim.Scenario, error) {
		return sim.Scenario{
			Inputs: normals(t, setting, 0.03, 0, 1, 0, 1), Model: model,
			Requirements: []sim.Requirement{
				{Name: "hot", Output: "temperature", Limit: 85, Target: j.targetHot},
				{Name: "stress", Output: "stress", Limit: 1, Target: j.targetStress},
				{Name: "no target", Output: "stress", Limit: 0.1},
			},
		}, nil
	}
}

// ends are the ends of the window in closed form.
func (j joint) ends() (low, high float64) {
	hot, stress := math.Hypot(j.cooling*0.03, 2), math.Hypot(0.8*0.03, 0.05)
	return (j.offset - 85 + score(j.targetHot)*hot) / j.cooling, (1 - score(j.targetStress)*stress) / 0.8
}

func (j joint) adjust(t testing.TB, seed uint64) *Adjust {
	return &Adjust{Setup: setup(0, seed), At: j.at(t), From: 0.3, To: 2.4, Now: 0.8}
}

func window(t testing.TB, a *Adjust) *Window {
	w, err := a.Window(background)
	require.NoError(t, err)
	return w
}

// The stated intervals of both ends cover the closed form, by rows about the limit and by the
// tail methods, whichever the target takes. 3 x 2 x 10 intervals of 95 %: 3
// misses expected, 10 allowed, a false alarm of 3e-4 were it 95 % itself.
func TestWindowHasItsClosedForm(t *testing.T) {
	if testing.Short() {
		t.Skip("many repetitions")
	}
	misses := 0
	for _, j := range []joint{{120, 60, 2e-3, 1e-3}, {120, 60, 1e-6, 1e-3}, {120, 60, 2e-3, 1e-6}} {
		low, high := j.ends()
		for seed := range uint64(10) {
			w := window(t, j.adjust(t, seed))
			require.Equal(t, sim.Met, w.Answer, "%+v seed %d", j, seed)
			assert.Equal(t, "hot", w.Lower.Requirement)
			assert.Equal(t, "stress", w.Upper.Requirement)
			for _, e := range []struct {
				End
				exact float64
			}{{w.Lower.End, low}, {w.Upper.End, high}} {
				if !(e.Low <= e.exact && e.exact <= e.High) {
					misses++
				}
				assert.InDelta(t, e.exact, e.Setting, 0.02, "%+v seed %d: about three standard errors", j, seed)
				assert.Less(t, e.High-e.Low, 0.04)
			}
		}
	}
	t.Log("misses", misses, "of 60")
	assert.LessOrEqual(t, misses, 10)
}

func TestWindowSaysWhatToDo(t *testing.T) {
	j := joint{120, 60, 2e-3, 1e-3}
	a := j.adjust(t, 1)
	w := window(t, a)
	assert.Equal(t, w.Lower.High, w.Lower.Safe)
	assert.Equal(t, w.Upper.Low, w.Upper.Safe)
	assert.Equal(t, sim.Interval{Low: w.Lower.Low, High: w.Upper.High}, w.May(a.From, a.To))
	require.Len(t, w.Curves, 2, "one requirement has no target")
	// All points of a curve about its end rest on the same rows: it is monotone.
	for i, c := range w.Curves {
		var last, n float64
		for _, p := range c.Points {
			if p.sharp {
				n++
				if i == 0 && last > 0 {
					assert.LessOrEqual(t, p.Value, last, c.Requirement.Name)
				} else if i == 1 {
					assert.GreaterOrEqual(t, p.Value, last, c.Requirement.Name)
				}
				last = p.Value
			}
		}
		assert.GreaterOrEqual(t, n, 2.0, "on either side of the end")
	}
}

// Halving a spread moves an end as the closed form says.
func TestWidening(t *testing.T) {
	j := joint{120, 60, 2e-3, 1e-3}
	w := window(t, j.adjust(t, 1))
	require.NotEmpty(t, w.Widening)
	type end struct {
		upper bool
		input string
	}
	shift := map[end]float64{}
	for _, x := range w.Widening {
		shift[end{x.Upper, x.Input}] = x.Shift
	}
	hot, stress := math.Hypot(60*0.03, 2), math.Hypot(0.8*0.03, 0.05)
	// A tenth of standard error of each probability is about 0.03 of a score.
	assert.InDelta(t, score(2e-3)*(hot-math.Hypot(60*0.03, 1))/60, shift[end{false, "b"}], 0.1*hot/60)
	assert.InDelta(t, score(2e-3)*(hot-math.Hypot(60*0.015, 2))/60, shift[end{false, "a"}], 0.1*hot/60)
	assert.InDelta(t, score(1e-3)*(stress-math.Hypot(0.8*0.03, 0.025))/0.8, shift[end{true, "c"}], 0.1*stress/0.8)
	assert.Equal(t, "b", w.Widening[0].Input, "the largest share first")
	assert.InDelta(t, 4/(hot*hot), w.Widening[0].Share, 1e-6)
}

// An end that was found in another way moves to where the probability is what it was there.
func TestWideningOfAnEndFoundElsewhere(t *testing.T) {
	j := joint{120, 60, 2e-3, 1e-3}
	low, high := j.ends()
	hot, stress := math.Hypot(60*0.03, 2), math.Hypot(0.8*0.03, 0.05)
	for _, c := range []struct {
		requirement, input string
		upper              bool
		at                 float64
	}{{"hot", "b", false, low + 0.02}, {"stress", "c", true, high - 0.01}} {
		found, err := j.adjust(t, 1).WidenAt(background, c.requirement, c.at, c.upper)
		require.NoError(t, err)
		at := slices.IndexFunc(found, func(w Widening) bool { return w.Input == c.input })
		require.GreaterOrEqual(t, at, 0)
		// The margin at the end, in units of the output, over its spread is the score, which half the spread keeps at another setting.
		margin, now, then, per := 85-120+60*c.at, hot, math.Hypot(60*0.03, 1), 60.0
		if c.upper {
			margin, now, then, per = 1-0.8*c.at, stress, math.Hypot(0.8*0.03, 0.025), 0.8
		}
		want := margin * (1 - then/now) / per
		assert.InDelta(t, want, found[at].Shift, 0.1*now/per, "a tenth of a standard error of the score, as in TestWidening")
		assert.Greater(t, found[at].Shift, 0.5*want)
		assert.Equal(t, c.upper, found[at].Upper)
	}
	_, err := j.adjust(t, 1).WidenAt(background, "none", low, false)
	assert.ErrorContains(t, err, "there is none")
}

// Where the ends collide, the answer says by how much.
func TestEmptyWindow(t *testing.T) {
	j := joint{120, 40.25, 2e-3, 1e-3}
	low, high := j.ends()
	w := window(t, j.adjust(t, 1))
	require.Greater(t, low, high)
	assert.Equal(t, sim.Undecided, w.Answer, "the gap of %v is within the intervals", low-high)

	j = joint{120, 35, 1e-3, 1e-3}
	low, high = j.ends()
	w = window(t, j.adjust(t, 1))
	assert.Equal(t, sim.NotMet, w.Answer)
	assert.Equal(t, "hot", w.Lower.Requirement)
	assert.Equal(t, "stress", w.Upper.Requirement)
	assert.InDelta(t, low-high, w.Lower.Setting-w.Upper.Setting, 0.04, "by which the ends overlap")
}

// A requirement that the setting does not help is told apart from one that needs
// more than the search allows.
func TestMoreDoesNotHelp(t *testing.T) {
	j := joint{80, 0.2, 1e-3, 0.5}
	a := j.adjust(t, 1)
	w := window(t, a)
	assert.Equal(t, sim.NotMet, w.Answer)
	require.Len(t, w.Never, 1)
	assert.Equal(t, "hot", w.Never[0].Requirement)
	assert.True(t, w.Never[0].Flat)
	assert.Equal(t, "b", w.Never[0].Inputs[0].Input)
	assert.Empty(t, w.Widening)

	j = joint{120, 14, 1e-3, 0.5}
	w = window(t, j.adjust(t, 1))
	require.Len(t, w.Never, 1)
	assert.False(t, w.Never[0].Flat, "still falling at the end of the search")
	assert.Equal(t, 2.4, w.Never[0].Best.Setting)
}

// Without a requirement on one side the window reaches to the end of the search.
func TestOpenWindow(t *testing.T) {
	j := joint{120, 300, 2e-3, 1e-3}
	w := window(t, j.adjust(t, 1))
	assert.Empty(t, w.Lower.Requirement)
	assert.Equal(t, 0.3, w.Lower.Safe)
	assert.Equal(t, sim.Met, w.Answer)
}

// counted is a scenario by plain rows.
func counted(t testing.TB, setup Setup, s sim.Scenario) sim.ScenarioResult {
	run := setup.Run
	run.Scenarios = []sim.Scenario{s}
	found, err := run.Execute(background)
	require.NoError(t, err)
	return found.Scenarios[0]
}

// A requirement that the few cards of the grid leave open at the end of the search is shown by rows about it:
// 7e-4 there, which is some 3 of 4096 cards, beside a target of 2e-3.
func TestWindowShowsWhatTheGridLeavesOpen(t *testing.T) {
	j := joint{94.45, 60, 2e-3, 1e-3}
	w := window(t, j.adjust(t, 1))
	assert.Empty(t, w.Lower.Requirement)
	assert.Equal(t, sim.Met, w.Answer)
	first := w.Curves[0].Points[0]
	assert.Equal(t, 0.3, first.Setting)
	assert.True(t, first.sharp)
	p := dist.NormalSurvival((85 - 94.45 + 60*0.3) / math.Hypot(60*0.03, 2)) // 7.4e-4
	assert.LessOrEqual(t, first.Low, p)
	assert.GreaterOrEqual(t, first.High, p)
	assert.LessOrEqual(t, first.High, 2e-3)
}

// A requirement that is never in reach is shown by a stricter limit.
func TestStricterLimitShows(t *testing.T) {
	s := shifted(t, "s", 0, 0, 20, 1e-5)
	setup := setup(10_000, 1)
	drawn := counted(t, setup, s)
	plain, err := setup.tail(s, s.Requirements[0], 0.95)
	require.NoError(t, err)
	assert.Greater(t, plain.High, 1e-5, "what crude draws support")
	shown, err := setup.show(s, drawn, s.Requirements[0], 1e-5, 0.95)
	require.NoError(t, err)
	assert.Zero(t, shown.Value)
	assert.LessOrEqual(t, shown.High, 1e-5)
	assert.Equal(t, StricterLimit, shown.Warnings[len(shown.Warnings)-1].Code)
	// Where the limit is in reach, it is the limit's own probability.
	near := s.Requirements[0]
	near.Limit = 4
	shown, err = setup.show(s, drawn, near, 1e-5, 0.95)
	require.NoError(t, err)
	assert.Greater(t, shown.Low, 1e-5)
}

func TestWrongAdjust(t *testing.T) {
	j := joint{120, 60, 0, 0}
	a := j.adjust(t, 1)
	_, err := a.Window(background)
	assert.ErrorContains(t, err, "no requirement has a target")
	for _, now := range []float64{0.3, 3, math.NaN()} {
		a.Now = now
		_, err = a.Window(background)
		assert.ErrorContains(t, err, "must lie between")
	}
	wrong := errors.New("wrong")
	a = joint{120, 60, 1e-3, 1e-3}.adjust(t, 1)
	a.At = func(float64) (sim.Scenario, error) { return sim.Scenario{}, wrong }
	_, err = a.Window(background)
	assert.ErrorIs(t, err, wrong)
	ctx, cancel := context.WithCancel(background)
	cancel()
	_, err = joint{120, 60, 1e-3, 1e-3}.adjust(t, 1).Window(ctx)
	assert.ErrorIs(t, err, ErrStopped)
}

func TestWindowIsTheSameForAnyNumberOfWorkers(t *testing.T) {
	j := joint{120, 60, 1e-6, 1e-3}
	a := j.adjust(t, 5)
	a.Run.Workers = 1
	want := window(t, a)
	for _, workers := range []int{2, 7} {
		a.Run.Workers = workers
		got := window(t, a)
		assert.Equal(t, want, got)
	}
}

// The recommendation stays inside, whatever the window, and could not be wider.
func TestRecommend(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(0.01, 10).Draw(t, "low")
		high := low + rapid.Float64Range(0, 5).Draw(t, "width")
		step := rapid.SampledFrom([]float64{0.01, 0.05, 0.1, 0.25}).Draw(t, "step")
		at, tolerance, ok := Widest(low, high, step)
		if !ok {
			assert.Less(t, high-low, step)
			return
		}
		assert.GreaterOrEqual(t, at-tolerance, low-1e-8)
		assert.LessOrEqual(t, at+tolerance, high+1e-8)
		assert.InDelta(t, math.Round(at/step)*step, at, 1e-9)
		assert.False(t, at-tolerance-step >= low && at+tolerance+step <= high)
	})
}

// What is allowed cuts the window, and is told apart from its ends.
func TestRecommendationKeepsToWhatIsAllowed(t *testing.T) {
	for _, c := range []struct {
		Allowed
		setting, tolerance float64
		ok                 bool
		Bounds
	}{
		{Allowed{}, 0.7, 0.3, true, Bounds{Room: 0.3}},
		{Allowed{Least: 0.3, Most: 1.2}, 0.7, 0.3, true, Bounds{Room: 0.3}},
		{Allowed{Most: 0.8}, 0.6, 0.2, true, Bounds{MostBinds: true, Room: 0.2}},
		{Allowed{Least: 0.6}, 0.8, 0.2, true, Bounds{LeastBinds: true, Room: 0.2}},
		{Allowed{Margin: 0.1}, 0.7, 0.2, true, Bounds{Room: 0.2}},
		{Allowed{LargestTolerance: 0.16}, 0.7, 0.15, true, Bounds{ToleranceBinds: true, Room: 0.3}},
		{Allowed{LargestTolerance: 0.01}, 0.7, 0, true, Bounds{ToleranceBinds: true, Room: 0.3}}, // of no width: less than a step
		{Allowed{ToleranceShare: 0.25}, 0.7, 0.15, true, Bounds{ToleranceBinds: true, Room: 0.3}},
		{Allowed{ToleranceShare: 0.01}, 0.7, 0.05, true, Bounds{ToleranceBinds: true, Room: 0.3}}, // a step at least
		{Allowed{ToleranceShare: 0.5}, 0.7, 0.3, true, Bounds{Room: 0.3}},
		{Allowed{Most: 0.35}, 0, 0, false, Bounds{MostBinds: true, Disjoint: true}},
		{Allowed{Least: 1.1}, 0, 0, false, Bounds{LeastBinds: true, Disjoint: true}},
		{Allowed{Margin: 0.4}, 0, 0, false, Bounds{}},
	} {
		setting, tolerance, ok, bounds := c.Allowed.within(0.4, 1, 0.05, math.NaN())
		assert.InDelta(t, c.setting, setting, 1e-9, c.Allowed)
		assert.InDelta(t, c.tolerance, tolerance, 1e-9, c.Allowed)
		assert.Equal(t, c.ok, ok, c.Allowed)
		assert.InDelta(t, c.Room, bounds.Room, 1e-9, c.Allowed)
		bounds.Room = c.Room
		assert.Equal(t, c.Bounds, bounds, c.Allowed)
	}
}

// Near a setting: there, or as near as the tolerance fits inside.
func TestRecommendedNearASetting(t *testing.T) {
	for _, c := range []struct {
		Allowed
		near, setting, tolerance float64
	}{
		{Allowed{ToleranceShare: 0.1}, 0.80, 0.80, 0.05},
		{Allowed{ToleranceShare: 0.1}, 0.98, 0.95, 0.05},
		{Allowed{ToleranceShare: 0.1}, 0.2, 0.45, 0.05},
		{Allowed{LargestTolerance: 0.2}, 0.9, 0.80, 0.2},
		{Allowed{}, 0.9, 0.7, 0.3}, // all there is: the middle
	} {
		setting, tolerance, ok, bounds := c.Allowed.within(0.4, 1, 0.05, c.near)
		assert.True(t, ok)
		assert.InDelta(t, c.setting, setting, 1e-9, c)
		assert.InDelta(t, c.tolerance, tolerance, 1e-9, c)
		assert.InDelta(t, min(setting-0.4, 1-setting), bounds.Room, 1e-9, c)
	}
}

// Bounds are carried along the curve from the side where they are known.
func TestLocate(t *testing.T) {
	point := func(setting, low, value, high float64) Point {
		return Point{Setting: setting, Estimate: sim.Estimate{Value: value, Interval: sim.Interval{Low: low, High: high}}, sharp: true, guess: math.Inf(1)}
	}
	points := []Point{point(1, 1e-2, 2e-2, 4e-2), point(2, 1e-4, 2e-4, 4e-4)}
	e := locate(points, score(2e-3))
	assert.True(t, 1 < e.Low && e.Low < e.Setting && e.Setting < e.High && e.High < 2, "%+v", e)
	line := score(2e-2) + e.Slope*(e.Setting-1)
	assert.InDelta(t, score(2e-3), line, 1e-12)
	// A wide interval further on does not undo what is known before it.
	wide := point(2.5, 0, 1e-5, 0.5)
	wide.sharp = false
	assert.Equal(t, e, locate(append(points, wide), score(2e-3)))
	// A blunt point between sharp ones is left out.
	wide.Setting = 1.5
	assert.Equal(t, e, locate([]Point{points[0], wide, points[1]}, score(2e-3)))
	assert.Equal(t, unbounded.High, locate(points[1:], score(2e-3)).High)
	assert.True(t, math.IsInf(locate(points[:1], score(2e-3)).Low, 1))
	// From "everything possible" a bound holds at the next point only.
	e = locate([]Point{point(1, 0, 0.1, 1), point(2, 0, 0, 1e-4)}, score(2e-3))
	assert.Equal(t, 2.0, e.High)
	assert.True(t, math.IsInf(e.Low, -1))
}

// The main body of a normal and of a lognormal output extrapolates to its tail.
func TestBulk(t *testing.T) {
	below := sim.Requirement{Output: "y", Limit: -6, Below: true}
	above := sim.Requirement{Output: "y", Limit: 6}
	found := counted(t, setup(200_000, 1), shifted(t, "s", 0, 0, 6, 0))
	for _, q := range []sim.Requirement{below, above} {
		b := guessNormal(found.Quantities[0], q)
		assert.InDelta(t, 6, b.score(q.Limit), 0.3, "P99.9 of 200 000 is known to 2 %")
		assert.InDelta(t, q.Limit, b.at(b.score(q.Limit)), 1e-9)
	}
}
