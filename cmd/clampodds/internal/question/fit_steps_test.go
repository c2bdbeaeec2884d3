package question

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist/fit"
	"clampodds/dist/readings"
)

// onThree are invented torques read on a coarse scale, N*m.
const onThree = "torque [N*m]\n0.7\n0.7\n0.8\n0.7\n0.6\n0.7\n0.8\n0.7\n0.7\n0.6\n0.7\n0.8\n0.7\n"

// That the gauge's step is coarse comes before the entry, declared or not, with what it does.
func TestCoarseStepsComeFirst(t *testing.T) {
	for _, resolution := range []float64{0, 0.1} {
		r, _ := fitText(t, onThree, func(f *Fit) { f.Resolution = resolution })
		require.NotNil(t, r.Steps)
		assert.Equal(t, 3, r.Steps.Values)
		assert.InEpsilon(t, 0.1, r.Steps.Step, 1e-9)
		// sd of five times 0, two of -1 and three of +1 by hand: sum of squares 5 - 1/13, over 12
		variance := (5 - 1./13) / 12 * 0.01
		assert.InEpsilon(t, 0.01/12/variance, r.Steps.Share, 1e-9)
		assert.InEpsilon(t, 0.1/math.Sqrt(variance), r.Steps.OfSD, 1e-9)
		// chi-square with 12 degrees of freedom, 2.5 and 97.5 %: 4.404, 23.337 (common tables)
		assert.InEpsilon(t, math.Sqrt(23.337/4.404), r.Steps.Exact, 1e-3)
		assert.Greater(t, r.Steps.Factor, r.Steps.Exact)
		assert.Contains(t, r.Document().Blocks[0], "COARSE STEPS: the 13 readings stand on 3 values, in steps of 0.1 N*m, 1.6 of their standard deviations.")
	}
	fine, _ := fitText(t, thirteen, nil)
	assert.Nil(t, fine.Steps)
}

// Two neighbouring values leave the spread open: there is no entry, least of all of a family that none would think of.
func TestTwoValuesGiveNoEntry(t *testing.T) {
	table, err := readings.Read(strings.NewReader("torque [N*m]\n0.7\n0.7\n0.8\n0.7\n0.7\n0.8\n"), readings.Options{})
	require.NoError(t, err)
	whole := fit.Range{Low: math.Inf(-1), High: math.Inf(1)}
	_, _, err = Fit{Limits: whole, Kept: whole, Options: fit.Options{Level: 0.95, Replicates: 199}, Chance: 0.9}.Ask("audit.csv", "", table)
	assert.ErrorContains(t, err, "two neighbouring values, 0.1 apart")
	// Flatness may well be half-normal, with most readings at 0.
	r, _ := fitText(t, "flatness [um]\n0\n0\n5\n0\n0\n5\n0\n0\n", func(f *Fit) { f.Input = "" })
	assert.Contains(t, []string{"half-normal", "rayleigh"}, r.Choice.Family)
}
