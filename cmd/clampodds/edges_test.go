package main

import (
	"encoding/json"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/reports"
)

// over is a study that extends the frozen one, without its conditions.
func over(t *testing.T, text string) string {
	t.Helper()
	return write(t, "over.toml", "extends = '"+absolute(t, frozen)+"'\ncondition = []\ncost = []\n"+text)
}

// absolute is a study's file from anywhere.
func absolute(t *testing.T, name string) string {
	t.Helper()
	path, err := filepath.Abs(name)
	require.NoError(t, err)
	return filepath.ToSlash(path)
}

// slack is a study in which the running torque is over the torque with the
// probability of a standard normal variable above score, edge by edge.
func slack(t *testing.T, score float64, more string) string {
	return over(t, `screw.torque = "0.7 N*m"
screw.prevailing_torque = { shape = "normal", mean = "0.5 N*m", sd = "`+reports.Plain(0.2/score)+` N*m", low = "0 N*m" }
limits.spot = { max = "400 degC", target = 0.5 }
`+more)
}

// eitherEdge is the probability that one of two edges is above a score.
func eitherEdge(score float64) float64 { p := dist.NormalSurvival(score); return p * (2 - p) }

// Cards without a screw force are counted as such, exceed every temperature limit and
// hold nothing, in vacuum too, where they had a temperature of their own once.
func TestCardsNotClampedAreCounted(t *testing.T) {
	const score, cards = 1.0, 3000
	r, _ := ranJSON(t, slack(t, score, "gas.kind = \"vacuum\"\n"), "--samples", "3000", "--no-knowledge")
	want := eitherEdge(score)
	// Four standard errors; cards are drawn each for itself here but for their lots:
	// false alarm below 1e-4.
	within := 4 * math.Sqrt(want*(1-want)/cards)
	seen := false
	for _, m := range r.Misfits {
		if m.Name == "event.unclamped" {
			assert.InDelta(t, want, m.PerCard.Value, within)
			seen = true
			for _, q := range r.Requirements {
				switch {
				case q.Name == "spot": // no clamped card comes near 400 °C
					assert.LessOrEqual(t, q.PerCard.Low, want, q.Name)
					assert.GreaterOrEqual(t, q.PerCard.High, want, q.Name)
				case q.Unit == "K" || q.Name == "holding":
					assert.GreaterOrEqual(t, q.PerCard.High, want, q.Name)
				}
			}
		}
	}
	assert.True(t, seen)
	for _, q := range r.Temperatures {
		assert.Less(t, q.Percentiles[2].Value, 400.0, "the median is of cards that are clamped: %s", q.Name)
	}
}

// The same far out, in closed form.
func TestTailOfCardsNotClamped(t *testing.T) {
	long(t)
	const score = 4.0
	r, _ := tailOf(t, slack(t, score, ""))
	want := eitherEdge(score)
	// An interval of 95 %; the factor of 1.1 allows for its misses by a little.
	assert.LessOrEqual(t, r.Probability.Low, 1.1*want)
	assert.GreaterOrEqual(t, r.Probability.High, want/1.1)
	assert.Equal(t, reports.Label("event.unclamped"), r.Ways[0].Event)
}

// The cause comes first, in words and in JSON, for each way not to be clamped.
func TestNominalSaysWhyItIsNotClamped(t *testing.T) {
	for text, cause := range map[string]string{
		"screw.prevailing_torque = \"0.7 N*m\"":                   "left edge: no force on the flange: the torque only turns the screw in its locking thread; right edge",
		"screw.preload_loss = 1":                                  "the screw has lost all of its",
		"friction.ramp = { left = 0.14, right = 1.2 }":            "right edge: no force on the flange: the ramps stick",
		"slot.width.right = \"10.9 mm\"":                          "right edge: the card does not go in: flange and retracted clamp are 0.1 mm thicker",
		"slot.width.left = \"12.9 mm\"\nscrew.torque = \"0 N*m\"": "left edge: the clamp runs out of travel: it would have to expand by 1.9 mm and can by 1.1 mm",
	} {
		path := over(t, text+"\n")
		got := invoke("nominal", path, "--quiet")
		assert.Equal(t, exitNotMet, got.code, got.stderr)
		words := strings.Join(strings.Fields(got.stdout), " ")
		first, _, _ := strings.Cut(words, "Limits at nominal values")
		assert.Contains(t, first, "NOT CLAMPED at nominal values")
		assert.Contains(t, first, cause)
		assert.NotContains(t, first, "Inf")
		var n reports.Nominal
		require.NoError(t, json.Unmarshal([]byte(invoke("nominal", path, "--quiet", "--format", "json").stdout), &n))
		assert.NotEmpty(t, n.NotClamped, text)
	}
}

// A slip that makes a card red-hot comes first, whatever its limits are, and unlike edges are both shown.
func TestNominalSaysWhatIsImplausible(t *testing.T) {
	got := invoke("nominal", over(t, "card.power = \"4 kW\"\nfriction.wall.right = 0.2\nfriction.wall.left = 0.1\n"), "--quiet")
	words := strings.Join(strings.Fields(got.stdout), " ")
	first, rest, _ := strings.Cut(words, "Limits at nominal values")
	assert.Regexp(t, `hottest spot of the edges is at \d{3} °C; in practice its limit is 125 °C at most`, first)
	assert.Contains(t, first, "The model is for joints up to 227 °C")
	assert.Regexp(t, `correlator is at \d+ °C; in practice its limit is 200 °C`, first)
	assert.Contains(t, rest, "Contact faces, right edge")
	alike := invoke("nominal", demo, "--quiet").stdout
	assert.NotContains(t, alike, "LOOK FIRST")
	assert.NotContains(t, alike, "right edge")
	assert.Equal(t, 1, strings.Count(alike, "Contact faces, either edge"))
}

// Commands take a study with unlike edges; those that look for one torque say so.
func TestUnlikeEdges(t *testing.T) {
	edges := `
screw.torque.left = { shape = "normal", nominal = "0.60 N*m", plus_minus = "6 %", coverage = 0.95 }
wall.temperature.right = "66 degC"
wall.rise = "3 K"
[[component]]
name = "correlator"
place = 0.3
`
	unlike := write(t, "unlike.toml", "extends = '"+absolute(t, demo)+"'\ncondition = []\ncost = []\n"+edges)
	checked := invoke("check", unlike, "--quiet")
	assert.Equal(t, exitDone, checked.code, checked.stderr)
	for _, key := range []string{"screw.torque.left", "screw.torque.right", "wall.temperature.left", "wall.temperature.right", "component.correlator.place"} {
		assert.Contains(t, checked.stdout, key)
	}
	nominal := invoke("nominal", unlike, "--quiet", "--format", "json")
	assert.Contains(t, nominal.stdout, "joint temperature, right edge", "the gas has each edge's own temperature")
	// Little else scatters: the drivers of all inputs of the demo take a hundred times longer.
	still := write(t, "still-unlike.toml", "extends = '"+absolute(t, still(t, "torque "))+"'\nclamp.pieces = 3\n"+edges)
	drivers := invoke("drivers", still, "--quiet", "--samples", "1000", "--at", "80 degC")
	assert.Contains(t, drivers.stdout, "screw.torque.left", drivers.stderr)
	assert.Contains(t, drivers.stdout, "screw.torque.right")
	for _, command := range [][]string{{"torque"}, {"audit"}, {"loosen", "--input", "screw.torque"}} {
		got := invoke(append(command, unlike, "--quiet")...)
		assert.Equal(t, exitUsage, got.code)
		assert.Contains(t, got.stderr, "left and right apart")
	}
}
