package dist

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWholeUndoesTheCut(t *testing.T) {
	cut, err := NewTruncated(Normal{1, 2}, math.Inf(-1), 4)
	require.NoError(t, err)
	whole, low, high := cut.(Truncated).Whole()
	assert.Equal(t, Normal{1, 2}, whole)
	assert.Equal(t, []float64{math.Inf(-1), 4}, []float64{low, high})
	both, err := NewTruncated(whole, -3, 4)
	require.NoError(t, err)
	_, low, high = both.(Truncated).Whole()
	assert.Equal(t, []float64{-3, 4}, []float64{low, high})
}
