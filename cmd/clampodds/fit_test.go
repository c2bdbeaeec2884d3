package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/reports"
)

// fitted is what the tests read of the JSON of fit.
type fitted struct {
	Entry    string
	Families []struct{ Family string }
	Beyond   []struct {
		PlugIn     float64 `json:"plug_in"`
		Predictive float64
		Upper      float64 `json:"upper_bound"`
	} `json:"beyond_limits"`
	Warnings []struct{ Code, Text string }
	Choice   struct {
		Family, Reason string
		Quantity       string `json:"not_below_zero"`
	}
	Outliers []struct {
		Line    int
		Reading float64
	}
	Flags struct {
		Reason string `json:"not_given"`
	}
	Description []struct {
		Name  string
		Value float64
	}
	Capability []struct{ Index string }
	RunChart   []struct{ Name string } `json:"run_chart"`
	NewLot     string                  `json:"entry_new_lot"`
	NoNewLot   string                  `json:"no_entry_new_lot"`
	PerLot     []struct {
		Lot      string
		Readings int
		Mean     float64
	} `json:"per_lot"`
}

func fitOf(t *testing.T, args ...string) fitted {
	t.Helper()
	got := invoke(append([]string{"fit", "--format", "json"}, args...)...)
	require.Equal(t, exitDone, got.code, got.stderr)
	var f fitted
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &f))
	return f
}

// audit writes n readings that are normal quantiles, scaled so that their mean is
// 0.70 and their standard deviation (n-1) 0.02 N*m exactly.
func audit(t *testing.T, n int) string {
	t.Helper()
	z, squares := make([]float64, n), 0.0
	for i := range z {
		z[i] = dist.NormalQuantile((float64(i) + 0.5) / float64(n))
		squares += z[i] * z[i]
	}
	scale := 0.02 / math.Sqrt(squares/float64(n-1))
	var b strings.Builder
	b.WriteString("torque [N*m]\n")
	for i := range z {
		fmt.Fprintf(&b, "%.12f\n", 0.70+scale*z[(i*7919)%n]) // shuffled: no drift
	}
	return write(t, fmt.Sprintf("audit-%d.csv", n), b.String())
}

// TestFewReadingsGiveAnotherStatementThanMany: same mean, same spread, 12 readings
// and 1200. The expected values are Student's t with n-1 degrees of freedom,
// P(t > (0.70-0.62)/(0.02 sqrt(1+1/n))), from dist, which is checked on its own.
func TestFewReadingsGiveAnotherStatementThanMany(t *testing.T) {
	var few, many fitted
	for n, f := range map[int]*fitted{12: &few, 1200: &many} {
		*f = fitOf(t, audit(t, n), "--family", "normal", "--low", "0.62", "--bootstrap", "0")
		student, err := dist.NewStudentT(float64(n-1), 0.70, 0.02*math.Sqrt(1+1/float64(n)))
		require.NoError(t, err)
		assert.InEpsilon(t, student.CDF(0.62), f.Beyond[0].Predictive, 1e-6, "the readings are written with 12 decimals")
		assert.InEpsilon(t, dist.NormalCDF(-4), f.Beyond[0].PlugIn, 1e-6, "same reason")
	}
	assert.Greater(t, few.Beyond[0].Predictive, 20*many.Beyond[0].Predictive)
	assert.Greater(t, few.Beyond[0].Upper, 10*many.Beyond[0].Upper)
	assert.Contains(t, few.Entry, "readings = 12")
}

// TestEntryCanBePasted puts the printed entry into a study.
func TestEntryCanBePasted(t *testing.T) {
	f := fitOf(t, filepath.Join(root, "testdata", "studies", "audit.csv"), "--column", "torque", "--unit", "N*m", "--bootstrap", "0")
	old := `{ shape = "normal", nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95, low = "0.60 N*m", high = "0.80 N*m", source = "tool +-6 %, ISO 6789; cut at the audit limits, invented" }`
	path := changed(t, old, f.Entry)
	got := invoke("check", path, "--quiet", "--format", "json")
	require.Equal(t, exitDone, got.code, got.stderr)
	assert.Contains(t, got.stdout, "readings 60")
}

func TestFitRefuses(t *testing.T) {
	data := write(t, "d.csv", "torque\n0.7\n=1+1\nx\n")
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"fit", data}, "line 3"},
		{[]string{"fit", write(t, "e.csv", "")}, "e.csv"},
		{[]string{"fit", "nowhere.csv"}, "nowhere.csv"},
		{[]string{"fit", data, "--separator", "ab"}, "one character"},
		{[]string{"fit", audit(t, 12), "--unit", "in*lbf"}, `the unit asked for is "in*lbf", the file has "N*m"`},
		{[]string{"fit", audit(t, 12), "--family", "cauchy"}, "cauchy"},
		{[]string{"fit", audit(t, 12), "--low", "nan"}, "lower limit is NaN"},
		{[]string{"fit", audit(t, 12), "--high", "nan"}, "upper limit is NaN"},
	} {
		got := invoke(c.args...)
		assert.Equal(t, exitUsage, got.code, "%v: %s", c.args, got.stderr)
		assert.Contains(t, got.stderr, c.want)
		assert.Empty(t, got.stdout)
	}
}

