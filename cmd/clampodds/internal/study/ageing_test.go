package study

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// aged is the demo study under a condition with other changes.
func aged(t *testing.T, changes string) (*Study, error) {
	t.Helper()
	s, err := example(t, "two-face.toml", `replace = { "screw.preload_loss" = "0 %" }`, changes)
	if err != nil {
		return nil, err
	}
	return s.Condition("as built")
}

// The preload loss at every probability, against the formula. 1e-12: a few
// roundings.
func TestAgeingMultipliesThePreloadLoss(t *testing.T) {
	base, err := example(t, "two-face.toml")
	require.NoError(t, err)
	before := base.Input("screw.preload_loss")
	for changes, factor := range map[string]float64{
		`ageing = { after = "1000 h", from = "1 h", slope = 0.2 }`:                       1.6,
		`ageing = { after = "1000 h", from = "1 h", slope = 0.2, recheck = "100 h" }`:    1.4,
		`ageing = { after = "1000 h", from = "1 h", slope = 0.2, recheck = "5000 h" }`:   1.6,
		`ageing = { after = 20000, from = 20, slope = 0.1 }`:                             1.3,
		`ageing = { after = "3600 s", from = "1 h", slope = 0.2, source = "rig, 2020" }`: 1,
	} {
		s, err := aged(t, changes)
		require.NoError(t, err, changes)
		in := s.Input("screw.preload_loss")
		for _, p := range []float64{0.01, 0.5, 0.99} {
			assert.InEpsilon(t, factor*before.Dist.Quantile(p), in.Dist.Quantile(p), 1e-12, changes)
		}
		assert.InEpsilon(t, factor*before.Nominal, in.Nominal, 1e-12, changes)
		assert.Equal(t, []string{"screw.preload_loss"}, base.Conditions[0].Replaced)
	}
}

func TestReinsertionShiftsFriction(t *testing.T) {
	base, err := example(t, "two-face.toml")
	require.NoError(t, err)
	s, err := aged(t, `reinsertion = { times = 50, drift = 0.03, constant = 20, inputs = ["friction.ramp", "screw.head_friction"] }`)
	require.NoError(t, err)
	for _, key := range []string{"friction.ramp", "screw.head_friction", "friction.wall"} {
		shift := 0.03 * (1 - math.Exp(-2.5))
		if key == "friction.wall" {
			shift = 0
		}
		assert.InDelta(t, base.Input(key).Nominal+shift, s.Input(key).Nominal, 1e-15, key)
		assert.InDelta(t, base.Input(key).Dist.Quantile(0.9)+shift, s.Input(key).Dist.Quantile(0.9), 1e-15, key)
	}
	assert.Equal(t, []string{"friction.ramp", "screw.head_friction"}, s.Conditions[0].Replaced)
}

// Replacing comes first: the loss that is replaced is the one that grows.
func TestChangesOfAConditionAddUp(t *testing.T) {
	s, err := aged(t, `replace = { "screw.preload_loss" = "4 %", "gas.altitude" = "5 km" }
ageing = { after = 100, from = 1, slope = 0.5 }
reinsertion = { times = 10, drift = -0.02, constant = 1e-9, inputs = ["screw.thread_friction"] }`)
	require.NoError(t, err)
	assert.InEpsilon(t, 0.08, s.Input("screw.preload_loss").Nominal, 1e-14)
	assert.Nil(t, s.Input("screw.preload_loss").Dist)
	assert.Equal(t, 5000.0, s.Input("gas.altitude").Nominal)
	base, err := example(t, "two-face.toml")
	require.NoError(t, err)
	assert.InDelta(t, base.Input("screw.thread_friction").Nominal-0.02, s.Input("screw.thread_friction").Nominal, 1e-15)
	assert.Equal(t, []string{"gas.altitude", "screw.preload_loss", "screw.thread_friction"}, s.Conditions[0].Replaced)
	_, err = s.Model()
	assert.NoError(t, err)
}

