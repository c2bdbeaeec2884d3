package study

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/joint/card"
)

func withOptions(text string) (*Study, error) {
	return Parse("s.toml", []byte("extends = \"two-face.toml\"\n"+text), func(name string) ([]byte, error) {
		return os.ReadFile("../../../../testdata/studies/" + name)
	})
}

const twoOptions = `
[[option]]
name = "clamp"
choices = [{ name = "two faces", cost = 0 }, { name = "four faces", cost = 11, replace = { "clamp.family" = "four-face", "clamp.skew" = "45 deg", "face.side.crown" = "3 um", "face.rib.crown" = "3 um", "wall.side_resistance" = "0.1 K/W" } }]

[[option]]
name = "rails"
choices = [{ name = "converted", cost = 0 }, { name = "hard anodised", cost = 2, replace = { "rail.finish" = "hard anodic film" } }, { name = "loose", cost = 2, replace = { "screw.preload_loss" = "1 %" } }]
`

// A choice is the study with other keys, written out: the same inputs, in every condition.
func TestChosenIsTheStudyWrittenOut(t *testing.T) {
	s, err := withOptions(twoOptions)
	require.NoError(t, err)
	require.Len(t, s.Options, 2)
	assert.Equal(t, []string{"rail.finish"}, keysOf(s.Options[1].Choices[1].entries))

	asWritten, err := s.Chosen([]int{0, 0})
	require.NoError(t, err)
	assert.Empty(t, Differences(s, asWritten))

	chosen, err := s.Chosen([]int{1, 1})
	require.NoError(t, err)
	assert.Equal(t, card.FourFace, chosen.Layout.Family)
	written, err := withOptions(strings.NewReplacer("R", "hard anodic film").Replace(`
rail.finish = "R"
clamp = { family = "four-face", skew = "45 deg" }
face = { side.crown = "3 um", rib.crown = "3 um" }
wall.side_resistance = "0.1 K/W"`))
	require.NoError(t, err)
	assert.Empty(t, Differences(written, chosen))
	require.Equal(t, len(written.Conditions), len(chosen.Conditions))
	for _, c := range written.Conditions {
		a, err := written.Condition(c.Name)
		require.NoError(t, err)
		b, err := chosen.Condition(c.Name)
		require.NoError(t, err)
		assert.Empty(t, Differences(a, b), c.Name)
		assert.Equal(t, card.FourFace, b.Layout.Family, c.Name)
	}
	digests := map[string]bool{s.Digest: true}
	for _, choices := range [][]int{{0, 0}, {0, 1}, {0, 2}, {1, 0}} {
		one, err := s.Chosen(choices)
		require.NoError(t, err)
		assert.False(t, digests[one.Digest], "%v", choices)
		digests[one.Digest] = true
	}
	_, err = s.Chosen([]int{0})
	assert.Error(t, err)
	_, err = s.Chosen([]int{0, 3})
	assert.Error(t, err)
}

func TestWrongOptionsAreRefused(t *testing.T) {
	for text, message := range map[string]string{
		`option = 3`:                  "a list of tables expected",
		`[[option]]`:                  "a list of two choices or more expected",
		`option = [{ choices = [] }]`: "an option needs a name of its own",
		`option = [{ name = "a", choices = [1, {name = "x", cost = 1}]}]`:                                                                       "a choice is a table",
		`option = [{ name = "a", choices = [{ name = "x", cost = -1 }, { name = "y", cost = 0 }]}]`:                                             "a cost of 0 or more expected",
		`option = [{ name = "a", choices = [{ name = "x", cost = 0 }, { name = "x", cost = 0 }]}]`:                                              "a choice needs a name of its own",
		`option = [{ name = "a", choices = [{ name = "x", cost = 0, price = 1 }, { name = "y", cost = 0 }]}]`:                                   "the key is not known",
		`option = [{ name = "a", choices = [{ name = "x", cost = 0, replace = 1 }, { name = "y", cost = 0 }]}]`:                                 "a choice replaces keys",
		`option = [{ name = "a", choices = [{ name = "x", cost = 0, replace = { "limits.spot.max" = "99 degC" } }, { name = "y", cost = 0 }]}]`: "the key is not known",
		`option = [{ name = "a", choices = [{ name = "x", cost = 0, replace = { "run.seed" = 2 } }, { name = "y", cost = 0 }]}]`:                "the key is not known",
		`option = [{ name = "a", choices = [{ name = "x", cost = 0, replace = { "rail.finish" = "gold" } }, { name = "y", cost = 0 }]}]`:        "with a, x: the finish is not in the table",
		`option = [{ name = "a", choices = [{ name = "x", cost = 0, replace = { "clamp.family" = "four-face" } }, { name = "y", cost = 0 }]}]`:  "with a, x: the key is missing",
	} {
		_, err := withOptions(text)
		require.Error(t, err, text)
		assert.Contains(t, err.Error(), message, text)
	}
}

// Two options that replace one key cannot be combined: the later would win unseen.
func TestOptionsThatContradictEachOther(t *testing.T) {
	_, err := withOptions(twoOptions + `
[[option]]
name = "cleaning"
choices = [{ name = "none", cost = 0 }, { name = "etched", cost = 1, replace = { "rail.finish" = "bare" } }]
`)
	assert.ErrorContains(t, err, "rail.finish is replaced by a choice of rails too: the two cannot be chosen together (let one option replace it")
}

// What a choice changes, as check prints it.
func TestWhatAChoiceChanges(t *testing.T) {
	s, err := withOptions(twoOptions)
	require.NoError(t, err)
	assert.Empty(t, s.Differs(1, 0))
	var keys []string
	for _, d := range s.Differs(1, 1) {
		keys = append(keys, d.Key)
	}
	assert.ElementsMatch(t, []string{"rail.coat.thickness", "rail.coat.conductivity", "rail.coat.hardness"}, keys)
}
