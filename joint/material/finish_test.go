package material

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestEveryFinishHasAStandingAndASource(t *testing.T) {
	for _, f := range Finishes() {
		for name, p := range map[string]struct {
			Uncertain
			low, high float64
		}{
			// Ranges of films; a slip of a power of ten falls outside.
			"thickness":    {f.Thickness, 0.1e-6, 120e-6},
			"conductivity": {f.Conductivity, 0.05, 430},
			"hardness":     {f.Hardness, 0.05e9, 6e9},
		} {
			if f.Name == "bare" {
				assert.Zero(t, p.Uncertain)
				continue
			}
			assert.NotEmpty(t, p.Source, "%s of %s", name, f.Name)
			assert.Contains(t, []Standing{Published, FromMemory, Judgement}, p.Standing)
			assert.True(t, p.Value >= p.low && p.Value <= p.high, "%s of %s is %g", name, f.Name, p.Value)
			assert.True(t, p.SigmaLn > 0 && p.SigmaLn < 1, "%s of %s", name, f.Name)
		}
	}
}

func TestLookupFinish(t *testing.T) {
	seen := map[string]string{}
	for _, f := range Finishes() {
		for _, alias := range append([]string{f.Name}, f.Aliases...) {
			assert.Empty(t, seen[spelling(alias)], alias)
			seen[spelling(alias)] = f.Name
			found, err := LookupFinish(alias)
			require.NoError(t, err)
			assert.Equal(t, f.Name, found.Name)
		}
	}
	_, err := LookupFinish("paint")
	assert.EqualError(t, err, `finish "paint" is not in the table`)
}
