package question

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/reports"
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
