package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
)

// The direct face of the demo, and what it says of bow and crown.
const (
	demoBow   = "bow   = { shape = \"half-normal\", p95 = \"25 um\", source = \"flatness 0.025 mm on the drawing, as 95th percentile, common practice\" }\n"
	demoCrown = "crown = { shape = \"half-normal\", p95 = \"10 um\", source = \"two fifths of the flatness, over a twentieth of the length, invented\" }\n"
	demoCost  = "[[cost]]\ninput = \"face.direct.crown\""
)

// With a flatness its split is lack of knowledge unless the study says otherwise.
func TestFlatnessIsSplit(t *testing.T) {
	s, err := example(t, "two-face.toml", demoBow, "flatness = \"25 um\"\n", demoCrown, "", demoCost, "[[cost]]\ninput = \"face.piece.crown\"")
	require.NoError(t, err)
	for key, top := range map[string]float64{"face.direct.flatness_across": 0.5, "face.direct.flatness_waves": 0.5, "face.direct.wave_count": 7} {
		in := s.Input(key)
		require.IsType(t, dist.Uniform{}, in.Dist, key)
		_, high := in.Dist.Support()
		assert.Equal(t, top, high, key)
		assert.True(t, in.Knowledge && in.Level == sim.Design && in.Origin == Default, key)
	}
	assert.Zero(t, s.Input("face.direct.bow").Nominal)
	assert.Equal(t, "in face.direct.flatness", s.Input("face.direct.crown").Source)

	s, err = example(t, "two-face.toml", demoBow, "flatness = \"25 um\"\nflatness_across = 0.3\nflatness_waves = 0\n", demoCrown, "", demoCost, "[[cost]]\ninput = \"face.piece.crown\"")
	require.NoError(t, err)
	assert.Equal(t, 0.3, s.Input("face.direct.flatness_across").Nominal)
	assert.True(t, s.Input("face.direct.wave_count").off(), "there are no waves to count")
}

// A piece's flatness is all crown.
func TestFlatnessOfAPiece(t *testing.T) {
	crown := "[face.piece]\ncrown = { shape = \"half-normal\", p95 = \"3 um\""
	s, err := example(t, "two-face.toml", crown, "[face.piece]\nflatness = { shape = \"half-normal\", p95 = \"4 um\"")
	require.NoError(t, err)
	assert.InEpsilon(t, 4e-6, s.Input("face.piece.crown").Dist.Quantile(0.95), 1e-12)
	_, err = example(t, "two-face.toml", crown, "[face.piece]\nflatness = \"3 um\"\ncrown = { shape = \"half-normal\", p95 = \"3 um\"")
	assert.ErrorContains(t, err, "face.piece.crown: face.piece.flatness is given too, which holds it")
}

func TestFlatnessGivenTwice(t *testing.T) {
	_, err := example(t, "two-face.toml", demoBow, "flatness = \"25 um\"\n")
	assert.ErrorContains(t, err, "two-face.toml:84: face.direct.crown: face.direct.flatness is given too, which holds it (give the flatness, or its parts)")
	_, err = example(t, "two-face.toml", demoBow, demoBow+"flatness_across = 0.3\n")
	assert.ErrorContains(t, err, "face.direct.flatness_across = 0.3: it splits face.direct.flatness, which is not given")
}

// What an extending study says in the other way stands in place of its base's, both ways.
func TestFlatnessExtendsItsParts(t *testing.T) {
	const parts = "[face.direct]\nbow = \"25 um\"\ncrown = \"10 um\"\n"
	cost := "[[cost]]\ninput = \"screw.torque\"\nsteps = [{ spread = 1, cost = 1 }]\n"
	whole := "extends = \"two-face.toml\"\n[face.direct]\nflatness = \"20 um\"\n" + cost
	base, err := example(t, "two-face.toml")
	require.NoError(t, err)
	open := func(name string) ([]byte, error) {
		if name == "whole.toml" {
			return []byte(whole), nil
		}
		return base.sources.open(name)
	}
	s, err := Parse("whole.toml", []byte(whole), open)
	require.NoError(t, err)
	assert.Equal(t, 20e-6, s.Input("face.direct.flatness").Nominal)
	assert.Zero(t, s.Input("face.direct.bow").Nominal)
	s, err = Parse("parts.toml", []byte("extends = \"whole.toml\"\n"+parts), open)
	require.NoError(t, err)
	assert.True(t, s.Input("face.direct.flatness").off())
	assert.Equal(t, 10e-6, s.Input("face.direct.crown").Nominal)
}
