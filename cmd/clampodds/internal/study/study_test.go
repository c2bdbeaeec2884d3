package study

import (
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/sim"
	_ "clampodds/testdata/roomyheap"
	"clampodds/testdata/studies"
)

func TestExamplesAreClean(t *testing.T) {
	names, err := fs.Glob(studies.Files, "*.toml")
	require.NoError(t, err)
	require.Len(t, names, 12)
	for _, name := range names {
		s := load(t, name)
		assert.Empty(t, s.Warnings, name)
		assert.NotEmpty(t, s.Limits, name)
		for _, in := range s.Inputs {
			if in.Origin == Given {
				assert.NotEmpty(t, in.Source, "%s: %s has no source", name, in.Key)
			}
		}
	}
}

// evaluate runs the model once with every input at its nominal value.
func evaluate(t *testing.T, s *Study) map[string]float64 {
	t.Helper()
	m, err := s.Model()
	require.NoError(t, err)
	variables, _ := s.Variables()
	x := make([][]float64, len(variables))
	for i, v := range variables {
		x[i] = []float64{s.Input(v.Input).Nominal}
	}
	outputs := m.Outputs()
	y := make([][]float64, len(outputs))
	for i := range y {
		y[i] = make([]float64, 1)
	}
	m.Evaluate(x, y)
	values := map[string]float64{}
	for i, o := range outputs {
		values[o.Name] = y[i][0]
	}
	return values
}

func TestVariablesFollowTheLevel(t *testing.T) {
	s, err := example(t, "two-face.toml")
	require.NoError(t, err)
	variables, correlations := s.Variables()
	names := map[string]sim.Level{}
	for _, v := range variables {
		names[v.Name] = v.Level
		assert.Equal(t, s.Input(v.Input).Level, v.Level)
	}
	assert.Len(t, names, len(variables), "names are unique")
	assert.Equal(t, sim.Edge, names["screw.torque/left"])
	assert.Equal(t, sim.Edge, names["screw.torque/right"])
	assert.NotContains(t, names, "screw.torque")
	assert.Equal(t, sim.Lot, names["screw.thread_friction"])
	assert.Equal(t, sim.Chassis, names["wall.temperature"])
	assert.Equal(t, sim.Design, names["contact.factor"])
	assert.Equal(t, sim.Face, names["face.direct.crown/left/7"])
	assert.Equal(t, sim.Face, names["contact.face_factor/right/ramp/6"])
	assert.Equal(t, sim.Edge, names["face.direct.taper/left"]) // of a face input, shared by the edge's faces
	assert.Equal(t, sim.Design, names["friction.wall_share"])  // knowledge, without per
	assert.Equal(t, []sim.Correlation{{A: "screw.thread_friction", B: "screw.head_friction", Rank: 0.6}}, correlations)
}

func TestCorrelationsGoEdgeByEdge(t *testing.T) {
	s, err := example(t, "two-face.toml", `["screw.thread_friction", "screw.head_friction"]`, `["screw.torque", "screw.prevailing_torque"]`)
	require.NoError(t, err)
	_, correlations := s.Variables()
	assert.Equal(t, []sim.Correlation{
		{A: "screw.torque/left", B: "screw.prevailing_torque/left", Rank: 0.6},
		{A: "screw.torque/right", B: "screw.prevailing_torque/right", Rank: 0.6},
	}, correlations)
}

// A shared draw reaches both edges, one of its own only its edge.
func TestModelReadsTheColumnOfEachInstance(t *testing.T) {
	for _, c := range []struct {
		per         string
		left, right bool // does the torque column "screw.torque/left" or "screw.torque" move the edge
	}{{"edge", true, false}, {"card", true, true}} {
		s, err := example(t, "two-face.toml", `high = "0.80 N*m", source`, `high = "0.80 N*m", per = "`+c.per+`", source`)
		require.NoError(t, err)
		m, err := s.Model()
		require.NoError(t, err)
		variables, _ := s.Variables()
		x := make([][]float64, len(variables))
		for i, v := range variables {
			nominal := s.Input(v.Input).Nominal
			x[i] = []float64{nominal, nominal}
			if v.Name == "screw.torque" || v.Name == "screw.torque/left" {
				x[i][1] = 0.78
			}
		}
		outputs := m.Outputs()
		y := make([][]float64, len(outputs))
		for i := range y {
			y[i] = make([]float64, 2)
		}
		m.Evaluate(x, y)
		for i, o := range outputs {
			switch o.Name {
			case "force.axial.left":
				assert.Equal(t, c.left, y[i][1] > y[i][0], c.per)
			case "force.axial.right":
				assert.Equal(t, c.right, y[i][1] > y[i][0], c.per)
			}
		}
	}
}

