package study

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim"
)

// apartOf is two-face.toml with an input given for each edge.
func apartOf(t *testing.T, replace ...string) *Study {
	t.Helper()
	s, err := exampleApart(t, replace...)
	require.NoError(t, err)
	return s
}

// exampleApart is example of two-face.toml without the costs, which name inputs.
func exampleApart(t *testing.T, replace ...string) (*Study, error) {
	t.Helper()
	text, _, _ := strings.Cut(exampleText(t), "[[cost]]")
	for i := 0; i < len(replace); i += 2 {
		require.Contains(t, text, replace[i])
		text = strings.Replace(text, replace[i], replace[i+1], 1)
	}
	return Parse("two-face.toml", []byte(text), frozen)
}

const (
	bothTorque = `torque   = { shape = "normal", nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95, low = "0.60 N*m", high = "0.80 N*m", source = "tool +-6 %, ISO 6789; cut at the audit limits, invented" }`
	oneTorque  = `{ shape = "normal", nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95, low = "0.60 N*m", high = "0.80 N*m" }`
	bothRamp   = `ramp = { shape = "lognormal", median = 0.14, p95 = 0.19, low = 0.06, high = 0.30, per = "lot", source = "anodic film with dry lubricant, common practice" }`
	oneRamp    = `{ shape = "lognormal", median = 0.14, p95 = 0.19, low = 0.06, high = 0.30, per = "lot" }`
)

// drawnRows are rows of a study's outputs on its own draws.
func drawnRows(t *testing.T, s *Study) ([]string, [][]float64) {
	t.Helper()
	inputs, err := s.RandomInputs()
	require.NoError(t, err)
	m, err := s.Model()
	require.NoError(t, err)
	const rows = 200
	x, y := make([][]float64, len(inputs.Variables())), make([][]float64, len(m.Outputs()))
	u := make([][]float64, len(x))
	var names []string
	for i, v := range inputs.Variables() {
		x[i], u[i] = make([]float64, rows), make([]float64, rows)
		names = append(names, v.Name)
		for r := range u[i] {
			stream := sim.NewStream(1, v.Name, uint64(r), "")
			u[i][r] = 6*float64(stream.Uint64()>>11)/(1<<53) - 3
		}
	}
	inputs.FromNormal(u, x)
	for j := range y {
		y[j] = make([]float64, rows)
	}
	m.Evaluate(x, y)
	return names, y
}

// The same given for left and right apart is the same study, to the bit: draws for
// each edge by their names, one shared draw by being one.
func TestBothEdgesAlikeIsTheSharedForm(t *testing.T) {
	together := apartOf(t)
	apart := apartOf(t,
		bothTorque, "torque = { left = "+oneTorque+", right = "+oneTorque+" }",
		bothRamp, "ramp.left = "+oneRamp+"\nramp.right = "+oneRamp,
		`length   = { value = "130 mm", source = "clamp drawing, invented" }`, `length = { left = "130 mm", right = "13 cm" }`,
		`crown = { shape = "half-normal", p95 = "10 um", source = "two fifths of the flatness, over a twentieth of the length, invented" }`,
		`crown = { left = { shape = "half-normal", p95 = "10 um" }, right = { shape = "half-normal", p95 = "0.01 mm" } }`)
	wantNames, want := drawnRows(t, together)
	names, got := drawnRows(t, apart)
	assert.Equal(t, wantNames, names)
	assert.Equal(t, want, got)

	assert.Nil(t, apart.Input("screw.torque"))
	assert.Equal(t, "screw.torque.left", apart.At("screw.torque", 0).Key)
	assert.Equal(t, "screw.torque.right", apart.At("screw.torque", 1).Key)
	require.NotNil(t, apart.Input("friction.ramp"), "one draw for both edges is one input")
	assert.Len(t, apart.Edges("friction.ramp"), 1)
	variables, _ := apart.Variables()
	shares := map[string]string{}
	for _, v := range variables {
		shares[v.Name] = v.Input
	}
	assert.Equal(t, "screw.torque.left", shares["screw.torque/left"], "the share of each edge is its own")
	assert.Equal(t, "face.direct.crown.right", shares["face.direct.crown/right/3"])
}

// Unlike draws of one lot rise and fall together, unless the study says otherwise.
func TestUnlikeDrawsOfOneLot(t *testing.T) {
	unlike := "ramp.left = " + oneRamp + "\nramp.right = " + strings.Replace(oneRamp, "0.14", "0.15", 1)
	s := apartOf(t, bothRamp, unlike)
	variables, together := s.Variables()
	assert.Contains(t, together, sim.Correlation{A: "friction.ramp.left", B: "friction.ramp.right", Rank: mostRank})
	var names []string
	for _, v := range variables {
		if strings.HasPrefix(v.Name, "friction.ramp") {
			names = append(names, v.Name)
			assert.Equal(t, sim.Lot, v.Level)
		}
	}
	assert.Equal(t, []string{"friction.ramp.left", "friction.ramp.right"}, names)
	joined := apartOf(t, bothRamp, unlike, `["screw.thread_friction", "screw.head_friction"]`, `["friction.ramp.left", "friction.ramp.right"]`)
	_, pairs := joined.Variables()
	assert.Equal(t, []sim.Correlation{{A: "friction.ramp.left", B: "friction.ramp.right", Rank: 0.6}}, pairs)
}

