package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports"
)

var gaugeData = filepath.Join(root, "testdata/studies/gauge.csv")

func gaugeJSON(t *testing.T, code int, args ...string) (g reports.Gauge) {
	t.Helper()
	got := invoke(append([]string{"gauge", "--format", "json"}, args...)...)
	require.Equal(t, code, got.code, got.stderr)
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &g))
	return g
}

// The verdict, and so the exit code, follows from the interval of the ratio.
func TestGaugeVerdicts(t *testing.T) {
	met := gaugeJSON(t, exitDone, gaugeData, "--low", "0.6", "--high", "0.8")
	assert.Equal(t, "met", met.Verdict)
	assert.InEpsilon(t, 4*met.Process.Standard/0.2, *met.Process.Ratio, 1e-12)
	band := met.Acceptance.Factor * met.Process.Standard
	assert.InEpsilon(t, 0.6+band, met.Acceptance.Limits[0].Accept, 1e-12)
	assert.InEpsilon(t, 0.8+band, met.Acceptance.Limits[1].Reject, 1e-12)
	assert.InEpsilon(t, 0.05, met.Acceptance.Wrong, 1e-9, "what the study leaves open decides the factor")
	assert.Greater(t, met.Acceptance.Factor, 1.65)
	assert.Greater(t, met.Acceptance.Wrong, met.Acceptance.Known)

	assert.Equal(t, "undecided", gaugeJSON(t, exitUndecided, gaugeData, "--low", "0.65", "--high", "0.75").Verdict)
	assert.Equal(t, "undecided", gaugeJSON(t, exitUndecided, gaugeData, "--low", "0.673", "--high", "0.7264").Verdict, "33 %, from 28 %")
	narrow := gaugeJSON(t, exitNotMet, gaugeData, "--low", "0.695", "--high", "0.705")
	assert.Equal(t, "not met", narrow.Verdict)
	assert.Contains(t, fmt.Sprint(narrow.Warnings), "no reading accepts a part")

	assert.Empty(t, gaugeJSON(t, exitDone, gaugeData).Verdict)
	one := gaugeJSON(t, exitDone, gaugeData, "--low", "0.6", "--guard-factor", "2")
	assert.Empty(t, one.Verdict, "a ratio takes both ends")
	assert.Len(t, one.Acceptance.Limits, 1)
	assert.Equal(t, 2.0, one.Acceptance.Factor)
}

func TestGaugeInEveryFormat(t *testing.T) {
	for _, form := range []string{"table", "json", "csv", "markdown"} {
		got := invoke("gauge", gaugeData, "--low", "0.65", "--high", "0.75", "--format", form)
		assert.Equal(t, exitUndecided, got.code, form)
		assert.Empty(t, got.stderr)
		assert.Contains(t, got.stdout, "repeatability")
		if form == "csv" {
			r := csv.NewReader(strings.NewReader(got.stdout))
			r.FieldsPerRecord = -1
			_, err := r.ReadAll()
			assert.NoError(t, err)
		}
	}
}

// What is known beside the study only adds; one operator leaves the operators out.
func TestGaugeFlags(t *testing.T) {
	plain := gaugeJSON(t, exitDone, gaugeData)
	more := gaugeJSON(t, exitDone, gaugeData, "--linearity", "0.003", "--calibration", "0.002", "--resolution", "0.001")
	added := 0.003*0.003/3 + 0.002*0.002
	assert.InEpsilon(t, math.Sqrt(plain.Process.Standard*plain.Process.Standard+added), more.Process.Standard, 1e-12)
	assert.InEpsilon(t, math.Sqrt(plain.Shared*plain.Shared+added), more.Shared, 1e-12)
	assert.Equal(t, plain.Scatter, more.Scatter, "no scatter among readings")
	assert.True(t, plain.Interaction)
	assert.False(t, gaugeJSON(t, exitDone, gaugeData, "--interaction", "without").Interaction)

	text, err := os.ReadFile(gaugeData)
	require.NoError(t, err)
	alone := write(t, "alone.csv", strings.ReplaceAll(string(text), ",operator,", ",shift,"))
	got := invoke("gauge", alone)
	assert.Equal(t, exitUsage, got.code)
	assert.Contains(t, got.stderr, "say which one does by --column")
	assert.Contains(t, invoke("gauge", write(t, "named.csv", "a,torque\n1,0.7\n")).stderr, "say which one holds them by --part")
	found := gaugeJSON(t, exitDone, alone, "--column", "torque", "--part", "screw")
	assert.Equal(t, []int{1, 6}, []int{found.Operators, found.Repeats})
	assert.Contains(t, fmt.Sprint(found.Warnings), "what operators differ by")
}

