package study

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
)

// withTorque is the demo study with another torque and running torque.
func withTorque(t *testing.T, torque, prevailing, data string) *Study {
	t.Helper()
	open := func(name string) ([]byte, error) {
		switch name {
		case "base.toml":
			return os.ReadFile("../../../../testdata/studies/two-face.toml")
		case "audit.csv":
			return []byte(data), nil
		}
		return nil, os.ErrNotExist
	}
	s, err := Parse("s.toml", []byte("extends = \"base.toml\"\n[screw]\ntorque = "+torque+"\nprevailing_torque = "+prevailing+"\n"), open)
	require.NoError(t, err)
	return s
}

func TestColumnsOfOneFileKeepTheirRankCorrelation(t *testing.T) {
	column := func(name string) string {
		return `{ shape = "measured", file = "audit.csv", column = "` + name + `", unit = "N*m" }`
	}
	// Ranks 1 2 3 4 against 1 3 2 4: Spearman 1 - 6·2/(4·15) = 0.8.
	s := withTorque(t, column("set"), column("run"), "set,run\n0.68,0.05\n0.69,0.07\n0.70,0.06\n0.71,0.08\n")
	found := 0
	for _, c := range s.Correlations {
		if c.A == "screw.torque" && c.B == "screw.prevailing_torque" {
			found++
			assert.InDelta(t, 0.8, c.Rank, 1e-12) // closed form; rounding of a few sums
		}
	}
	assert.Equal(t, 1, found)
}

func TestFewReadingsWidenTheTail(t *testing.T) {
	torque := func(n string) dist.Distribution {
		s := withTorque(t, `{ shape = "normal", mean = "0.70 N*m", sd = "0.02 N*m", readings = `+n+` }`, `"0.06 N*m"`, "")
		return s.Input("screw.torque").Averaged()
	}
	few, many := torque("12"), torque("1200")
	assert.Greater(t, few.CDF(0.62), 5*many.CDF(0.62), "12 readings cannot show a tail that 1200 can")
	assert.InDelta(t, few.Quantile(0.5), many.Quantile(0.5), 1e-9, "the middle stays")
}

func TestReadingsMustBeANumberOfReadings(t *testing.T) {
	for _, n := range []string{"2", `"many"`, "2.5"} {
		open := func(string) ([]byte, error) { return os.ReadFile("../../../../testdata/studies/two-face.toml") }
		_, err := Parse("s.toml", []byte("extends = \"base.toml\"\n[screw]\ntorque = { shape = \"normal\", mean = \"0.70 N*m\", sd = \"0.02 N*m\", readings = "+n+" }\n"), open)
		require.Error(t, err, n)
		assert.Contains(t, err.Error(), "screw.torque.readings")
	}
}
