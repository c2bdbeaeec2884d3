package question

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
)

// What a tolerance is now, and would become, is what stands in the study: Ra 1.6 um is not told as its rms
// value, 2.0 um, which typed in again would be taken for an Ra.
func TestARoughnessIsToldAsTyped(t *testing.T) {
	s, err := study.Load("../../../../testdata/studies/two-face.toml")
	require.NoError(t, err)
	in := s.Input("flange.roughness")
	assert.Equal(t, "P95 1.60 µm", band(in, in.Dist))
	assert.Contains(t, meanText(in), "0.87", "lognormal, median 0.8 and P95 1.6: exp(ln(0.8) + (ln(2)/1.645)²/2)")
	torque := s.Input(TorqueKey)
	assert.Equal(t, "0.60 … 0.80 N·m", band(torque, torque.Dist))
}