func TestGaugeRefusesWhatItCannotJudge(t *testing.T) {
	text, err := os.ReadFile(gaugeData)
	require.NoError(t, err)
	rows := strings.SplitAfter(string(text), "\n")
	missing := write(t, "missing.csv", strings.Join(append(append([]string{}, rows[:4]...), rows[5:]...), ""))
	for want, args := range map[string][]string{
		"part 3, operator A: 1 on line 34, other cells have 2": {missing},
		"no such file":           {"nowhere.csv"},
		"the tolerance is empty": {gaugeData, "--low", "1", "--high", "0"},
		"--guard-factor -1":      {gaugeData, "--guard-factor", "-1"},
		"--largest-ratio 0":      {gaugeData, "--largest-ratio", "0"},
		"--resolution -1":        {gaugeData, "--resolution", "-1"},
		"confidence 1":           {gaugeData, "--confidence", "1"},
		`interaction "no"`:       {gaugeData, "--interaction", "no"},
		`";;" for "--separator"`: {gaugeData, "--separator", ";;"},
		`no column "weight"`:     {gaugeData, "--column", "weight"},
		"the unit asked for is":  {gaugeData, "--unit", "mm"},
		"usage: clampodds gauge": {},
	} {
		got := invoke(append([]string{"gauge"}, args...)...)
		assert.Equal(t, exitUsage, got.code, "%v: %s", args, got.stderr)
		assert.Contains(t, got.stderr, want)
		assert.Empty(t, got.stdout)
	}
}

// A normal spread less that of the gauge, from the readings and from the result, in another
// unit as well; sixty readings leave the estimate off by 1 %.
func TestFitTakesTheGaugeOut(t *testing.T) {
	long(t)
	study := gaugeJSON(t, exitDone, gaugeData)
	result := write(t, "gauge.json", invoke("gauge", gaugeData, "--format", "json").stdout)
	spread := func(args ...string) float64 {
		got := invoke(append([]string{"fit", audit(t, 60), "--family", "normal", "--bootstrap", "0", "--format", "json"}, args...)...)
		require.Equal(t, exitDone, got.code, got.stderr)
		var f reports.Fit
		require.NoError(t, json.Unmarshal([]byte(got.stdout), &f))
		return f.Families[0].Parameters[1].Value
	}
	want := math.Sqrt(0.02*0.02 - study.Scatter.Several*study.Scatter.Several)
	assert.InEpsilon(t, want, spread("--gauge-study", gaugeData), 0.01)
	assert.Equal(t, spread("--gauge-study", gaugeData), spread("--gauge-study", result))
	assert.Equal(t, spread("--gauge", fmt.Sprint(study.Scatter.Several)), spread("--gauge-study", result))
	assert.Equal(t, spread("--gauge", fmt.Sprint(study.Scatter.One)), spread("--gauge-study", result, "--one-operator"))

	text, err := os.ReadFile(gaugeData)
	require.NoError(t, err)
	inch := write(t, "inch.csv", strings.ReplaceAll(string(text), "[N*m]", "[in*lbf]"))
	assert.Less(t, spread("--gauge-study", gaugeData), spread("--gauge-study", inch), "an inch pound is a ninth")
	assert.Contains(t, invoke("fit", audit(t, 60), "--gauge-study", gaugeData, "--bootstrap", "0").stdout, "Taken out of the fitted spread")

	none := write(t, "none.csv", strings.ReplaceAll(string(text), " [N*m]", ""))
	for want, args := range map[string][]string{
		"give one of them":                 {"--gauge", "0.001", "--gauge-study", gaugeData},
		"there is none":                    {"--one-operator"},
		"no such file":                     {"--gauge-study", "nowhere.json"},
		"no result of gauge":               {"--gauge-study", write(t, "a.json", `{"schema": "clampodds.fit/1"}`)},
		"it gives no uncertainty":          {"--gauge-study", write(t, "b.json", `{"schema": "clampodds.gauge/1"}`)},
		"no column of parts":               {"--gauge-study", audit(t, 12)},
		"has no unit":                      {"--gauge-study", none},
		"the gauge study is in mm":         {"--gauge-study", write(t, "c.csv", strings.ReplaceAll(string(text), "[N*m]", "[mm]"))},
		"must be below the standard devia": {"--gauge-study", write(t, "d.csv", "part,torque [N*m]\na,1\na,2\nb,1\nb,2.5\n")},
	} {
		got := invoke(append([]string{"fit", audit(t, 60), "--bootstrap", "0"}, args...)...)
		assert.Equal(t, exitUsage, got.code, "%v: %s", args, got.stderr)
		assert.Contains(t, got.stderr, want)
	}
}