// A correlation with an input that one edge has for itself holds at that edge.
func TestCorrelationAtOneEdge(t *testing.T) {
	s := apartOf(t, bothTorque, "torque = { left = "+oneTorque+", right = "+oneTorque+" }",
		`["screw.thread_friction", "screw.head_friction"]`, `["screw.torque.left", "screw.prevailing_torque"]`)
	_, pairs := s.Variables()
	assert.Equal(t, []sim.Correlation{{A: "screw.torque/left", B: "screw.prevailing_torque/left", Rank: 0.6}}, pairs)
	_, err := exampleApart(t, bothTorque, "torque = { left = "+oneTorque+", right = "+oneTorque+" }",
		`["screw.thread_friction", "screw.head_friction"]`, `["screw.torque.left", "screw.torque.right"]`)
	assert.ErrorContains(t, err, "different edges")
	_, err = exampleApart(t, bothTorque, "torque = { left = "+oneTorque+", right = "+oneTorque+" }",
		`["screw.thread_friction", "screw.head_friction"]`, `["screw.torque", "screw.prevailing_torque"]`)
	assert.ErrorContains(t, err, "name screw.torque.left or screw.torque.right")
}

// A condition, and a study that extends another, may change one edge; the other stays.
func TestOneEdgeOfABase(t *testing.T) {
	s := apartOf(t, `replace = { "screw.preload_loss" = "0 %" }`, `replace = { "wall.temperature.left" = "60 degC", "friction.wall.right" = 0.2 }`)
	built, err := s.Condition("as built")
	require.NoError(t, err)
	assert.InDelta(t, 333.15, built.At("wall.temperature", 0).Nominal, 1e-9)
	assert.InDelta(t, 337.15, built.At("wall.temperature", 1).Nominal, 1e-9)
	assert.Equal(t, s.Input("friction.wall").Nominal, built.At("friction.wall", 0).Nominal)
	assert.Equal(t, 0.2, built.At("friction.wall", 1).Nominal)
	worn, err := s.Condition("after 50 insertions")
	require.NoError(t, err)
	assert.Greater(t, worn.Input("friction.wall").Nominal, s.Input("friction.wall").Nominal)

	base := func(name string) ([]byte, error) {
		text, _, _ := strings.Cut(exampleText(t), "[[cost]]")
		return []byte(strings.ReplaceAll(text, bothTorque, "torque = { left = "+oneTorque+", right = "+oneTorque+" }")), nil
	}
	over, err := Parse("over.toml", []byte("extends = \"base.toml\"\nscrew.torque.right = \"0.9 N*m\"\n"), base)
	require.NoError(t, err)
	assert.Equal(t, 0.9, over.At("screw.torque", 1).Nominal)
	assert.NotNil(t, over.At("screw.torque", 0).Dist)
	again, err := Parse("over.toml", []byte("extends = \"base.toml\"\nscrew.torque = \"0.9 N*m\"\n"), base)
	require.NoError(t, err)
	assert.Equal(t, 0.9, again.Input("screw.torque").Nominal, "both edges again")

	differences := Differences(again, over)
	require.Len(t, differences, 1)
	assert.Equal(t, "screw.torque", differences[0].Key)
	assert.Contains(t, differences[0].After, "right: 0.9 N*m")
	_, err = over.WithTorque(0.8)
	assert.ErrorContains(t, err, "left and right apart")
}

func exampleText(t *testing.T) string {
	t.Helper()
	s, err := frozen("two-face.toml")
	require.NoError(t, err)
	return string(s)
}

// A wall without a level is one for the card, as a rail of two edges mostly is; said
// to be drawn per edge it is two.
func TestWallsOfACard(t *testing.T) {
	const wall = `sd = "1.5 K", per = "chassis", source = "outside-air`
	count := func(s *Study) (names []string) {
		variables, _ := s.Variables()
		for _, v := range variables {
			if v.Input == "wall.temperature" {
				names = append(names, v.Name)
			}
		}
		return names
	}
	assert.Equal(t, []string{"wall.temperature"}, count(apartOf(t, wall, `sd = "1.5 K", source = "outside-air`)))
	assert.Equal(t, []string{"wall.temperature/left", "wall.temperature/right"}, count(apartOf(t, wall, `sd = "1.5 K", per = "edge", source = "outside-air`)))
}

// Any output that can be too large takes a limit, several at a time.
func TestLimitsOfAnyOutput(t *testing.T) {
	s := apartOf(t, "spot      = {", `edge      = { max = "83 degC", left = "81 degC", right = "82 degC" }
resistance.right = "0.4 K/W"
force.axial.left = { max = "2 kN", target = 1e-3 }
component.converter = "100 degC"
spot      = {`, "limit = { max = \"110 degC\", target = 1e-3, source = \"data sheet, invented\" }\n\n# -", "# -")
	got := map[string]string{}
	for _, l := range s.Limits {
		got[l.Name] = l.Output
	}
	assert.Equal(t, map[string]string{
		"spot": "edge.spot", "edge": "edge.hotter", "edge.left": "edge.left", "edge.right": "edge.right",
		"screw_stress": "utilisation.screw", "stripping": "utilisation.stripping", "bearing": "utilisation.bearing", "holding": "utilisation.holding",
		"resistance.right": "resistance.right", "force.axial.left": "force.axial.left",
		"component.correlator": "component.correlator", "component.converter": "component.converter",
	}, got)
	assert.Equal(t, "spot", s.Limits[0].Name, "the temperature that tables and figures take first")
}
