package study

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The line pasted into a study gives the study that WithTorque gives.
func TestTorqueLineIsTheMovedTorque(t *testing.T) {
	demo, err := filepath.Abs("../../../../testdata/studies/two-face.toml")
	require.NoError(t, err)
	with := func(line string) *Study {
		path := filepath.Join(t.TempDir(), "study.toml")
		require.NoError(t, os.WriteFile(path, []byte("extends = '"+demo+"'\ncost = []\n"+line+"\n"), 0o600))
		s, err := Load(path)
		require.NoError(t, err)
		return s
	}
	for _, torque := range []string{
		`screw.torque = { shape = "normal", nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95, low = "0.60 N*m", high = "0.80 N*m" }`,
		`screw.torque = { shape = "normal", nominal = "6.2 in*lbf", plus_minus = "0.4 in*lbf", coverage = 0.95 }`,
		`screw.torque = { shape = "uniform", low = "0.6 N*m", high = "0.8 N*m", per = "card" }`,
		`screw.torque = "0.7 N*m"`,
	} {
		for _, scatter := range []string{"fraction", "absolute"} {
			s := with(torque + "\ntorque.scatter = \"" + scatter + "\"")
			want, err := s.WithTorque(0.85)
			require.NoError(t, err)
			line := s.TorqueLine(0.85)
			got := with(line).Input(torqueKey)
			assert.InEpsilon(t, 0.85, got.Nominal, 1e-3, line) // five digits are written
			assert.Equal(t, want.Input(torqueKey).Level, got.Level, line)
			if got.Dist == nil {
				continue
			}
			for _, p := range []float64{0.01, 0.5, 0.99} {
				assert.InEpsilon(t, want.Input(torqueKey).Dist.Quantile(p), got.Dist.Quantile(p), 1e-3, line)
			}
		}
	}
	assert.Empty(t, with(`screw.torque = { shape = "normal", mean = "0.7 N*m", sd = "0.02 N*m", readings = 12 }`).TorqueLine(0.8), "readings do not move")
}

func TestTorqueKeysAreChecked(t *testing.T) {
	demo, err := filepath.Abs("../../../../testdata/studies/two-face.toml")
	require.NoError(t, err)
	for text, want := range map[string]string{
		"torque.most = \"0 N*m\"":                               "a torque above 0 expected",
		"torque.least = \"0.9 N*m\"\ntorque.most = \"0.8 N*m\"": "a torque above torque.least expected",
		"torque.tool_class = \"70 %\"":                          "a number between 0 and 0.5 expected",
		"torque.margin = \"2 mm\"":                              "",
	} {
		path := filepath.Join(t.TempDir(), "study.toml")
		require.NoError(t, os.WriteFile(path, []byte("extends = '"+demo+"'\n"+text+"\n"), 0o600))
		_, err := Load(path)
		assert.ErrorContains(t, err, want, text)
	}
}
