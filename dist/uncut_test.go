package dist

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestUncutUndoesTheCut(t *testing.T) {
	cut, err := NewTruncated(Normal{1, 2}, math.Inf(-1), 4)
	require.NoError(t, err)
	base, low, high := cut.(Truncated).Uncut()
	assert.Equal(t, Normal{1, 2}, base)
	assert.Equal(t, []float64{math.Inf(-1), 4}, []float64{low, high})
	both, err := NewTruncated(base, -3, 4)
	require.NoError(t, err)
	_, low, high = both.(Truncated).Uncut()
	assert.Equal(t, []float64{-3, 4}, []float64{low, high})
}