func TestExtendsReplacesKeyByKey(t *testing.T) {
	base, s := load(t, "two-face.toml"), load(t, "flatness-change.toml")
	assert.Equal(t, []string{folder + "two-face.toml", folder + "flatness-change.toml"}, s.Files)
	assert.Equal(t, "Correlator card, two-face clamp, flatness 0.05 mm", s.Title)
	assert.Equal(t, base.Author, s.Author)
	for i, in := range s.Inputs {
		switch in.Key {
		case "face.direct.flatness":
			assert.Equal(t, folder+"flatness-change.toml", in.File)
			assert.NotEqual(t, base.Inputs[i].Typed, in.Typed)
		default:
			assert.Equal(t, base.Inputs[i].Typed, in.Typed)
			assert.Equal(t, base.Inputs[i].Line, in.Line)
		}
	}
	assert.NotEqual(t, base.Digest, s.Digest)
}

// inMemory is a little file system for Parse.
func inMemory(contents map[string]string) func(string) ([]byte, error) {
	return func(name string) ([]byte, error) {
		if text, ok := contents[name]; ok {
			return []byte(text), nil
		}
		return frozen(filepath.Base(name))
	}
}

func TestExtendsOverSeveralFilesAndFolders(t *testing.T) {
	open := inMemory(map[string]string{
		"plant/middle.toml": "extends = \"../lib/two-face.toml\"\n[card]\npower = { shape = \"measured\", file = \"power.csv\", column = \"p\", unit = \"W\" }\n[[component]]\nname = \"correlator\"\npower = \"40 W\"\n[[component]]\nname = \"extra\"\npower = \"1 W\"\nresistance = \"1 K/W\"\n",
		"plant/power.csv":   "p\n43\n44\n45\n",
	})
	s, err := Parse("top.toml", []byte("extends = \"plant/middle.toml\"\n[card]\nmass = \"1 kg\"\n"), open)
	require.NoError(t, err)
	assert.Equal(t, []string{"lib/two-face.toml", "plant/middle.toml", "top.toml", "plant/power.csv"}, s.Files)
	assert.Equal(t, []string{"correlator", "converter", "extra"}, s.Layout.Components)
	assert.Equal(t, 44.0, s.Input("card.power").Nominal) // read beside the file that names it
	assert.Equal(t, 1.0, s.Input("card.mass").Nominal)
	assert.Equal(t, 40.0, s.Input("component.correlator.power").Nominal)
	assert.Equal(t, 0.45, s.Input("component.correlator.resistance").Nominal) // the rest of the component stays
	assert.Equal(t, 6, s.Input("component.correlator.power").Line)
}

func TestExtendsInACircle(t *testing.T) {
	open := inMemory(map[string]string{"a.toml": `extends = "b.toml"`, "b.toml": `extends = "a.toml"`})
	_, err := Parse("a.toml", []byte(`extends = "b.toml"`), open)
	assert.EqualError(t, err, `b.toml:1: extends = "a.toml": the files extend one another in a circle (a.toml extends b.toml extends a.toml)`)

	endless := func(name string) ([]byte, error) { return []byte(`extends = "x` + name + `"`), nil }
	_, err = Parse("a.toml", []byte(`extends = "xa.toml"`), endless)
	assert.ErrorContains(t, err, "more than 16 files extend one another")
}

func TestProblemOfABaseNamesTheBase(t *testing.T) {
	open := inMemory(map[string]string{"base.toml": "extends = \"two-face.toml\"\n[card]\nmass = \"1 m\"\n"})
	_, err := Parse("top.toml", []byte("extends = \"base.toml\"\n[card]\nacceleration = 3\n"), open)
	assert.EqualError(t, err, `base.toml:3: card.mass = "1 m": m is no unit of mass (for instance g)
top.toml:3: card.acceleration = 3: the unit is missing (for instance "3 gn")`)
}