func TestAUnitSpeltAnotherWayIsTheSame(t *testing.T) {
	data := audit(t, 12) // in N*m
	assert.Equal(t, fitOf(t, data, "--bootstrap", "0").Beyond, fitOf(t, data, "--unit", "N·m", "--bootstrap", "0").Beyond)
	got := invoke("fit", write(t, "t.csv", "wall [degC]\n20\n21\n22\n23\n"), "--unit", "degF", "--bootstrap", "0")
	assert.Equal(t, exitUsage, got.code, got.stderr)
	assert.Contains(t, got.stderr, "the file has \"degC\"")
}

func TestFitReadsASpreadsheetExport(t *testing.T) {
	path := filepath.Join(t.TempDir(), "export.csv")
	require.NoError(t, os.WriteFile(path, []byte("\ufeffSchraube;Moment;Los\r\n;N*m;\r\n1;0,70;A\r\n2;0,71;A\r\n\r\n3;0,69;B\r\n4;0,72;B\r\n5;0,70;C\r\n6;0,68;C\r\n"), 0o644))
	got := invoke("fit", path, "--column", "Moment", "--lot", "Los", "--decimal-comma", "--family", "normal", "--low", "0.6", "--high", "0.8")
	assert.Equal(t, exitDone, got.code, got.stderr)
	assert.Contains(t, got.stdout, "Between and within lots [N*m]")
	assert.Contains(t, got.stdout, "None for units of new lots: the lots are no further apart than readings of one lot")
	assert.Contains(t, got.stdout, `mean = "0.7 N*m"`)
}

// What few readings leave open is kept apart in a run: the same torque from 5 and
// from 500 readings, the screw's limit moved to where some cards in a hundred exceed.
func TestFewReadingsAreLackOfKnowledge(t *testing.T) {
	long(t)
	below := func(readings int) reports.Unknown {
		path := shortClamp(t, frozen, fmt.Sprintf(`
screw.torque = { shape = "normal", mean = "0.70 N*m", sd = "0.07 N*m", readings = %d }
limits.screw_stress = { max = 0.75, target = 0.05 }
wall.temperature = "56 degC"
limits.spot = { max = "95 degC", target = 0.5 }
`, readings))
		got := invoke("run", path, "--samples", "6000", "--no-conditions", "--quiet", "--format", "json")
		require.Contains(t, []int{exitDone, exitUndecided, exitNotMet}, got.code, got.stderr)
		var r reports.Run
		require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
		at := slices.IndexFunc(r.Knowledge, func(u reports.Unknown) bool { return u.Name == "screw_stress" })
		require.GreaterOrEqual(t, at, 0)
		return r.Knowledge[at]
	}
	few, many := below(5), below(500)
	assert.Contains(t, few.Inputs, "screw.torque.spread_left_open")
	assert.Greater(t, few.Below.Low, many.Below.High, "five readings cannot vouch for what five hundred can")
	assert.Greater(t, few.Mixed.Value, many.Mixed.Value)
}

// What is pasted is one line, however long, and far from 0 it is the normal family
// unless the readings tell another.
func TestEntryIsOneLine(t *testing.T) {
	data := audit(t, 12)
	got := invoke("fit", data, "--family", "beta", "--beta-low", "0.612345", "--beta-high", "0.812345", "--bootstrap", "0")
	require.Equal(t, exitDone, got.code, got.stderr)
	assert.Regexp(t, `(?m)^\{ shape = "beta", .{75,}, readings = 12 \}$`, got.stdout)
	f := fitOf(t, data, "--bootstrap", "0")
	assert.Contains(t, f.Entry, `shape = "normal"`)
	assert.Contains(t, fmt.Sprint(f.Warnings), "not-distinguishable")
}

// A gauge known by its limit counts with limit/sqrt(3) (JCGM 100:2008, 4.3.7), and
// errors of its own add up as squares.
func TestGaugeKnownByItsLimit(t *testing.T) {
	data := audit(t, 12)
	entry := func(args ...string) string {
		return fitOf(t, append([]string{data, "--family", "normal", "--bootstrap", "0"}, args...)...).Entry
	}
	assert.Equal(t, entry("--gauge", "0.005"), entry("--gauge-limit", fmt.Sprint(0.005*math.Sqrt(3))))
	assert.Equal(t, entry("--gauge", "0.005"), entry("--gauge", "0.004", "--gauge-limit", fmt.Sprint(0.003*math.Sqrt(3))))
	assert.NotEqual(t, entry(), entry("--gauge", "0.005"))
	got := invoke("fit", data, "--gauge-limit", "-1")
	assert.Equal(t, exitUsage, got.code)
	assert.Contains(t, got.stderr, "--gauge-limit -1: must be >= 0")
}

