package question

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist/fit"
	"clampodds/dist/readings"
	"clampodds/reports"
	"clampodds/sim"
)

// thirteen are invented torques, N*m; of the third the first digit is a slip in TestASlipChoosesNoFamilyUnsaid.
const thirteen = "torque [N*m]\n0.694\n0.711\n0.703\n0.693\n0.680\n0.703\n0.724\n0.709\n0.731\n0.705\n0.698\n0.688\n0.715\n"

func fitText(t *testing.T, text string, change func(*Fit)) (reports.Fit, sim.Verdict) {
	t.Helper()
	table, err := readings.Read(strings.NewReader(text), readings.Options{})
	require.NoError(t, err)
	f := Fit{Limits: fit.Range{Low: math.Inf(-1), High: math.Inf(1)}, Options: fit.Options{Level: 0.95, Replicates: 199}, Chance: 0.9}
	f.Kept = f.Limits
	if change != nil {
		change(&f)
	}
	r, verdict, err := f.Ask("audit.csv", "", table)
	require.NoError(t, err)
	return r, verdict
}

// A slip of ten standard deviations makes a normal column another family's. That is said first, and the entry without it is beside
// that of the column as given, which keeps it.
func TestASlipChoosesNoFamilyUnsaid(t *testing.T) {
	clean, _ := fitText(t, thirteen, nil)
	require.Equal(t, "normal", clean.Choice.Family)
	assert.Nil(t, clean.Slips)

	target := func(f *Fit) { f.Limits.Low, f.Target = 0.5, 0.01 }
	r, verdict := fitText(t, strings.Replace(thirteen, "0.703", "0.903", 1), target)
	require.NotNil(t, r.Slips)
	assert.Equal(t, &reports.Slips{Readings: []reports.MarkedReading{{Line: 4, Reading: 0.903}}, Family: fit.Normal, Without: fit.Normal, Entry: r.Slips.Entry}, r.Slips)
	assert.NotEqual(t, "normal", r.Choice.Family)
	assert.Contains(t, r.Entry, "readings = 13")
	assert.Contains(t, r.Slips.Entry, "readings = 12")
	assert.True(t, strings.HasSuffix(r.Entry, " } # look first at what it holds: line 4 (0.903 N*m): mistyped?"), r.Entry)
	assert.NotContains(t, clean.Entry, "#")
	pasted := filepath.Join(t.TempDir(), "pasted.toml")
	base, err := filepath.Abs("../../../../testdata/studies/two-face.toml")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(pasted, []byte(fmt.Sprintf("extends = %q\nscrew.torque = %s\n", base, r.Entry)), 0o600))
	_, err = study.Load(pasted)
	assert.NoError(t, err, "the comment goes with it into a study")
	assert.Equal(t, sim.Undecided, verdict, "nothing is shown by a curve that a slip chose")
	assert.Equal(t, fit.Outliers, r.Beyond[0].Doubt.Code)
	first, ok := r.Document().Blocks[0].(reports.Paragraph)
	require.True(t, ok)
	assert.Contains(t, first, "LOOK FIRST AT LINE 4 (0.903 N*m): too far out for normal, the family of all others; with line 4 the column is "+r.Choice.Family)

	r, _ = fitText(t, strings.Replace(thirteen, "0.703", "0.903", 1), func(f *Fit) { f.Families = []string{"normal"} })
	require.NotNil(t, r.Slips, "a family that is given is not chosen, and has an outlier")
	assert.Equal(t, "normal", r.Choice.Family)
	assert.Contains(t, r.Document().Blocks[0], "LOOK FIRST AT LINE 4 (0.903 N*m): too far out for normal. No reading is left out")
}

// A column pasted below itself is told first, by its lines, and shows no target: there are half as many readings as it says.
func TestAColumnPastedTwiceIsTold(t *testing.T) {
	target := func(f *Fit) { f.Limits.Low, f.Target = 0.6, 0.01 }
	twice := thirteen + strings.TrimPrefix(thirteen, "torque [N*m]\n")
	r, verdict := fitText(t, twice, target)
	assert.Equal(t, &reports.Repeated{Readings: 13, Lines: [2]int{2, 14}, Again: [2]int{15, 27}, Rate: 0.005}, r.Repeated)
	assert.Contains(t, reportText(t, r.Document()), "LOOK FIRST AT LINES 15 TO 27: they repeat lines 2 to 14, 13 readings in the same order.")
	assert.Equal(t, sim.Undecided, verdict)
	assert.Equal(t, fit.Repeats, r.Beyond[0].Doubt.Code)
	assert.True(t, strings.HasSuffix(r.Entry, "# look first at what it holds: lines 15 to 27, which repeat lines 2 to 14: pasted twice?"), r.Entry)
	r, verdict = fitText(t, thirteen+"0.700\n0.702\n", target)
	assert.Nil(t, r.Repeated)
	assert.Equal(t, sim.Met, verdict)
}
