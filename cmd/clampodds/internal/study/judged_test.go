package study

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/joint/material"
	"clampodds/testdata/studies"
)

// A limit on what the model does not judge is refused with the keys to give.
func TestLimitsOnNothing(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{`"0.85 kg"`, `"0 kg"`, "limits.holding: nothing is held against this limit without card.mass (give card.mass and card.acceleration, or leave the limit out)"},
		{`yield      = { value = "600 MPa"`, `yield      = { value = "0 MPa"`, "limits.screw_stress: nothing is held against this limit without screw.yield"},
	} {
		_, err := example(t, "two-face.toml", c.old, c.new)
		assert.ErrorContains(t, err, "two-face.toml:")
		assert.ErrorContains(t, err, c.want)
	}
	_, err := example(t, "two-face.toml", `"0.85 kg"`, `"0 kg"`, `value = "20 gn"`, `value = "0 gn"`, "holding   = {", "# holding = {")
	assert.NoError(t, err, "no limit, nothing to judge")
	// A condition that takes away what is judged.
	_, err = example(t, "two-face.toml", `{ "screw.preload_loss" = "0 %" }`, `{ "screw.yield" = "0 MPa" }`)
	assert.ErrorContains(t, err, "limits.screw_stress: nothing is held against this limit without screw.yield")
}

// The train's expansion comes from its material once the screw's preload follows
// the temperature, and only then.
func TestExpansionFromTheMaterial(t *testing.T) {
	s, err := example(t, "two-face.toml")
	require.NoError(t, err)
	assert.True(t, s.Input("clamp.expansion").off())
	const thermal = "expansion = \"16 um/m/K\"\nmodulus = \"193 GPa\"\nassembly_temperature = \"20 degC\"\n"
	s, err = example(t, "two-face.toml", "[screw]\n", "[screw]\n"+strings.ReplaceAll(thermal, "16 um/m/K", "16e-6 1/K"), "[clamp]\n", "[clamp]\nscrew_train_area = \"30 mm2\"\n")
	require.NoError(t, err)
	m, err := material.Lookup("6061-T6")
	require.NoError(t, err)
	assert.Equal(t, m.Expansion.Value, s.Input("clamp.expansion").Nominal)
	assert.Equal(t, FromMaterial, s.Input("clamp.expansion").Origin)
	s, err = example(t, "two-face.toml", "[screw]\n", "[screw]\nexpansion = \"0 1/K\"\n")
	require.NoError(t, err)
	assert.True(t, s.Input("clamp.expansion").off(), "a plain 0 stands for none")
}

const demoTorque = `nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95, low = "0.60 N*m", high = "0.80 N*m"`

// A nominal value at or beyond its own limits is warned about; the demo's are not.
func TestNominalOutsideItsLimits(t *testing.T) {
	for torque, warned := range map[string]bool{
		`nominal = "25 in*lbf", plus_minus = "6 %", coverage = 0.95, low = "13 in*lbf", high = "17 in*lbf"`: true,
		`nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95, low = "0.60 N*m", high = "0.70 N*m"`:    true,
		`nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95, low = "0.60 N*m", high = "0.71 N*m"`:    false,
		demoTorque: false,
	} {
		s, err := example(t, "two-face.toml", demoTorque, torque)
		require.NoError(t, err)
		found := false
		for _, w := range s.Warnings {
			found = found || w.Code == NominalOutsideLimits && w.Key == "screw.torque"
		}
		assert.Equal(t, warned, found, torque)
	}
}

// What is written is the nominal value, wherever it is cut.
func TestNominalIsWhatIsWritten(t *testing.T) {
	for _, torque := range []string{`mean = "0.70 N*m", sd = "0.02 N*m", low = "0.69 N*m", high = "0.80 N*m"`, `nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95, low = "0.69 N*m", high = "0.80 N*m"`} {
		s, err := example(t, "two-face.toml", demoTorque, torque)
		require.NoError(t, err)
		assert.InDelta(t, 0.70, s.Input("screw.torque").Nominal, 1e-15, "one rounding")
		assert.Greater(t, s.Input("screw.torque").Dist.Quantile(0.5), 0.705, "the median of what is left")
	}
	s, err := example(t, "two-face.toml", "median = 0.14, p95 = 0.18, low = 0.08", "median = 0.14, p95 = 0.18, low = 0.13")
	require.NoError(t, err)
	assert.InDelta(t, 0.14, s.Input("screw.thread_friction").Nominal, 1e-15, "one rounding")
}

