package study

import (
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
)

const twelveReadings = `{ shape = "normal", mean = "0.70 N*m", sd = "0.02 N*m", readings = 12 }`

// What few readings leave open of an input are two inputs that are not known, one
// number each for all cards; averaged over there are none.
func TestFewReadingsLeaveMeanAndSpreadOpen(t *testing.T) {
	s := withTorque(t, twelveReadings, `"0.06 N*m"`, "")
	known := s.Input("screw.torque")
	assert.InDelta(t, 0.02, known.Dist.StdDev(), 1e-15, "as if the parameters were known")
	for _, key := range []string{"screw.torque.mean_left_open", "screw.torque.spread_left_open"} {
		in := s.Input(key)
		require.NotNil(t, in, key)
		assert.True(t, in.Knowledge)
		assert.Equal(t, sim.Design, in.Level)
	}
	averaged := s.Averaged()
	student, err := dist.NewStudentT(11, 0.7, 0.02*1.040832999733066) // sqrt(13/12)
	require.NoError(t, err)
	assert.InEpsilon(t, student.CDF(0.62), averaged.Input("screw.torque").Dist.CDF(0.62), 1e-12, "one formula written twice")
	assert.Nil(t, averaged.Input("screw.torque.mean_left_open"))
	assert.NotNil(t, s.Input("screw.torque.mean_left_open"), "the study itself is not changed")
}

// The model takes the torques of both edges as they are under the mean and the
// spread of the row: those of a study with them as constants.
func TestModelMovesWhatIsLeftOpen(t *testing.T) {
	s := withTorque(t, twelveReadings, `"0.06 N*m"`, "")
	for _, nominal := range []float64{0.7, 1.05} {
		moved, err := s.WithTorque(nominal)
		require.NoError(t, err)
		variables, _ := moved.Variables()
		x := make([][]float64, len(variables))
		for i, v := range variables {
			x[i] = []float64{v.Dist.Quantile(0.5)}
		}
		at := func(name string) *float64 {
			return &x[slices.IndexFunc(variables, func(v sim.Variable) bool { return v.Name == name })][0]
		}
		scale := nominal / 0.7
		*at("screw.torque/left"), *at("screw.torque/right") = scale*0.72, scale*0.68
		*at("screw.torque.mean_left_open"), *at("screw.torque.spread_left_open") = 0.5, 1.5
		open := evaluated(t, moved, x)
		// 0.7 + 0.02·1.5 (±1 + 0.5), with the torque's scale.
		*at("screw.torque/left"), *at("screw.torque/right") = scale*0.745, scale*0.685
		*at("screw.torque.mean_left_open"), *at("screw.torque.spread_left_open") = 0, 1
		assert.InDeltaSlice(t, evaluated(t, moved, x), open, 1e-9, "roundings of a chain")
	}
}

// One model serves all workers: what it keeps between calls is not shared by calls that overlap.
func TestModelServesManyGoroutines(t *testing.T) {
	s := withTorque(t, twelveReadings, `"0.06 N*m"`, "")
	m, err := s.Model()
	require.NoError(t, err)
	variables, _ := s.Variables()
	var all sync.WaitGroup
	for worker := range 4 {
		x := make([][]float64, len(variables))
		for i, v := range variables {
			x[i] = []float64{v.Dist.Quantile(0.2 + 0.2*float64(worker))}
		}
		alone := outputs(m, x)
		all.Go(func() {
			for range 50 {
				assert.Equal(t, alone, outputs(m, x))
			}
		})
	}
	all.Wait()
}

func evaluated(t *testing.T, s *Study, x [][]float64) (row []float64) {
	t.Helper()
	m, err := s.Model()
	require.NoError(t, err)
	return outputs(m, x)
}

// outputs are those of one row.
func outputs(m *Model, x [][]float64) (row []float64) {
	y := make([][]float64, len(m.Outputs()))
	for j := range y {
		y[j] = make([]float64, 1)
	}
	m.Evaluate(x, y)
	for _, column := range y {
		row = append(row, column[0])
	}
	return row
}
