//go:build goexperiment.simd && amd64

package lanes

import (
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestVectorsMixWithNothingOlder reads what the compiler makes of the functions that use vectors. An
// instruction of the older encoding (MOVSD, not VMOVSD) waits for the upper halves of the
// registers, or on some processors switches them over, and costs ten times a vector's. So a function has
// vectors or floats, not both, and ends its vectors before it returns, unless it is called for
// parts of a stretch.
func TestVectorsMixWithNothingOlder(t *testing.T) {
	out, err := exec.Command("go", "build", "-gcflags=-S", "clampodds/joint/lanes", "clampodds/joint/contact", "clampodds/joint/force", "clampodds/joint/network", "clampodds/joint/card", "clampodds/dist", "clampodds/sim").CombinedOutput()
	require.NoError(t, err, "the build")
	var (
		start  = regexp.MustCompile(`^clampodds/(\S+) STEXT`)
		line   = regexp.MustCompile(`^\t0x[0-9a-f]+ \d+ \([^)]*\)\t(\S+)\t?(.*)`)
		vector = regexp.MustCompile(`\bY\d+\b`)
		older  = regexp.MustCompile(`\bX\d+\b`)
	)
	part := regexp.MustCompile(`^joint/(lanes\.(\(\*Leading\)\.Of|Pick|Keep|Drop|Turn|Look|turn|\(\*Cut\)\.Put|\(\*(Row|Lanes|Constant|Places)\)\.(At|Put|Get|Set|Vector))|network\.(\(\*step\)\.(eliminate|substitute)Group|inverse)|force\.\(\*screwConstants\)\.arm|contact\.(binomial|logarithmSeries|arcSeriesOn|cells|cubicOn|layerSum|\(\*Bench\)\.(putRatio|closing)|\(\*gasVector\)\..*))$|^dist\.\(\*block\)\.(at|tailAt)$`)
	name, vectors := "", map[string]bool{}
	done, mixed := map[string]bool{}, map[string][]string{}
	for _, text := range strings.Split(string(out), "\n") {
		if m := start.FindStringSubmatch(text); m != nil {
			name = m[1]
		}
		m := line.FindStringSubmatch(text)
		switch {
		case m == nil:
		case m[1] == "VZEROUPPER":
			done[name] = true
		case vector.MatchString(m[2]):
			vectors[name] = true
		case older.MatchString(m[2]) && !strings.HasPrefix(m[1], "V"):
			mixed[name] = append(mixed[name], m[1]+" "+m[2])
		}
	}
	require.Greater(t, len(vectors), 8, "functions with vectors: the compiler writes its code as this test reads it")
	for name := range vectors {
		assert.True(t, done[name] || part.MatchString(name), "%s does not end its vectors", name)
		assert.Empty(t, mixed[name], "%s mixes encodings", name)
	}
}