func TestWrongAgeingIsRefused(t *testing.T) {
	for changes, want := range map[string]string{
		`ageing = 5`: "a table expected",
		`ageing = { after = "10 h", from = "1 h" }`:                                              "ageing.slope",
		`ageing = { after = "10 h", from = "1 h", slope = -1 }`:                                  "from 0 to 10",
		`ageing = { after = "1 h", from = "10 h", slope = 0.1 }`:                                 "not to be before",
		`ageing = { after = "10 h", from = "1 h", slope = 0.1, recheck = "1 s" }`:                "not to be before",
		`ageing = { after = "10 h", from = 1, slope = 0.1 }`:                                     "the unit is missing",
		`ageing = { after = "10 mm", from = "1 h", slope = 0.1 }`:                                "time",
		`ageing = { after = 10, from = 0, slope = 0.1 }`:                                         "above 0",
		`ageing = { after = 10, from = nan, slope = 0.1 }`:                                       "finite",
		`ageing = { aftr = 10, from = 1, slope = 0.1 }`:                                          "did you mean after",
		`ageing = { after = 1e9, from = 1, slope = 10 }`:                                         "allowed is 0 % to 100 %",
		"ageing = { after = 10, from = 1, slope = 1 }\nreplace = { \"screw.preload_loss\" = 0 }": "grows to nothing",
		`reinsertion = "50"`: "a table expected",
		`reinsertion = { times = 5, drift = 0.1, constant = 2, inputs = [] }`:                                  "friction.ramp",
		`reinsertion = { times = 5, drift = 0.1, constant = 2, inputs = ["friction.rump"] }`:                   "did you mean friction.ramp",
		`reinsertion = { times = 5, drift = 0.1, constant = 0, inputs = ["friction.ramp"] }`:                   "above 0",
		`reinsertion = { times = -5, drift = 0.1, constant = 2, inputs = ["friction.ramp"] }`:                  "0 or more",
		`reinsertion = { times = 5, drift = 2, constant = 2, inputs = ["friction.ramp"] }`:                     "between -1 and 1",
		`reinsertion = { times = 5, drift = -0.5, constant = 0.1, inputs = ["friction.ramp"] }`:                "friction.ramp: becomes",
		`reinsertion = { times = 5, drift = 0.1, constant = 2, inputs = ["friction.ramp"], N = 1 }`:            "not known",
		"ageing = { after = 10, from = 1, slope = 0.1 }\nreinsertion = { times = 1, drift = 0, constant = 1 }": "friction.ramp",
		`source = "nothing else"`: "a condition replaces inputs",
	} {
		_, err := aged(t, changes)
		assert.ErrorContains(t, err, want, changes)
		assert.ErrorContains(t, err, "two-face.toml:", changes)
	}
}

func TestNoConditionIsCalledAsTheStudy(t *testing.T) {
	_, err := example(t, "inch.toml", "[gas]\n", "[[condition]]\nname = \"as written\"\nreplace = { \"gas.altitude\" = \"1 km\" }\n[gas]\n")
	assert.ErrorContains(t, err, "a condition needs a name of its own")
}

func TestCosts(t *testing.T) {
	add := func(text string) (*Study, error) {
		return example(t, "inch.toml", "[gas]\n", text+"\n[gas]\n")
	}
	s, err := add(`[[cost]]
input = "face.direct.flatness"
steps = [{ spread = 1, cost = 0 }, { spread = 0.5, cost = 12.5, label = "lapped" }]`)
	require.NoError(t, err)
	require.Len(t, s.Costs, 1)
	assert.Equal(t, "face.direct.flatness", s.Costs[0].Input)
	assert.Equal(t, []CostStep{{1, 0, ""}, {0.5, 12.5, "lapped"}}, s.Costs[0].Steps)

	one := `steps = [{ spread = 1, cost = 0 }]`
	for text, want := range map[string]string{
		"[[cost]]\ninput = \"face.direct.crwn\"\n" + one: "did you mean face.direct.crown",
		"[[cost]]\ninput = \"clamp.length\"\n" + one:     "constant",
		"[[cost]]\n" + one:                                                                            "key of an input",
		"[[cost]]\ninput = \"screw.torque\"":                                                          "a list of steps",
		"[[cost]]\ninput = \"screw.torque\"\nsteps = [3]":                                             "a step is a table",
		"[[cost]]\ninput = \"screw.torque\"\nsteps = [{ spread = -1, cost = 0 }]":                     "from 0 to 100",
		"[[cost]]\ninput = \"screw.torque\"\nsteps = [{ spread = 1, cost = -2 }]":                     "0 or more",
		"[[cost]]\ninput = \"screw.torque\"\nsteps = [{ spread = 1 }]":                                "cost",
		"[[cost]]\ninput = \"screw.torque\"\nsteps = [{ spread = 1, cost = 1, label = 2 }]":           "text",
		"[[cost]]\ninput = \"screw.torque\"\nsteps = [{ spread = 1, price = 1 }]":                     "not known",
		"[[cost]]\ninput = \"screw.torque\"\n" + one + "\n[[cost]]\ninput = \"screw.torque\"\n" + one: "already",
		"[[cost]]\ninput = \"screw.torque\"\nkind = 1\n" + one:                                        "not known",
		"[cost]\ninput = \"screw.torque\"\n" + one:                                                    "list of tables",
		"[[cost]]\ninput = \"screw.torque\"\nsteps = [{ spread = 1, cost = \"5 mm\" }]":               "cost",
	} {
		_, err := add(text)
		assert.ErrorContains(t, err, want, text)
		assert.ErrorContains(t, err, "inch.toml:", text)
	}
}