func TestConditionsDrawTheSameVariables(t *testing.T) {
	s, err := example(t, "two-face.toml")
	require.NoError(t, err)
	require.Len(t, s.Conditions, 4)
	hot, err := s.Condition("hot day on the ground")
	require.NoError(t, err)
	assert.Equal(t, "hot day on the ground", hot.ConditionName)
	assert.InDelta(t, 273.15+66, hot.Input("wall.temperature").Nominal, 1e-9) // the median, one subtraction off
	assert.Equal(t, 0.0, hot.Input("gas.altitude").Nominal)
	assert.Equal(t, s.Digest, hot.Digest)
	assert.Equal(t, []string{"gas.altitude", "wall.temperature"}, s.Conditions[2].Replaced)
	assert.Equal(t, 0.10, s.Conditions[2].Share)
	before, _ := s.Variables()
	after, _ := hot.Variables()
	require.Len(t, after, len(before))
	for i := range before {
		assert.Equal(t, before[i].Name, after[i].Name)
	}
	_, err = s.Condition("cold day")
	assert.ErrorContains(t, err, `there is no condition "cold day"`)
}

func TestDigestCoversEveryFile(t *testing.T) {
	digest := func(base, top, data string) string {
		open := inMemory(map[string]string{"audit.csv": data, "base.toml": base})
		s, err := Parse("top.toml", []byte("extends = \"base.toml\"\n"+top), open)
		require.NoError(t, err)
		return s.Digest
	}
	audit, err := studies.Files.ReadFile("audit.toml")
	require.NoError(t, err)
	data := "torque\n0.70\n0.71\n0.69\n"
	base := digest(string(audit), "", data)
	assert.Len(t, base, 64)
	assert.Equal(t, base, digest(string(audit), "", data))
	assert.NotEqual(t, base, digest(string(audit)+"\n", "", data))
	assert.NotEqual(t, base, digest(string(audit), "\n", data))
	assert.NotEqual(t, base, digest(string(audit), "", data+"0.70\n"))
}

func TestDigestCoversTheDataOfConditions(t *testing.T) {
	digest := func(data string) *Study {
		open := inMemory(map[string]string{"loss.csv": data})
		s, err := Parse("top.toml", []byte(`extends = "two-face.toml"
condition = [{ name = "aged", replace = { "screw.preload_loss" = { shape = "measured", file = "loss.csv", column = "loss" } } }]`), open)
		require.NoError(t, err)
		return s
	}
	s := digest("loss\n0.1\n0.2\n")
	assert.Contains(t, s.Files, "loss.csv")
	assert.NotEqual(t, s.Digest, digest("loss\n0.1\n0.3\n").Digest)
	aged, err := s.Condition("aged")
	require.NoError(t, err)
	assert.Equal(t, s.Digest, aged.Digest)
}

func TestTypedTextReadsBack(t *testing.T) {
	for _, name := range []string{"two-face.toml", "inch.toml"} {
		s, err := example(t, name)
		require.NoError(t, err)
		for _, in := range s.Inputs {
			if in.Origin != Given || in.Dist != nil {
				continue
			}
			v, err := units.Parse(in.Typed, in.Quantity())
			require.NoError(t, err, in.Key)
			if strings.HasSuffix(in.Key, ".roughness") {
				v.SI *= math.Sqrt(math.Pi / 2)
			}
			assert.Equal(t, v.SI, in.Nominal, in.Key)
			assert.Equal(t, v.Unit, in.Unit, in.Key)
		}
	}
}

func TestDistributionsAreTypedInOneLine(t *testing.T) {
	s, err := example(t, "two-face.toml", `{ value = "10 mm", source = "card`, `{ shape = "mixture", lots = [{ weight = 2, value = "9 mm" }, { weight = 1, shape = "uniform", low = "10 mm", high = "11 mm" }], source = "card`)
	require.NoError(t, err)
	assert.Equal(t, "normal, nominal 0.70 N*m, plus_minus 6 %, coverage 0.95, low 0.60 N*m, high 0.80 N*m", s.Input("screw.torque").Typed)
	assert.Equal(t, "lognormal, median 0.14, p95 0.18, low 0.08, high 0.24", s.Input("screw.thread_friction").Typed)
	assert.Equal(t, "mixture, 2 of (9 mm), 1 of (uniform, low 10 mm, high 11 mm)", s.Input("flange.frame_width").Typed)
	assert.Equal(t, "mm", s.Input("flange.frame_width").Unit)
	assert.InEpsilon(t, 0.009, s.Input("flange.frame_width").Nominal, 1e-15) // the mixture searches for its quantile
}

