package study

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports/validation"
	"clampodds/testdata/studies"
)

// frozen opens the two-face study of this package's testdata, which stays as it is
// when the examples change, and every other file among the examples.
func frozen(name string) ([]byte, error) {
	if name == "two-face.toml" {
		return os.ReadFile("../../../../testdata/frozen/" + name)
	}
	return studies.Files.ReadFile(name)
}

// example is a study that frozen opens, with some of its text replaced. Every
// replacement must find its text.
func example(t testing.TB, name string, replace ...string) (*Study, error) {
	t.Helper()
	text, err := frozen(name)
	require.NoError(t, err)
	edited := string(text)
	for i := 0; i < len(replace); i += 2 {
		require.Contains(t, edited, replace[i])
		edited = strings.Replace(edited, replace[i], replace[i+1], 1)
	}
	return Parse(name, []byte(edited), frozen)
}

// mistakes are edits of two-face.toml, each with something wrong.
var mistakes = []struct{ name, old, new string }{
	{"unknown key", `anchor   =`, `ancor    =`},
	{"key renamed", `prevailing_torque =`, `prevailing =`},
	{"key in the wrong table", `resolution = "0.05 N*m"`, "preload_loss = 0.1"},
	{"unknown table", `[torque]`, `[tools]`},
	{"table where a value is expected", `kind = "air"`, `kind = { a = 1 }`},
	{"value where a table is expected", "[rail]\n", "rail = 3\n[rails]\n"},
	{"wrong unit", `"4.235 mm"`, `"4.235 N"`},
	{"pound as force", `"4.235 mm"`, `"4.235 lb"`},
	{"kelvin for degC", `max = "85 degC"`, `max = "85 K"`},
	{"bare number", `{ value = "6 mm", source = "clamp drawing, invented" }`, `6`},
	{"bare number in a distribution", `sd = "1.5 K"`, `sd = 1.5`},
	{"temperature where a difference is expected", `sd = "1.5 K"`, `sd = "1.5 degC"`},
	{"decimal comma", `"600 MPa"`, `"600,5 MPa"`},
	{"NaN", `mean = "34 W"`, `mean = nan`},
	{"NaN as text", `mean = "34 W"`, `mean = "NaN W"`},
	{"infinite number", `sigma_ln = 0.2`, `sigma_ln = inf`},
	{"a date", `"10 mm", source = "card`, `2024-01-01, source = "card`},
	{"boolean", `value = "10 mm", source = "card`, `value = true, source = "card`},
	{"friction too high", `median = 0.14, p95 = 0.18, low = 0.08, high = 0.24, per`, `median = 15, p95 = 20, per`},
	{"negative flatness", `{ shape = "half-normal", p95 = "25 um", source = "flatness 0.025 mm on the drawing, as 95th percentile, common practice" }`, `"-25 um"`},
	{"negative half-normal", `p95 = "25 um"`, `p95 = "-25 um"`},
	{"torque of another screw", `nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95, low = "0.60 N*m", high = "0.80 N*m"`, `nominal = "70 N*m", plus_minus = "6 %", coverage = 0.95`},
	{"torque above any", `nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95, low = "0.60 N*m", high = "0.80 N*m"`, `nominal = "700 N*m", plus_minus = "6 %", coverage = 0.95`},
	{"unknown shape", `shape = "normal", mean = "64 degC"`, `shape = "nornal", mean = "64 degC"`},
	{"no shape", `{ shape = "normal", mean = "64 degC", sd = "1.5 K"`, `{ mean = "64 degC", sd = "1.5 K"`},
	{"parameter of another shape", `{ shape = "normal", mean = "64 degC", sd = "1.5 K"`, `{ shape = "uniform", mode = "64 degC", sd = "1.5 K"`},
	{"too few parameters", `mean = "64 degC", sd = "1.5 K"`, `mean = "64 degC"`},
	{"a tolerance twice", `plus_minus = "6 %"`, `plus_minus = "6 %", plus = "0.04 N*m"`},
	{"percentile with a point", `median = 0.14, p95 = 0.18, low`, `median = 0.14, p99.9 = 0.18, low`},
	{"percentage of nothing", `sd = "1.0 W"`, `sd = "5 %"`},
	{"tolerance misspelt", `plus_minus = "6 %"`, `plusminus = "6 %"`},
	{"bare thickness", `value = "10 mm", source = "card`, `value = 10, source = "card`},
	{"bare flatness", `p95 = "25 um"`, `p95 = 25`},
	{"comma without quotes", `sigma_ln = 0.2`, `sigma_ln = 0,2`},
	{"comma in a list of parameters", `median = 0.14, p95`, `median = 0,14, p95`},
	{"line that ends in braces", `{ shape = "normal", nominal = "0.70 N*m"`, "{ shape =\n\"normal\", nominal = \"0.70 N*m\""},
	{"typographic quotes", `"air"`, `“air”`},
	{"no study", `anchor   =`, "torque;0,65\nanchor   ="},
	{"not UTF-8", `"air"`, "\"air\" # \xb0"},
	{"negative spread", `sd = "1.5 K"`, `sd = "-1.5 K"`},
	{"limits the wrong way", `low = "11.55 mm", high = "11.65 mm"`, `low = "11.65 mm", high = "11.55 mm"`},
	{"cut that leaves nothing", `low = "0.60 N*m", high = "0.80 N*m"`, `low = "0.80 N*m", high = "0.60 N*m"`},
	{"unknown level", `per = "chassis", source = "outside-air plate`, `per = "rack", source = "outside-air plate`},
	{"level finer than the input", `high = "0.80 N*m", source`, `high = "0.80 N*m", per = "face", source`},
	{"level of a card input", `mean = "44 W"`, `per = "edge", mean = "44 W"`},
	{"one edge only", `{ value = "130 mm", source = "clamp drawing, invented" }`, `{ left = "130 mm" }`},
	{"both edges and one", `{ value = "130 mm", source = "clamp drawing, invented" }`, `{ left = "131 mm", value = "130 mm" }`},
	{"edges of a card input", `{ value = "0.85 kg", source = "weight budget, invented" }`, `{ left = "1 kg", right = "1 kg" }`},
	{"mistake at one edge", `{ value = "130 mm", source = "clamp drawing, invented" }`, `{ left = "130 mm", right = "130 N" }`},
	{"condition for both edges and one", `replace = { "screw.preload_loss" = "0 %" }`, `replace = { "screw.preload_loss" = "0 %", "screw.preload_loss.left" = "1 %" }`},
	{"condition of an edge of the card", `replace = { "screw.preload_loss" = "0 %" }`, `replace = { "card.power.left" = "1 W" }`},
	{"correlation at one edge", `"screw.head_friction"]`, `"screw.head_friction.left"]`},
	{"cost at one edge", `input = "face.direct.crown"`, `input = "face.direct.crown.left"`},
	{"place outside the card", `name  = "converter"`, `name  = "converter"
place = 1.5`},
	{"per cent as a number", `name  = "converter"`, `name  = "converter"
place = 30`},
	{"limit of nothing", `spot      = {`, `sopt      = {`},
	{"limit without a name", `spot      = {`, `max = {`},
	{"limit by the model's word", `spot      = {`, `edge.hotter = {`},
	{"limit that means nothing", `spot      = {`, `share.direct = {`},
	{"limit of no component", `spot      = {`, `component.converterr = {`},
	{"limit of a component twice", `spot      = {`, `component.converter = {`},
	{"word of a limit", `{ max = "85 degC", target`, `{ max = "85 degC", aim`},
	{"knowledge that is no boolean", `knowledge = true, source = "how much`, `knowledge = "yes", source = "how much`},
	{"source that is no text", `source = "how much of the wall friction acts in tightening is not known"`, `source = 1`},
	{"correlation too strong", `rank    = 0.6`, `rank    = 1.5`},
	{"correlation with a constant", `"screw.head_friction"]`, `"screw.yield"]`},
	{"correlation with an old key", `"screw.head_friction"]`, `"screw.prevailing.left"]`},
	{"correlation with nothing", `"screw.head_friction"]`, `"screw.head_frictoin"]`},
	{"correlation of one", `["screw.thread_friction", "screw.head_friction"]`, `["screw.thread_friction"]`},
	{"correlation with itself", `["screw.thread_friction", "screw.head_friction"]`, `["screw.thread_friction", "screw.thread_friction"]`},
	{"correlation across levels", `"screw.head_friction"]`, `"screw.torque"]`},
	{"correlation without rank", "rank    = 0.6\n", "rho = 0.6\n"},
	{"missing required key", "travel   = ", "# travel = "},
	{"missing family", `family   = "two-face"`, ``},
	{"missing material", "material = \"6061-T6\"\nlength", "length"},
	{"unknown material", `material  = "6061-T6"`, `material  = "6061-T5"`},
	{"unknown finish", `material  = "6061-T6"`, "material  = \"6061-T6\"\nfinish = \"anodic fiml\""},
	{"coat in part", `material  = "6061-T6"`, "material  = \"6061-T6\"\ncoat.thickness = \"10 um\""},
	{"coat too thick", `material  = "6061-T6"`, "material  = \"6061-T6\"\ncoat.thickness = \"10 mm\""},
	{"family misspelt", `"two-face"`, `"twoface"`},
	{"even number of pieces", `pieces   = 7`, `pieces   = 6`},
	{"number of pieces in quotes", `pieces   = 7`, `pieces   = "7"`},
	{"unknown thread", `thread   = "M3"`, `thread   = "M33"`},
	{"thread twice", `thread   = "M3"`, `thread = "M3"` + "\n" + `pitch = "0.5 mm"`},
	{"own thread out of range", `thread   = "M3"`, `pitch = "0.05 mm"` + "\n" + `pitch_diameter = "2.7 mm"` + "\n" + `stress_area = "5 mm2"`},
	{"own thread in part", `thread   = "M3"`, `pitch = "0.5 mm"`},
	{"gas", `kind = "air"`, `kind = "argon"`},
	{"altitude and pressure", `kind = "air"`, `pressure = "30 kPa"`},
	{"roughness of which kind", `roughness_as = "Ra"`, ``},
	{"key of the other family", `travel   = `, "skew = \"45 deg\"\ntravel = "},
	{"component without a name", `name  = "correlator"`, `name  = "Correlator 1"`},
	{"component twice", `name  = "converter"`, `name  = "correlator"`},
	{"unknown key of a component", `resistance = { value = "0.45 K/W"`, `resistence = { value = "0.45 K/W"`},
	{"component that is no list", "[[component]]\nname  = \"correlator\"", "[component]\nname  = \"correlator\""},
	{"limit of a wrong unit", `max = "85 degC"`, `max = "85 K/W"`},
	{"target above one", `target = 2e-3`, `target = 2`},
	{"old name of a limit", "screw_stress =", "screw ="},
	{"unknown key of a limit", `target = 2e-3`, `goal = 2e-3`},
	{"shares over one", `share   = 0.80`, `share   = 0.90`},
	{"condition without a name", `name    = "aged"`, ``},
	{"condition with a key cut short", `"wall.temperature" = {`, `"wall.temp" = {`},
	{"condition with a wrong key", `"wall.temperature" = {`, `"wall.temprature" = {`},
	{"condition with a wrong value", `"gas.altitude" = "0 km"`, `"gas.altitude" = "0 Pa"`},
	{"condition with nothing", `replace = { "screw.preload_loss" = "0 %" }`, ``},
	{"samples", `samples    = 100000`, `samples    = 1.5`},
	{"seed", `seed       = 20240917`, `seed       = -1`},
	{"confidence", `confidence = 0.95`, `confidence = 95`},
	{"text in place of a boolean", `title    =`, "repair_correlations = 1\ntitle ="},
	{"number in place of a text", `title    = "Correlator card, two-face clamp"`, `title = 7`},
	{"scatter", `scatter    = "fraction"`, `scatter    = "share"`},
	{"syntax", `[torque]`, `[torque`},
	{"key twice", `[torque]`, "[torque]\nscatter = \"absolute\""},
	{"key twice under two names", `title    =`, "\"run.seed\" = 1\ntitle ="},
	{"extends nothing", `title    =`, "extends = \"nowhere.toml\"\ntitle ="},
	{"extends itself", `title    =`, "extends = \"two-face.toml\"\ntitle ="},
	{"extends a number", `title    =`, "extends = 1\ntitle ="},
	{"measured without a file", `shape = "normal", nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95`, `shape = "measured", column = "torque", unit = "N*m"`},
	{"measured file that is missing", `shape = "normal", nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95`, `shape = "measured", file = "none.csv", column = "torque", unit = "N*m"`},
	{"measured column that is missing", `shape = "normal", nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95`, `shape = "measured", file = "audit.csv", column = "moment", unit = "N*m"`},
	{"measured cells that are no numbers", `shape = "normal", nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95`, `shape = "measured", file = "two-readings.csv", column = "torque", unit = "N*m"`},
	{"measured in a wrong unit", `shape = "normal", nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95`, `shape = "measured", file = "audit.csv", column = "torque", unit = "N"`},
	{"mixture without lots", `shape = "uniform", low = "0.03 N*m", high = "0.09 N*m"`, `shape = "mixture"`},
	{"mixture with a wrong lot", `shape = "uniform", low = "0.03 N*m", high = "0.09 N*m"`, `shape = "mixture", lots = [{ weight = 1, value = "0.05 N*m" }, { weight = 1, shape = "normal", mean = "0.05 N*m", sd = "-0.01 N*m" }]`},
	{"lots read but no part of a lot", `{ shape = "half-normal", p95 = "25 um", source = "flatness 0.025 mm on the drawing, as 95th percentile, common practice" }`, `{ shape = "half-normal", p95 = "25 um", lots_read = 6 }`},
	{"both parts of a lot", `{ shape = "half-normal", p95 = "25 um", source = "flatness 0.025 mm on the drawing, as 95th percentile, common practice" }`, `{ shape = "half-normal", p95 = "25 um", lot_sd = "3 um", lot_sigma_ln = 0.3 }`},
	{"lots that do not differ", `{ shape = "half-normal", p95 = "25 um", source = "flatness 0.025 mm on the drawing, as 95th percentile, common practice" }`, `{ shape = "half-normal", p95 = "25 um", lot_sigma_ln = 0 }`},
	{"two lots read", `{ shape = "half-normal", p95 = "25 um", source = "flatness 0.025 mm on the drawing, as 95th percentile, common practice" }`, `{ shape = "half-normal", p95 = "25 um", lot_sigma_ln = 0.3, lots_read = 2 }`},
	{"part of a lot per lot", `{ shape = "half-normal", p95 = "25 um", source = "flatness 0.025 mm on the drawing, as 95th percentile, common practice" }`, `{ shape = "half-normal", p95 = "25 um", lot_sigma_ln = 0.3, per = "lot" }`},
	{"part of a lot that is not known", `{ shape = "half-normal", p95 = "25 um", source = "flatness 0.025 mm on the drawing, as 95th percentile, common practice" }`, `{ shape = "half-normal", p95 = "25 um", lot_sigma_ln = 0.3, knowledge = true, per = "edge" }`},
	{"factor of what may be negative", `shape = "normal", nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95, low = "0.60 N*m", high = "0.80 N*m"`, `shape = "normal", mean = "0.70 N*m", sd = "0.02 N*m", lot_sigma_ln = 0.1`},
	{"cut beside the part of a lot", `shape = "normal", nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95, low = "0.60 N*m", high = "0.80 N*m"`, `shape = "normal", mean = "0.70 N*m", sd = "0.02 N*m", lot_sd = "0.01 N*m", low = "0.60 N*m"`},
	{"mixture without a weight", `shape = "uniform", low = "0.03 N*m", high = "0.09 N*m"`, `shape = "mixture", lots = [{ value = "0.05 N*m" }]`},
}

