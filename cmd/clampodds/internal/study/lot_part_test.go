package study

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/testdata/studies"
)

// withFlatness is the two-face example with another flatness of the direct face.
func withFlatness(t testing.TB, flatness string) *Study {
	t.Helper()
	s, err := Parse("s.toml", []byte("extends = \"two-face.toml\"\n[face.direct]\nflatness = "+flatness+"\n"), studies.Files.ReadFile)
	require.NoError(t, err)
	return s
}

// drawnUnits draws one unit in each of n new lots, as a run does, with what is left open drawn as well; rows of lots of several
// units come one after another.
func drawnUnits(t testing.TB, s *Study, key string, lots, perLot int) []float64 {
	t.Helper()
	m, err := s.Model()
	require.NoError(t, err)
	variables, _ := s.Variables()
	random := rand.New(rand.NewPCG(5, 9))
	x := make([][]float64, len(variables))
	at := -1
	for i, v := range variables {
		if v.Input == key && at < 0 {
			at = i
		}
		for range lots {
			shared := v.Dist.Quantile(random.Float64())
			for range perLot {
				value := v.Dist.Quantile(0.5)
				switch {
				case v.Input == key:
					value = v.Dist.Quantile(random.Float64())
				case v.Level == sim.Lot || v.Level == sim.Design: // each row stands for a study with other unknowns
					value = shared
				}
				x[i] = append(x[i], value)
			}
		}
	}
	require.GreaterOrEqual(t, at, 0, key)
	return m.Values(x)[at]
}

// The share above a limit among units of new lots, drawn as a run draws them, is that of the truth: both parts lognormal,
// or both normal, are one with the sum of the variances. Three standard errors of 40 000 draws: false alarm 1 in 370 each.
func TestUnitsOfNewLots(t *testing.T) {
	const draws = 40_000
	for _, c := range []struct {
		of         func(entry string) *Study
		key, entry string
		limit      float64
		score      float64 // of the limit
	}{
		{func(entry string) *Study { return withFlatness(t, entry) }, "face.direct.flatness", `{ shape = "lognormal", median = "12 um", sigma_ln = 0.3, lot_sigma_ln = 0.4 }`, 24e-6, math.Log(2) / 0.5},
		{func(entry string) *Study { return withTorque(t, entry, `"0.06 N*m"`, "") }, "screw.torque", `{ shape = "normal", mean = "0.70 N*m", sd = "0.012 N*m", lot_sd = "0.016 N*m" }`, 0.74, 2},
	} {
		s := c.of(c.entry)
		want := dist.NormalSurvival(c.score)
		above := 0
		for _, x := range drawnUnits(t, s, c.key, draws, 1) {
			if x > c.limit {
				above++
			}
		}
		assert.InDelta(t, want, float64(above)/draws, 3*math.Sqrt(want*(1-want)/draws), c.key)
		assert.InEpsilon(t, want, s.Input(c.key).Averaged().Survival(c.limit), 1e-3, "the mixture of levels a quarter apart")
		averaged := s.Averaged()
		assert.Nil(t, averaged.Input(c.key+".lot"))
		assert.InEpsilon(t, want, averaged.Input(c.key).Dist.Survival(c.limit), 1e-3)
		assert.NotNil(t, s.Input(c.key+".lot"), "the study itself is not changed")
	}
}

// A factor keeps what is never negative so, and units of one lot go together: the logarithms' variance within lots is 0.09
// of 0.25 in all. The variance within 4000 lots of 5 has a standard error of 1.1 %.
func TestUnitsOfOneLotGoTogether(t *testing.T) {
	s := withFlatness(t, `{ shape = "lognormal", median = "12 um", sigma_ln = 0.3, lot_sigma_ln = 0.4 }`)
	within := 0.0
	const lots, perLot = 4000, 5
	values := drawnUnits(t, s, "face.direct.flatness", lots, perLot)
	for lot := range lots {
		mean, squares := 0.0, 0.0
		for _, x := range values[lot*perLot : (lot+1)*perLot] {
			mean += math.Log(x) / perLot
			squares += math.Log(x) * math.Log(x)
		}
		within += (squares - perLot*mean*mean) / (perLot - 1) / lots
	}
	assert.InEpsilon(t, 0.09, within, 0.034, "three standard errors")
	assert.Positive(t, slices.Min(drawnUnits(t, withFlatness(t, `{ shape = "half-normal", scale = "12 um", readings = 40, lot_sigma_ln = 0.4, lots_read = 6 }`), "face.direct.flatness", 2000, 1)))
}

// Six lots leave mean and spread of the lots open as six readings do those of a normal shape: averaged over them a lot is
// Student's t with 5 degrees of freedom.
func TestFewLotsLeaveTheirSpreadOpen(t *testing.T) {
	s := withTorque(t, `{ shape = "normal", mean = "0.70 N*m", sd = "0.0001 N*m", lot_sd = "0.02 N*m", lots_read = 6 }`, `"0.06 N*m"`, "")
	level := s.Input("screw.torque.lot")
	require.NotNil(t, level)
	assert.Equal(t, sim.Lot, level.Level)
	assert.False(t, level.Knowledge)
	for _, key := range []string{"screw.torque.lot.mean_left_open", "screw.torque.lot.spread_left_open"} {
		assert.True(t, s.Input(key).Knowledge, key)
		input, lots := s.RestsOn(key)
		assert.Equal(t, "screw.torque.lot", input)
		assert.Equal(t, 6, lots)
	}
	student, err := dist.NewStudentT(5, 0.7, 0.02*math.Sqrt(7./6))
	require.NoError(t, err)
	const draws, limit = 40_000, 0.66
	below := 0
	for _, x := range drawnUnits(t, s, "screw.torque", draws, 1) {
		if x < limit {
			below++
		}
	}
	want := student.CDF(limit)
	assert.InDelta(t, want, float64(below)/draws, 3*math.Sqrt(want/draws), "false alarm 1 in 370")
}

// A torque that is moved takes the part of its lot along.
func TestPartOfALotMovesWithTheTorque(t *testing.T) {
	s := withTorque(t, `{ shape = "normal", mean = "0.70 N*m", sd = "0.01 N*m", lot_sd = "0.02 N*m" }`, `"0.06 N*m"`, "")
	moved, err := s.WithTorque(1.05)
	require.NoError(t, err)
	assert.InEpsilon(t, 0.03, moved.Input("screw.torque").lot.sd, 1e-12)
	assert.InEpsilon(t, 0.02, s.Input("screw.torque").lot.sd, 1e-12)
	assert.False(t, sameInput(s.Input("screw.torque"), moved.Input("screw.torque")))
	p := (&lotPart{sd: 0.5, factor: true}).moved(2, 1, nil)
	assert.InEpsilon(t, 1+2*3*math.Exp(0.5), p.given(1+2*3, 1), 1e-12, "of the distance that was moved along")
}
