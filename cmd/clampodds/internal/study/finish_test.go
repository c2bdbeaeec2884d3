package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim"
)

const flangeMaterial = `material  = "6061-T6"`

func TestFinishFillsTheCoat(t *testing.T) {
	s, err := example(t, "two-face.toml", flangeMaterial, flangeMaterial+`
finish = "Sulphuric anodic film"
coat.thickness = { value = "12 um", source = "drawing" }`)
	require.NoError(t, err)
	thickness, conductivity := s.Input("flange.coat.thickness"), s.Input("flange.coat.conductivity")
	assert.Equal(t, Given, thickness.Origin)
	assert.Equal(t, 12e-6, thickness.Nominal)
	assert.Equal(t, FromMaterial, conductivity.Origin)
	assert.Equal(t, 1.3, conductivity.Nominal)
	assert.True(t, conductivity.Knowledge)
	assert.Equal(t, sim.Design, conductivity.Level)
	assert.Contains(t, conductivity.Source, "Cai et al.")
	assert.Contains(t, conductivity.Source, "(published)")
	assert.Equal(t, "lognormal, median 3 GPa, sigma_ln 0.2", s.Input("flange.coat.hardness").Typed)
	assert.Zero(t, s.Input("rail.coat.thickness").Nominal)
	bare, err := example(t, "two-face.toml", flangeMaterial, flangeMaterial+"\nfinish = \"bare\"")
	require.NoError(t, err)
	assert.Zero(t, bare.Input("flange.coat.thickness").Nominal)
}

// TestTableCoatIsNotMeasured: slope and hardness of all bodies given narrow the
// contact factor, but not with the hardness of a coat out of the table.
func TestTableCoatIsNotMeasured(t *testing.T) {
	slopes := []string{"[clamp]\n", "[clamp]\nslope = 0.1\n", "[flange]\n", "[flange]\nslope = 0.1\n", "[rail]\n", "[rail]\nslope = 0.1\n"}
	spread := func(finish string) string {
		s, err := example(t, "two-face.toml", append(slopes, flangeMaterial, flangeMaterial+finish)...)
		require.NoError(t, err)
		return s.Input("contact.factor").Typed
	}
	assert.Contains(t, spread(""), "sigma_ln 0.12")
	assert.Contains(t, spread("\nfinish = \"hard anodic film\""), "sigma_ln 0.35")
	assert.Contains(t, spread("\nfinish = \"hard anodic film\"\ncoat.hardness = \"4 GPa\""), "sigma_ln 0.12")
}

// What stands behind a material or a finish may be said beside its name, and is part of every source.
func TestNameWithItsSource(t *testing.T) {
	s, err := example(t, "two-face.toml", flangeMaterial, `material = { value = "6061-T6", source = "drawing 12" }
finish = { value = "tin", source = "assumed: shop practice" }`)
	require.NoError(t, err)
	assert.Regexp(t, "^drawing 12; 6061-T6: ", s.Input("flange.conductivity").Source)
	assert.Regexp(t, "^assumed: shop practice; tin: ", s.Input("flange.coat.thickness").Source)
	_, err = example(t, "two-face.toml", flangeMaterial, `material = { value = "6061-T7", sauce = "drawing 12" }`)
	assert.ErrorContains(t, err, `flange.material.value = "6061-T7": the material is not in the table`)
	assert.ErrorContains(t, err, "flange.material.sauce")
	assert.ErrorContains(t, err, "did you mean source?")
}
