package study

import (
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/dist"
	_ "clampodds/testdata/fixedseed"
	"clampodds/testdata/studies"
)

func TestKeyLines(t *testing.T) {
	d, problems := readDocument("x.toml", []byte(`# comment
a = 1
[b]
c = { d = 1, e = [1,
  { f = 2 }] }
g.h = 3

[[k]]
x = 1
[[k]]
x = 2
[k.sub]
y = 1
[k.sub."dotted.key"]
z = 1
`))
	require.Empty(t, problems)
	for key, line := range map[string]int{
		"a": 2, "b": 3, "b.c": 4, "b.c.d": 4, "b.c.e": 4, "b.c.e[1].f": 5, "b.g.h": 6,
		"k[0]": 8, "k[0].x": 9, "k[1]": 10, "k[1].x": 11, "k[1].sub": 12, "k[1].sub.y": 13, "k[1].sub.dotted.key.z": 15,
	} {
		assert.Equal(t, line, d.lines[key], key)
	}
}

func TestReadDocumentRefusesALargeFile(t *testing.T) {
	_, problems := readDocument("x.toml", make([]byte, files.MostOfStudy+1))
	assert.EqualError(t, problems, "x.toml: a study file has at most 262144 bytes, this one has 262145")
}

// Texts that fit the bound and once took memory as the square of their depth or length: 4 GB and
// more for the first. They are refused with less than 40 MB, what the parser needs for the last.
func TestReadDocumentRefusesBombs(t *testing.T) {
	const deep, long = "stand in one another more than 16 deep", "a key has at most 200 bytes"
	for name, c := range map[string]struct{ text, want string }{
		"dots":               {"x = 1\na" + strings.Repeat(".a", 100_000) + " = 1", "x.toml:2: keys, lists and tables " + deep},
		"dots of a table":    {"[a" + strings.Repeat(" . 'a'", 30_000) + "]", deep},
		"brackets":           {"a = " + strings.Repeat("[", 200_000), deep},
		"braces":             {"a = " + strings.Repeat("{ a = ", 30_000), deep},
		"long names":         {"[" + strings.Repeat("k", 100_000) + "]\n" + strings.Repeat("a = 1\n", 20_000), "table k"},
		"long table":         {"[" + strings.Repeat("k", 100_000) + "]\na = 1\nb = 1\n", long},
		"long key in a list": {"a = [{ '" + strings.Repeat("k", 300) + "' = 1 }]\n", long},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, problems := readDocument("x.toml", []byte(c.text))
		runtime.ReadMemStats(&after)
		if name != "long names" { // the parser finds the duplicate first
			assert.ErrorContains(t, problems, c.want, name)
		}
		assert.NotEmpty(t, problems, name)
		assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(40<<20), name)
	}
}

// Dots and brackets in quotes and comments are no depth, nor are many one after another.
func TestDepthIsThatOfKeys(t *testing.T) {
	dots := strings.Repeat("[a.b].", 50)
	for _, text := range []string{
		"a = \"" + dots + "\\\"" + dots + "\" # " + dots,
		"a = '" + dots + "'", "a = \"\"\"" + dots + "\n\"" + dots + "\"\"\"", "a = '''" + dots + "\n'" + dots + "'''",
		"a = [" + strings.Repeat("1.5, ", 50) + "]", strings.Repeat("# "+dots+"\n", 3), strings.Repeat("[[a.b]]\nc.d = [[1.5]]\n", 50),
	} {
		_, problems := readDocument("x.toml", []byte(text))
		assert.Empty(t, problems, text)
	}
}

func TestEditDistance(t *testing.T) {
	assert.Equal(t, 3, editDistance("kitten", "sitting")) // the textbook pair
	word := rapid.StringMatching(`[ab.]{0,6}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := word.Draw(t, "a"), word.Draw(t, "b"), word.Draw(t, "c")
		ab := editDistance(a, b)
		require.Equal(t, ab, editDistance(b, a))
		require.Equal(t, a == b, ab == 0)
		require.LessOrEqual(t, editDistance(a, c), ab+editDistance(b, c))
		require.LessOrEqual(t, ab, max(len(a), len(b)))
	})
}

// Every parameter dist knows has its place: a number, a difference or a value of
// the input. A new one must be put into one of the three on purpose.
func TestEveryParameterOfDistHasAUnit(t *testing.T) {
	values := []string{"mean", "median", "pNN", "nominal", "low", "high", "mode", "low_mode", "high_mode", "location", "value"}
	for _, shape := range dist.Shapes() {
		for _, set := range dist.ShapeKeys(shape) {
			for _, key := range set {
				if key == "shape" {
					key = shapeParameter
				}
				assert.True(t, slices.Contains(numberKeys, key) != (slices.Contains(differenceKeys, key) != slices.Contains(values, key)), key)
			}
		}
	}
}

// Every shape and set of parameters can be written in a study, with units.
func TestEveryShapeCanBeWritten(t *testing.T) {
	typed := map[string]string{
		"value": `"20 W"`, "mean": `"20 W"`, "sd": `"2 W"`, "cov": `0.1`, "median": `"20 W"`, "sigma_ln": `0.1`,
		"nominal": `"20 W"`, "plus": `"2 W"`, "minus": `"2 W"`, "coverage": `0.95`, "cp": `1.33`, "cpk": `1.33`,
		"low": `"10 W"`, "mode": `"20 W"`, "high": `"30 W"`, "low_mode": `"15 W"`, "high_mode": `"25 W"`,
		"shape": `3`, "scale": `"4 W"`, "location": `"18 W"`, "dof": `5`, "alpha": `2`, "beta": `3`, "inexactness": `"1 W"`,
	}
	for _, shape := range dist.Shapes() {
		for _, set := range dist.ShapeKeys(shape) {
			text := `{ shape = "` + shape + `"`
			percentiles := []string{"p90", "p99"}
			percentileValues := []string{`"24 W"`, `"26 W"`}
			for _, key := range set {
				value := typed[key]
				switch key {
				case "pNN":
					key, value = percentiles[0], percentileValues[0]
					percentiles, percentileValues = percentiles[1:], percentileValues[1:]
				case "shape":
					key = shapeParameter
				}
				text += ", " + key + " = " + value
			}
			text += ` }`
			s, err := Parse("x.toml", []byte("extends = \"two-face.toml\"\ncondition = []\ncard.power = "+text), studies.Files.ReadFile)
			if assert.NoError(t, err, text) {
				in := s.Input("card.power")
				assert.Greater(t, in.Nominal, 2.0, text)
				assert.Less(t, in.Nominal, 30.0, text)
				assert.Equal(t, shape == "fixed", in.Dist == nil, text)
			}
		}
	}
}

func TestHintOfASlip(t *testing.T) {
	keys := []string{"clamp.height", "clamp.length", "clamp.width"}
	assert.Equal(t, "did you mean clamp.length?", didYouMean("clamp.lenght", keys), "two letters changed places: as far from height, which begins otherwise")
	assert.Empty(t, didYouMean("screw.torque", keys))
}
