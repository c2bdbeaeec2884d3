package main

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports"
	"clampodds/sim/rare"
)

// tailOf runs tail and reads its JSON.
func tailOf(t *testing.T, args ...string) (reports.Tail, int) {
	t.Helper()
	got := invoke(append([]string{"tail", "--quiet", "--format", "json"}, args...)...)
	var r reports.Tail
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &r), got.stderr)
	return r, got.code
}

func TestTailFindsTheMostLikelyWay(t *testing.T) {
	r, code := tailOf(t, demo, "--at", "90 degC")
	assert.Equal(t, exitDone, code)
	assert.True(t, r.Established, r.Reason)
	assert.Equal(t, "met", r.Decision.Verdict)
	assert.LessOrEqual(t, r.Evaluations, 20000)
	assert.LessOrEqual(t, r.Probability.StandardError, 0.11*r.Probability.Value) // aimed at 0.1 from a pilot: of 180 runs of a plane none was above
	require.NotEmpty(t, r.Ways)
	way, sum, sets := r.Ways[0], 0.0, map[int]bool{}
	assert.Contains(t, way.Event, "edge")
	inputs := map[string]reports.TailInput{}
	for _, in := range way.Inputs {
		inputs[in.Input+"/"+in.Instance] = in
		if !sets[in.Set] {
			sum += in.Importance
			sets[in.Set] = in.Set > 0
		}
	}
	assert.InDelta(t, 1, sum, 1e-9, "shares of one whole")
	wall := inputs["wall.temperature/"]
	assert.Greater(t, wall.Value, wall.Median, "the wall is hotter than usual")
	assert.InDelta(t, (wall.Value-wall.Median)/wall.StdDev, wall.Score, 1e-9, "a normal input")
	factor := inputs["contact.factor/"]
	assert.Less(t, factor.Value, factor.Median, "the contact is worse than thought")
	assert.InDelta(t, math.Log(factor.Value)/0.35, factor.Score, 1e-9, "lognormal of median 1")
	assert.Equal(t, inputs["screw.head_friction/"].Importance, inputs["screw.thread_friction/"].Importance, "one set")
	assert.Greater(t, inputs["screw.head_friction/"].Score, 0.0)
}

func TestTailReadsWell(t *testing.T) {
	got := invoke("tail", frozen, "--at", "90 degC", "--quiet")
	for _, want := range []string{"ESTABLISHED: hottest spot of the edges above 90 °C", "A second search came by itself to the ways of", "second search", "MET: hottest spot of the edges above 90 °C", "no way to it within 9 sd", "others", "* correlated inputs"} {
		assert.Contains(t, got.stdout, want)
	}
	for _, line := range strings.Split(got.stdout, "\n") {
		assert.LessOrEqual(t, len([]rune(line)), 100, line)
	}
}

func TestTailIsTheSameForAnyNumberOfWorkers(t *testing.T) {
	long(t)
	path := shortClamp(t, frozen, "")
	args := func(workers, seed string) []string {
		return []string{"tail", path, "--at", "100 degC", "--workers", workers, "--seed", seed, "--quiet", "--format", "json"}
	}
	first := invoke(args("1", "0")...)
	require.Equal(t, exitDone, first.code, first.stderr)
	for _, workers := range []string{"2", "7"} {
		assert.Equal(t, first, invoke(args(workers, "0")...))
	}
	assert.NotEqual(t, first.stdout, invoke(args("1", "1")...).stdout)
}

func TestTailOfLimitsThatAreNotRare(t *testing.T) {
	long(t)
	never, code := tailOf(t, frozen, "--at", "300 degC")
	assert.Equal(t, exitDone, code, "the bound is below the target")
	assert.Zero(t, never.Probability.Value)
	assert.EqualValues(t, "never-exceeded", never.Warnings[len(never.Warnings)-1].Code)
	always, code := tailOf(t, frozen, "--at", "20 degC")
	assert.Equal(t, exitNotMet, code)
	assert.Equal(t, 1.0, always.Probability.Value)
	assert.EqualValues(t, "not-rare", always.Warnings[len(always.Warnings)-1].Code)
}

