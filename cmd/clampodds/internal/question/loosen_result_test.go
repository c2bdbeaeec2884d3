package question

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim/decide"
)

// What a tolerance is now, and would become, is what stands in the study: Ra 1.6 um is not told as its rms
// value, 2.0 um, which typed in again would be taken for an Ra.
func TestARoughnessIsToldAsTyped(t *testing.T) {
	s, err := study.Load("../../../../testdata/studies/two-face.toml")
	require.NoError(t, err)
	in := s.Input("flange.roughness")
	assert.Equal(t, "P95 1.60 µm", band(in, in.Dist))
	assert.Equal(t, "0.87 µm", meanText(in, 0.05*in.Dist.StdDev()), "lognormal, median 0.8 and P95 1.6: exp(ln(0.8) + (ln(2)/1.645)²/2)")
	torque := s.Input(TorqueKey)
	assert.Equal(t, "0.60 … 0.80 N·m", band(torque, torque.Dist))
}

// A mean is told in steps about as wide as it is found to, a twentieth of the standard deviation, and rounded to the side that is met.
func TestAMeanIsToldAsCloselyAsItIsFound(t *testing.T) {
	s, err := study.Load("../../../../testdata/studies/inch.toml")
	require.NoError(t, err)
	in := s.Input(TorqueKey)
	finest := 0.05 * in.Dist.StdDev()
	assert.InDelta(t, 0.0127, finest/(in.Nominal/8), 5e-4, "in·lbf: ± 0.5 at 95 %")
	assert.Equal(t, "8.00 in·lbf", meanText(in, finest))
	pound := in.Nominal / 8
	assert.Equal(t, "6.81 in·lbf", meanMoved(in, decide.Reached{Met: -1.1907 * pound, Beyond: -1.2 * pound}, finest), "6.8093")
	assert.Equal(t, "8.35 in·lbf", meanMoved(in, decide.Reached{Met: 0.3593 * pound, Beyond: 0.37 * pound}, finest))
}