func TestInchUnitsStay(t *testing.T) {
	s, err := example(t, "inch.toml")
	require.NoError(t, err)
	torque := s.Input("screw.torque")
	assert.InEpsilon(t, 8*0.0254*4.4482216152605, torque.Nominal, 1e-15) // two roundings
	assert.Equal(t, "8 in·lbf", torque.Format(torque.Nominal))
	assert.Equal(t, "0.25 in", s.Input("clamp.width").Format(s.Input("clamp.width").Nominal))
	assert.Equal(t, "185 °F", s.Limits[0].Format(s.Limits[0].Max))
	assert.InDelta(t, 358.15, s.Limits[0].Max, 1e-9)
	assert.InDelta(t, 3/1.8, s.Input("wall.temperature").Dist.StdDev(), 1e-9)
}

// The same inputs in metric units are the same study.
func TestInchAndMetricAgree(t *testing.T) {
	inch, err := example(t, "inch.toml")
	require.NoError(t, err)
	metric, err := example(t, "inch.toml",
		`nominal = "8.0 in*lbf", plus_minus = "0.5 in*lbf"`, `nominal = "90.3878632221 cN*m", plus_minus = "0.0564924145138 N*m"`,
		`low = "7.0 in*lbf", high = "9.0 in*lbf"`, `low = "0.790893803193 N*m", high = "1.01686346125 N*m"`,
		`"5.00 in"`, `"127 mm"`, `"32 uin"`, `"0.8128 um"`, `"0.186 in"`, `"4.7244 mm"`, `"85 ksi"`, `"586.054369919 MPa"`, `"185 degF"`, `"85 degC"`)
	require.NoError(t, err)
	for i, in := range inch.Inputs {
		assert.InEpsilon(t, 1+in.Nominal, 1+metric.Inputs[i].Nominal, 1e-11, in.Key) // twelve digits are typed
	}
}

func TestRoughnessAsRa(t *testing.T) {
	ra, err := example(t, "two-face.toml")
	require.NoError(t, err)
	rms, err := example(t, "two-face.toml", `roughness_as = "Ra"`, `roughness_as = "rms"`)
	require.NoError(t, err)
	for _, body := range bodies {
		a, b := ra.Input(body+".roughness"), rms.Input(body+".roughness")
		assert.InEpsilon(t, math.Sqrt(math.Pi/2), a.Nominal/b.Nominal, 1e-12)
		assert.InEpsilon(t, math.Sqrt(math.Pi/2), a.Dist.UpperQuantile(1e-3)/b.Dist.UpperQuantile(1e-3), 1e-9) // the quantile of a lognormal by its two parameters
	}
}

func TestContactFactorKnowsWhatWasMeasured(t *testing.T) {
	s, err := example(t, "two-face.toml")
	require.NoError(t, err)
	in := s.Input("contact.factor")
	assert.True(t, in.Knowledge)
	assert.InEpsilon(t, math.Exp(0.35*1.6448536269514722), in.Dist.UpperQuantile(0.05), 1e-12)

	s, err = example(t, "two-face.toml", "travel   =", "slope = 0.1\ntravel =", "frame_width =", "slope = 0.1\nframe_width =", "[rail]\n", "[rail]\nslope = 0.1\n")
	require.NoError(t, err)
	assert.InEpsilon(t, math.Exp(0.12*1.6448536269514722), s.Input("contact.factor").Dist.UpperQuantile(0.05), 1e-12)
}

func TestCorrelationsThatContradict(t *testing.T) {
	three := func(rank, top string) (*Study, error) {
		return example(t, "two-face.toml", `title    =`, top+"title =", "[change]\n", `[[correlation]]
between = ["screw.head_friction", "friction.ramp"]
rank    = 0.6
[[correlation]]
between = ["friction.ramp", "screw.thread_friction"]
rank    = `+rank+"\n[change]\n")
	}
	_, err := three("-0.9", "")
	assert.ErrorContains(t, err, "two-face.toml:140: correlation: correlations among")
	assert.ErrorContains(t, err, "cannot all hold together")
	_, err = three("-0.9", "repair_correlations = true\n")
	assert.ErrorContains(t, err, "more than the 0.05 that a repair may change")

	_, err = three("-0.3", "")
	require.Error(t, err)
	s, err := three("-0.3", "repair_correlations = true\n")
	require.NoError(t, err)
	require.Len(t, s.Warnings, 1)
	assert.Equal(t, CorrelationsRepaired, s.Warnings[0].Code)
	inputs, err := s.RandomInputs()
	require.NoError(t, err)
	assert.Equal(t, s.Run.CardsPerChassis, inputs.RowsPerGroup())
}