// TestMistakes holds every message against testdata/problems.golden, which -update
// rewrites. Look at the difference: the messages are for people.
func TestMistakes(t *testing.T) {
	open := func(name string) ([]byte, error) {
		if name == "two-readings.csv" {
			return []byte("torque\n0.70\n\"0,71\"\nabc\n"), nil
		}
		return frozen(name)
	}
	text, err := frozen("two-face.toml")
	require.NoError(t, err)
	var b strings.Builder
	for _, m := range mistakes {
		require.Contains(t, string(text), m.old, m.name)
		_, err := Parse("two-face.toml", []byte(strings.Replace(string(text), m.old, m.new, 1)), open)
		require.Error(t, err, m.name)
		fmt.Fprintf(&b, "== %s\n%v\n", m.name, err)
	}
	const golden = "testdata/problems.golden"
	if validation.Updating() {
		require.NoError(t, os.WriteFile(golden, []byte(b.String()), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	assert.Equal(t, string(want), b.String())
}

func TestAllProblemsAtOnceInOrder(t *testing.T) {
	_, err := example(t, "two-face.toml", `"4.235 mm"`, `"4.235 N"`, `pieces   = 7`, `pieces = 8`, `sd = "1.5 K"`, `sd = 2`, `rank    = 0.6`, `rank = 2`)
	problems := Problems{}
	require.ErrorAs(t, err, &problems)
	require.Len(t, problems, 4)
	for i := 1; i < len(problems); i++ {
		assert.Less(t, problems[i-1].Line, problems[i].Line)
	}
}
