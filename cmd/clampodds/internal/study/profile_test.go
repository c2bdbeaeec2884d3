package study

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// faceFile is a measured face made up of a tilted plane, a bow, a crown and waves of
// the given heights, in mm and um.
func faceFile(bow, crown, waves float64, count int) string {
	var b strings.Builder
	b.WriteString("x,y,z\n")
	for i := range 27 {
		for j := range 5 {
			u, v := float64(i)/26-0.5, float64(j)/4-0.5
			z := 7 + 30*u - 12*v + 4*bow*u*u - 4*crown*v*v + waves/2*math.Sin(2*math.Pi*float64(count)*u+0.4)
			fmt.Fprintf(&b, "%.6f,%.6f,%.9f\n", 130*u+65, 6*v, z)
		}
	}
	return b.String()
}

// withProfile is the demo with a measured direct face.
func withProfile(t *testing.T, csv, key string) (*Study, error) {
	base, err := example(t, "two-face.toml")
	require.NoError(t, err)
	text := "extends = \"two-face.toml\"\n[face.direct]\n" + key + "\n[[cost]]\ninput = \"screw.torque\"\nsteps = [{ spread = 1, cost = 1 }]\n"
	return Parse("measured.toml", []byte(text), func(name string) ([]byte, error) {
		if name == "face.csv" {
			return []byte(csv), nil
		}
		return base.sources.open(name)
	})
}

const profileKey = `profile = { file = "face.csv", unit = "mm", height_unit = "um" }`

// A face put together from its parts comes apart into them, the plane removed.
func TestProfileComesApart(t *testing.T) {
	s, err := withProfile(t, faceFile(20, 8, 3, 4), profileKey)
	require.NoError(t, err)
	crown, along := 8e-6, 23e-6
	assert.InEpsilon(t, crown+along, s.Input("face.direct.flatness").Nominal, 2e-4) // peaks between 720 points
	assert.InEpsilon(t, crown/(crown+along), s.Input("face.direct.flatness_across").Nominal, 2e-4)
	assert.InEpsilon(t, 3e-6/along, s.Input("face.direct.flatness_waves").Nominal, 2e-4)
	assert.InEpsilon(t, 4, s.Input("face.direct.wave_count").Nominal, 1e-6)
	assert.Zero(t, s.Input("face.direct.bow").Nominal)
	assert.Contains(t, s.Files, "face.csv")
}

func TestProfileRefused(t *testing.T) {
	for _, c := range []struct{ csv, key, want string }{
		{faceFile(20, 8, 3, 4), profileKey + "\nbow = \"3 um\"", "face.direct.bow = \"3 um\": face.direct.profile is given too, which holds it"},
		{faceFile(20, 8, 3, 4), "profile = \"face.csv\"", "a table expected"},
		{faceFile(20, 8, 3, 4), strings.Replace(profileKey, `"um"`, `"N"`, 1), "face.direct.profile.height_unit"},
		{faceFile(20, 8, 3, 4), strings.Replace(profileKey, "face.csv", "none.csv", 1), "none.csv cannot be read"},
		{"x,y,z\n1,1,1\n2,2,2\n", profileKey, "a face is measured at 7 places along and 3 across at least, here 2 and 2"},
		{faceFile(20, 8000, 3, 4), profileKey, "allowed is 0 mm to 2 mm"},
		{"x,y,z\n1,1,a\n", profileKey, "face.csv:2"},
	} {
		_, err := withProfile(t, c.csv, c.key)
		assert.ErrorContains(t, err, c.want)
	}
}
