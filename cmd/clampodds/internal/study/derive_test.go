package study

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const folder = "../../../../testdata/studies/"

func load(t *testing.T, name string) *Study {
	t.Helper()
	s, err := Load(folder + name)
	require.NoError(t, err)
	return s
}

// The tool's scatter and its cuts move along, as a share or by size.
func TestWithTorqueMovesTheTool(t *testing.T) {
	s := load(t, "two-face.toml")
	was := s.Input(torqueKey)
	moved, err := s.WithTorque(1.4)
	require.NoError(t, err)
	is := moved.Input(torqueKey)
	assert.Equal(t, 1.4, is.Nominal)
	for _, p := range []float64{0, 0.01, 0.5, 0.99, 1} {
		assert.InEpsilon(t, 2*was.Dist.Quantile(p), is.Dist.Quantile(p), 1e-12)
	}
	assert.Equal(t, 0.7, s.Input(torqueKey).Nominal, "the study stays")

	s.Tool.Scatter = Absolute
	moved, err = s.WithTorque(1.4)
	require.NoError(t, err)
	for _, p := range []float64{0, 0.01, 0.5, 0.99, 1} {
		assert.InEpsilon(t, 0.7+was.Dist.Quantile(p), moved.Input(torqueKey).Dist.Quantile(p), 1e-12)
	}
	a, err := s.RandomInputs()
	require.NoError(t, err)
	b, err := moved.RandomInputs()
	require.NoError(t, err)
	for i, v := range a.Variables() {
		assert.Equal(t, v.Name, b.Variables()[i].Name)
	}
	_, err = s.WithTorque(-1)
	assert.ErrorContains(t, err, "allowed is")
}

func TestDifferencesNameWhatDiffers(t *testing.T) {
	base := load(t, "two-face.toml")
	assert.Empty(t, Differences(base, load(t, "two-face.toml")))

	// What a finish fills in differs, and is listed by itself.
	finish := Differences(base, load(t, "finish-change.toml"))
	require.Len(t, finish, 3)
	for _, d := range finish {
		assert.Equal(t, InputDiffers, d.Kind)
		assert.Contains(t, []string{"rail.coat.thickness", "rail.coat.conductivity", "rail.coat.hardness"}, d.Key)
		assert.Contains(t, d.Before, "lognormal")
		assert.NotEqual(t, d.Before, d.After)
	}
	flat := Differences(base, load(t, "flatness-change.toml"))
	require.Len(t, flat, 1)
	assert.Equal(t, "face.direct.flatness", flat[0].Key)
	four := Differences(base, load(t, "four-face.toml"))
	assert.Equal(t, Difference{StructureDiffers, "clamp.family", "kind of clamp", "two-face", "four-face"}, four[0])
	back := Differences(load(t, "four-face.toml"), base)
	assert.Len(t, back, len(four))
}

func TestDifferencesOfCorrelationsAndLevels(t *testing.T) {
	base := load(t, "two-face.toml")
	other := load(t, "two-face.toml")
	other.Correlations[0].A, other.Correlations[0].B = other.Correlations[0].B, other.Correlations[0].A
	assert.Empty(t, Differences(base, other), "the order of a pair says nothing")
	other.Correlations[0].Rank = 0.5
	assert.Equal(t, []Difference{{CorrelationDiffers, "correlation of screw.head_friction and screw.thread_friction", "rank correlation", "rank 0.6", "rank 0.5"}}, Differences(base, other))
	other.Correlations = nil
	assert.Equal(t, "none", Differences(base, other)[0].After)

	in := *base.Input("card.power")
	in.Level = 1
	list := Differences(base, base.WithInput(in))
	require.Len(t, list, 1)
	assert.Contains(t, list[0].After, "per design")
}

// Every step is a study that can be run, and all of them together are the other
// study.
func TestStepsThatCannotStandAloneAreLeftOut(t *testing.T) {
	var names []string
	for _, s := range Steps(load(t, "two-face.toml"), load(t, "inch.toml")) {
		names = append(names, s.Name)
	}
	assert.NotContains(t, names, "screw.engagement", "no engagement, but a shear strength")
	assert.Contains(t, names, "screw.torque")
	assert.Contains(t, names, StructureStep)
	assert.Contains(t, names, CorrelationStep)
}

func TestStepsAreStudies(t *testing.T) {
	base := load(t, "two-face.toml")
	assert.Nil(t, Steps(base, base))
	assert.Nil(t, Steps(base, load(t, "four-face.toml")), "the structure is one step: nothing to take apart")
	assert.Nil(t, Steps(base, load(t, "flatness-change.toml")), "one difference is one step")
	for _, name := range []string{"finish-change.toml", "inch.toml"} {
		other := load(t, name)
		steps := Steps(base, other)
		require.NotEmpty(t, steps)
		for _, s := range steps {
			_, err := s.Study.RandomInputs()
			require.NoError(t, err, "%s: %s", name, s.Name)
			_, err = s.Study.Model()
			require.NoError(t, err, "%s: %s", name, s.Name)
			assert.NotEmpty(t, Differences(base, s.Study), "%s: %s", name, s.Name)
		}
	}
	for _, s := range Steps(base, load(t, "inch.toml")) {
		if s.Name == StructureStep {
			assert.Equal(t, base.Input("screw.torque").Nominal, s.Study.Input("screw.torque").Nominal)
			for _, d := range Differences(base, s.Study) {
				assert.NotEqual(t, InputDiffers, d.Kind, "%s", strings.Join([]string{d.Key, d.Before, d.After}, " "))
			}
		}
	}
}