// Ordinary readings have no outliers, a wild one is marked where it stands.
func TestOutliersAreMarkedInPlace(t *testing.T) {
	text := "torque [N*m]\n0.70\n0.71\n0.69\n0.72\n0.70\n0.68\n# a remark\n%s\n0.71\n0.70\n0.69\n0.73\n0.70\n"
	assert.Empty(t, fitOf(t, write(t, "a.csv", fmt.Sprintf(text, "0.72")), "--bootstrap", "0").Outliers)
	f := fitOf(t, write(t, "b.csv", fmt.Sprintf(text, "0.92")), "--bootstrap", "0", "--family", "normal")
	require.Len(t, f.Outliers, 1)
	assert.Equal(t, 9, f.Outliers[0].Line)
	assert.Equal(t, 0.92, f.Outliers[0].Reading)
	assert.Equal(t, 12.0, f.Description[0].Value, "none is dropped")
}

// Nothing stands in for a reading beyond the gauge.
func TestBoundsAreNoValues(t *testing.T) {
	f := fitOf(t, write(t, "c.csv", "flatness [um]\n<5\n6\n9\n12\n5.5\n20\n>30\n14\n8\n11.5\n"), "--high", "40")
	assert.Contains(t, f.Flags.Reason, "only bounds")
	assert.Empty(t, f.RunChart)
	for _, d := range f.Description[2:] {
		assert.Contains(t, d.Name, "fit", "%v", d)
	}
	for _, c := range f.Capability {
		assert.Contains(t, c.Index, "percentiles of")
	}
	assert.NotEmpty(t, f.Capability)
	assert.Contains(t, fmt.Sprint(f.Warnings), "bounds-only")
}

// What the quantity can be decides between families that the readings do not tell
// apart: the eight flatnesses are as normal as can be, but flatness is not negative.
func TestPhysicsDecidesBetweenFamilies(t *testing.T) {
	const heights = "\n3.6\n5.5\n6.2\n6.8\n7.2\n7.9\n8.8\n9.8\n"
	plain := fitOf(t, write(t, "d.csv", "value"+heights), "--bootstrap", "0")
	assert.Empty(t, plain.Choice.Quantity)
	for _, f := range []fitted{
		fitOf(t, write(t, "e.csv", "flatness [um]"+heights), "--bootstrap", "0", "--family", "normal,lognormal"),
		fitOf(t, write(t, "f.csv", "value"+heights), "--bootstrap", "0", "--family", "normal,lognormal", "--input", "face.direct.crown"),
	} {
		assert.Equal(t, "lognormal", f.Choice.Family, f.Choice.Reason)
		assert.Contains(t, f.Choice.Reason, "cannot be below 0")
	}
	assert.Equal(t, "torque", fitOf(t, audit(t, 12), "--bootstrap", "0").Choice.Quantity, "by the header")
	for typed, want := range map[string]string{"crown": "face.direct.crown", "flatness": "face.direct.flatness", "screw.torqe": "screw.torque"} {
		got := invoke("fit", audit(t, 12), "--input", typed)
		assert.Equal(t, exitUsage, got.code)
		assert.Contains(t, got.stderr, "did you mean "+want)
	}
	slip := fitOf(t, write(t, "g.csv", "flatness [mm]"+heights), "--bootstrap", "0", "--input", "face.direct.flatness")
	assert.Contains(t, fmt.Sprint(slip.Warnings), "is the unit right?", "7 mm; 2 mm are the most")
	other := invoke("fit", audit(t, 12), "--input", "face.direct.flatness")
	assert.Equal(t, exitUsage, other.code)
	assert.Contains(t, other.stderr, "--input face.direct.flatness: N*m is no unit of length")
	assert.Contains(t, invoke("fit", write(t, "h.csv", "part,torque\n1,0.7\n")).stderr, "say which one holds the readings by --column")
}

