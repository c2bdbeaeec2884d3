package question

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
)

// Torques lie in round steps of the unit shown about the study's own, which is one of them
// to the last bit, and nowhere outside what was asked.
func TestExploredTorquesAreRound(t *testing.T) {
	metric := reports.Unit{Label: "N·m", Of: func(x float64) float64 { return x }}
	all, now := around(0.7, 0.37, 1.06, 15, metric)
	assert.Equal(t, 0.7, all[now])
	assert.InDeltaSlice(t, []float64{0.4, 0.45, 0.5, 0.55, 0.6, 0.65, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95, 1, 1.05}, all, 1e-12)
	inch := reports.Unit{Label: "in·lbf", Of: func(x float64) float64 { return x / 0.1129848290276167 }} // exact, of the inch and the pound
	all, _ = around(6*0.1129848290276167, 0.4, 0.95, 15, inch)
	for i, x := range all {
		all[i] = inch.Of(x)
	}
	assert.InDeltaSlice(t, []float64{4, 4.5, 5, 5.5, 6, 6.5, 7, 7.5, 8}, all, 1e-9)
}

// The ends of a ladder come before what lies between them, and what was found goes back to its setting.
func TestALadderHasItsEndsFirst(t *testing.T) {
	s := loadDemo(t)
	settings := []float64{0.5, 0.6, 0.7, 0.8}
	var asked []float64
	_, err := new(Exploring).ladder(s, settings, exploredLimits(s), func(x float64) (*study.Study, float64) {
		asked = append(asked, x)
		return s, x
	})
	require.NoError(t, err)
	assert.Equal(t, []float64{0.5, 0.8, 0.6, 0.7}, asked)
	assert.Equal(t, [][]int{nil, nil, {10, 11}, {11, 12}}, [][]int{sparedBy(10, 0), sparedBy(10, 1), sparedBy(10, 2), sparedBy(10, 3)})
	var found []sim.ScenarioResult
	for _, x := range asked {
		found = append(found, sim.ScenarioResult{Name: fmt.Sprint(x)})
	}
	var names []string
	for _, f := range bySetting(found) {
		names = append(names, f.Name)
	}
	assert.Equal(t, []string{"0.5", "0.6", "0.7", "0.8"}, names)
	// Every output has a stricter limit: by half a kelvin below the lowest explored, or 2 %.
	strict := withClearance(s, exploredLimits(s))[len(exploredLimits(s)):]
	require.Len(t, strict, len(s.Limits))
	for _, q := range strict {
		switch q.Output {
		case mainOutput(s):
			assert.InDelta(t, 273.15+85-exploreLimits*0.5-clearKelvin, q.Limit, 1e-9)
		case "utilisation.screw":
			assert.InDelta(t, 1-clearShare, q.Limit, 1e-12)
		}
	}
}