func TestMeasuredReadings(t *testing.T) {
	s, err := example(t, "audit.toml")
	require.NoError(t, err)
	torque := s.Input("screw.torque")
	low, high := torque.Dist.Support()
	assert.Equal(t, 0.60, low) // cut at the audit limits, which the smoothed tails pass
	assert.Equal(t, 0.80, high)
	assert.InDelta(t, 0.70188, torque.Dist.Mean(), 1e-5) // of the 60 readings; the cuts lie four deviations off
	assert.Equal(t, "N*m", torque.Unit)

	s, err = example(t, "audit.toml", "smoothed = true, ", "", `low = "0.60 N*m", high = "0.80 N*m", `, "")
	require.NoError(t, err)
	low, high = s.Input("screw.torque").Dist.Support()
	assert.Greater(t, low, 0.60) // the readings themselves
	assert.Less(t, high, 0.80)
}

func TestToleranceInPercent(t *testing.T) {
	s, err := example(t, "two-face.toml", `low = "0.60 N*m", high = "0.80 N*m", `, "")
	require.NoError(t, err)
	// 6 % of 0.70 N*m is 1.96 standard deviations, the normal quantile at 0.975.
	assert.InEpsilon(t, 0.06*0.70/1.959963984540054, s.Input("screw.torque").Dist.StdDev(), 1e-12)
	assert.InEpsilon(t, 0.70, s.Input("screw.torque").Dist.Mean(), 1e-12)
}

func TestWarnings(t *testing.T) {
	s, err := example(t, "two-face.toml", `median = 0.14, p95 = 0.18, low = 0.08, high = 0.24, per`, `median = 0.6, p95 = 1.4, per`,
		`"45 deg"`, `"6 deg"`)
	require.NoError(t, err)
	var lines []string
	for _, w := range s.Warnings {
		lines = append(lines, w.String())
	}
	assert.Equal(t, []string{
		"two-face.toml:45: screw.thread_friction: 0.6 is unusual: practice shows 0.04 to 0.35 [unusual-value]",
		"two-face.toml:45: screw.thread_friction: a share of 0.038 of the draws lies outside the allowed 0 to 1.5; cut the distribution with low or high [draws-outside-range]",
		"two-face.toml:36: clamp.ramp_angle: 6 deg is unusual: practice shows 19.996 deg to 60.046 deg [unusual-value]",
		"two-face.toml:36: clamp.ramp_angle: the ramps lock themselves at 6 deg and friction 0.14: the clamp may not let go [self-locking]",
	}, lines)
}

// A torque that the clamp maker does not allow is said of every study that has it, whatever the limits say.
func TestTorqueThatIsNotAllowedIsSaid(t *testing.T) {
	for line, want := range map[string]string{
		`most = "0.65 N*m"`:  "0.7 N·m is more than the clamp maker allows, torque.most = 0.65 N·m",
		`least = "0.75 N*m"`: "0.7 N·m is less than the clamp maker allows, torque.least = 0.75 N·m",
		`most = "0.70 N*m"`:  "",
	} {
		s, err := example(t, "two-face.toml", "[torque]", "[torque]\n"+line)
		require.NoError(t, err)
		if want == "" {
			assert.Empty(t, s.Warnings)
			continue
		}
		require.Len(t, s.Warnings, 1, line)
		assert.Equal(t, TorqueNotAllowed, s.Warnings[0].Code)
		assert.Equal(t, want, s.Warnings[0].Message)
	}
}

func TestLoadReadsFromDisk(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"two-face.toml", "audit.toml", "audit.csv"} {
		text, err := frozen(name)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), text, 0o600))
	}
	s, err := Load(filepath.Join(dir, "audit.toml"))
	require.NoError(t, err)
	same, err := example(t, "audit.toml")
	require.NoError(t, err)
	assert.Equal(t, same.Digest, s.Digest)
	_, err = Load(filepath.Join(dir, "none.toml"))
	assert.ErrorIs(t, err, fs.ErrNotExist)
}

// Without gas the open gaps carry nothing: the edge is hotter than in thin air.
func TestVacuum(t *testing.T) {
	air, err := example(t, "two-face.toml")
	require.NoError(t, err)
	vacuum, err := example(t, "two-face.toml", `kind = "air"`, `kind = "vacuum"`)
	require.NoError(t, err)
	assert.Greater(t, evaluate(t, vacuum)["edge.hotter"], evaluate(t, air)["edge.hotter"]+1)
}