func TestLotsAreNoticedAndSplit(t *testing.T) {
	data := write(t, "g.csv", "lot,torque [N*m]\nA,0.70\nA,0.71\nA,0.69\nB,0.74\nB,0.75\nB,0.735\nC,0.66\nC,0.67\nC,0.655\n")
	f := fitOf(t, data, "--column", "torque", "--bootstrap", "0")
	assert.Contains(t, fmt.Sprint(f.Warnings), `--lot "lot"`)
	f = fitOf(t, data, "--column", "torque", "--bootstrap", "0", "--lot", "lot")
	assert.NotContains(t, fmt.Sprint(f.Warnings), `--lot`)
	require.Len(t, f.PerLot, 3)
	assert.Equal(t, "B", f.PerLot[1].Lot)
	assert.InDelta(t, 2.225/3, f.PerLot[1].Mean, 1e-12)
	assert.Regexp(t, `^{ shape = "normal", mean = .*, sd = .*, lot_sd = .*, readings = 7, lots_read = 3 }$`, f.NewLot)
	old := `{ shape = "normal", nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95, low = "0.60 N*m", high = "0.80 N*m", source = "tool +-6 %, ISO 6789; cut at the audit limits, invented" }`
	pasted := invoke("run", changed(t, old, f.NewLot), "--quiet", "--samples", "2000", "--no-knowledge", "--no-conditions")
	assert.NotContains(t, []int{exitFailure, exitUsage}, pasted.code, pasted.stderr)
	got := invoke("fit", data, "--column", "torque", "--group", "lot", "--bootstrap", "0")
	assert.Equal(t, exitUsage, got.code)
	assert.Contains(t, got.stderr, "--lot")
}

// A lot of what is never negative is a factor; what is pasted is read.
func TestLotsOfWhatIsNeverNegative(t *testing.T) {
	lots := map[string]string{
		"flatness": "A,2\nA,9\nA,14\nA,5\nB,7\nB,29\nB,38\nB,13\nC,1\nC,4\nC,7\nC,3\n",
		"alike":    "A,9.1\nA,12.4\nA,5.3\nB,8.9\nB,13.1\nB,5.7\nC,5.2\nC,9.9\nC,12.1\n",
		"zero":     "A,0\nA,12.4\nA,5.3\nB,8.9\nB,13.1\nB,5.7\nC,5.2\nC,9.9\nC,12.1\n",
		"two":      "A,9.1\nA,12.4\nA,10.3\nB,28.9\nB,25.1\nB,31.7\n",
	}
	f := func(name string) fitted {
		return fitOf(t, write(t, "l.csv", "lot,flatness [um]\n"+lots[name]), "--column", "flatness", "--bootstrap", "0", "--lot", "lot", "--family", "lognormal,half-normal", "--resolution", "0.1")
	}
	entry := f("flatness").NewLot
	require.Regexp(t, `^{ shape = "half-normal", scale = ".*", lot_sigma_ln = 0\.[0-9]+, readings = 10, lots_read = 3 }$`, entry)
	examples, err := filepath.Abs(root)
	require.NoError(t, err)
	study := write(t, "s.toml", "extends = \""+examples+"/testdata/studies/two-face.toml\"\n[face.direct]\nflatness = "+entry+"\n")
	got := invoke("check", study, "--quiet")
	assert.Equal(t, exitDone, got.code, got.stderr)
	assert.Contains(t, got.stdout, "lot_sigma_ln")
	got = invoke("run", study, "--quiet", "--samples", "2000", "--no-knowledge", "--no-conditions")
	assert.NotContains(t, []int{exitFailure, exitUsage}, got.code, got.stderr)

	assert.Empty(t, f("alike").NewLot)
	assert.Contains(t, f("alike").NoNewLot, "no further apart")
	assert.Contains(t, f("zero").NoNewLot, "above 0")
	assert.Contains(t, f("two").NoNewLot, "two lots")
}

// Readings in coarse steps are taken as rounded, and the result says so.
func TestCoarseStepsCountAsRounding(t *testing.T) {
	f := fitOf(t, write(t, "h.csv", "flatness [um]\n0\n5\n10\n5\n0\n15\n5\n10\n5\n0\n5\n10\n"), "--bootstrap", "0", "--family", "half-normal,normal")
	assert.Equal(t, "half-normal", f.Choice.Family)
	assert.Contains(t, fmt.Sprint(f.Warnings), "steps of 5")
	assert.Empty(t, f.Outliers)
}

// Four readings in steps set no limits, and a curve that begins at 0 has none below it.
func TestRunChartOfTooFewReadings(t *testing.T) {
	few := write(t, "few.csv", "torque [N*m]\n0.70\n0.71\n0.69\n0.705\n")
	chart := func(family string) string {
		got := invoke("fit", few, "--family", family, "--bootstrap", "0")
		require.Equal(t, exitDone, got.code, got.stderr)
		_, chart, found := strings.Cut(got.stdout, "Run chart")
		require.True(t, found)
		return chart
	}
	assert.Contains(t, chart("normal"), "So few readings set no limits")
	assert.NotContains(t, chart("normal"), "∞")
	assert.Regexp(t, `lower limit +none\n`, chart("weibull"))
}