func TestTailOfCardsThatDoNotFit(t *testing.T) {
	long(t)
	narrow := changed(t, `slot]
width = { shape = "uniform", low = "11.55 mm", high = "11.65 mm"`, `slot]
width = { shape = "normal", mean = "11.60 mm", sd = "0.15 mm"`)
	r, _ := tailOf(t, narrow, "--at", "100 degC")
	require.Equal(t, "fit.travel", r.Events[1].Name)
	assert.Equal(t, reports.Label("event.no_travel"), r.Ways[0].Event, "half a millimetre of travel to spare, 3.3 standard deviations of the slot")
	counted := invoke("run", narrow, "--samples", "100000", "--no-conditions", "--no-knowledge", "--quiet", "--format", "json")
	var plain reports.Run
	require.NoError(t, json.Unmarshal([]byte(counted.stdout), &plain))
	for _, m := range plain.Misfits {
		if m.Name == "event.no_travel" {
			// Two intervals of 95 % fail to overlap in fewer than 1 of 100.
			assert.LessOrEqual(t, m.PerCard.Low, r.Events[1].Probability.High)
			assert.GreaterOrEqual(t, m.PerCard.High, r.Events[1].Probability.Low)
			assert.Greater(t, m.PerCard.Count, int64(30))
		}
	}
}

func TestTailRefusesWhatItCannotDo(t *testing.T) {
	text, err := os.ReadFile(demo)
	require.NoError(t, err)
	noLimit := write(t, "no_limit.toml", strings.ReplaceAll(string(text), `limit = { max`, `# limit = { max`)[:strings.Index(string(text), "# ------------------------------------------------ what is asked")])
	for want, args := range map[string][]string{
		"sets no limit":                 {noLimit},
		`sets no limit "cpu"; it sets`:  {demo, "--limit", "cpu"},
		"the unit is missing":           {demo, "--at", "95"},
		"is no unit of temperature":     {demo, "--at", "5 N*m"},
		"above -70 degC":                {demo, "--at", "92K"},
		"--evaluations is 100, must be": {demo, "--evaluations", "100"},
		"--relative-error is 2, must":   {demo, "--relative-error", "2"},
		"workers: -1":                   {demo, "--workers", "-1"},
		"nowhere.toml":                  {"nowhere.toml"},
	} {
		got := invoke(append([]string{"tail", "--quiet"}, args...)...)
		assert.Equal(t, exitUsage, got.code, want)
		assert.Empty(t, got.stdout)
		assert.Contains(t, got.stderr, want)
	}
}

// Few evaluations are accepted, but a search that they cut short establishes nothing.
func TestTailOfFewEvaluations(t *testing.T) {
	r, code := tailOf(t, demo, "--at", "95 degC", "--evaluations", "3000")
	assert.Equal(t, exitDone, code, "the cards show that the target is met")
	assert.False(t, r.Established)
	assert.LessOrEqual(t, r.Evaluations, 3000)
	assert.Equal(t, rare.Envelope, r.Probability.Method)
	assert.Less(t, r.Probability.Low, r.Probability.High)
	assert.LessOrEqual(t, r.Probability.Value, r.Probability.High, "the first-order approximation has no interval")
	assert.NotEmpty(t, r.Reason)
}

func TestTailSaysWhatIsNotEstablished(t *testing.T) {
	r := reports.Tail{
		Label: "edge", Agreement: "not established", Reason: "the search was cut short",
		Probability: rare.Probability{Value: 1e-5, Interval: reports.Interval{Low: 1e-7, High: 1e-4}, Level: 0.95}, Shown: reports.Unit{Of: func(si float64) float64 { return si }},
	}
	var out strings.Builder
	require.NoError(t, reports.Terminal{Width: 100}.Write(&out, r.Document()))
	assert.Contains(t, out.String(), "NOT ESTABLISHED: edge above 0, as written: 1.0e-7 … 1.00e-4 per card is the range")
	assert.Contains(t, out.String(), "The search was cut short. More --evaluations may establish it. The study sets no target.")
}