// Limits in % of the nominal value are the limits themselves.
func TestLimitsRelativeToTheNominal(t *testing.T) {
	s, err := example(t, "two-face.toml", demoTorque, `nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95, low = "-10 %", high = "+15 %"`)
	require.NoError(t, err)
	low, high := s.Input("screw.torque").Dist.Support()
	assert.InEpsilon(t, 0.63, low, 1e-12)
	assert.InEpsilon(t, 0.805, high, 1e-12)
	for _, wrong := range []string{
		`mean = "0.70 N*m", sd = "0.02 N*m", low = "-10 %", high = "+10 %"`,
		`nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95, low = "10 %"`,
	} {
		_, err = example(t, "two-face.toml", demoTorque, wrong)
		assert.ErrorContains(t, err, "a limit in % is read from a nominal value, with its sign")
	}
}

func TestConditionThatChangesNothing(t *testing.T) {
	s, err := example(t, "two-face.toml", `{ "screw.preload_loss" = "0 %" }`, `{ "gas.altitude" = "9 km" }`)
	require.NoError(t, err)
	var lines []string
	for _, w := range s.Warnings {
		lines = append(lines, w.String())
	}
	require.Len(t, lines, 1)
	assert.Contains(t, lines[0], `condition: "as built" changes nothing: gas.altitude as in the study as written [condition-changes-nothing]`)
}

// The pressure of the gas takes the place of its altitude in a study that is laid over another one.
func TestPressureTakesThePlaceOfTheAltitude(t *testing.T) {
	base, err := Parse("b.toml", []byte("extends = \"two-face.toml\""), studies.Files.ReadFile)
	require.NoError(t, err)
	s, err := Parse("s.toml", []byte("extends = \"two-face.toml\"\ngas.pressure = \"30 kPa\""), studies.Files.ReadFile)
	require.NoError(t, err)
	var told []string
	for _, d := range Differences(base, s) {
		told = append(told, d.Key+": "+d.Before+" "+d.After)
	}
	assert.Equal(t, []string{"gas.pressure: taken from the altitude 30 kPa", "gas.altitude: 9 km not used"}, told)
	_, err = Parse("s.toml", []byte("extends = \"two-face.toml\"\ngas.pressure = \"30 kPa\"\ngas.altitude = \"9 km\""), studies.Files.ReadFile)
	assert.ErrorContains(t, err, "both given")
}

// So does a study that is laid over another one.
func TestAStudyOverAnotherThatLosesScatterIsTold(t *testing.T) {
	for laid, want := range map[string]int{"wall.temperature = '60 degC'": 1, "screw.torque.left = '0.7 N*m'": 1, "wall.temperature = { shape = 'fixed', value = '60 degC' }": 0, "gas.altitude = '0 km'": 0} {
		s, err := Parse("s.toml", []byte("extends = \"two-face.toml\"\ncost = []\n"+laid), studies.Files.ReadFile)
		require.NoError(t, err, laid)
		lost := slices.DeleteFunc(s.Warnings, func(w Warning) bool { return w.Code != ScatterLost })
		assert.Len(t, lost, want, laid)
	}
}

// A plain value in a condition takes the scatter away: said, with what keeps it word for word where one number moves.
func TestAConditionThatLosesScatterIsTold(t *testing.T) {
	for replaced, want := range map[string]string{
		`"wall.temperature" = "60 degC"`:                                          `{ shape = "normal", mean = "60 degC", sd = "1.5 K", per = "chassis" }`,
		`"friction.wall" = 0.2`:                                                   "write the whole distribution about the new value to keep it",
		`"rail.roughness.left" = { value = "1.2 um" }`:                            "rail.roughness.left: one value for all, and the scatter of the study is lost",
		`"wall.temperature" = { shape = "fixed", value = "60 degC" }`:             "",
		`"screw.preload_loss" = "0 %"`:                                            "",
		`"wall.temperature" = { shape = "normal", mean = "60 degC", sd = "1 K" }`: "",
	} {
		s, err := example(t, "two-face.toml", `{ "screw.preload_loss" = "0 %" }`, "{ "+replaced+" }")
		require.NoError(t, err, replaced)
		var got string
		for _, w := range s.Warnings {
			if w.Code == ScatterLost {
				got += w.String()
			}
		}
		if want == "" {
			assert.Empty(t, got, replaced)
		} else {
			assert.Contains(t, got, want, replaced)
		}
	}
}
