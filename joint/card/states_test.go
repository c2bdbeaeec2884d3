package card

import (
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A model gives the same bits in memory that served another of its layout before, whatever that one was.
func TestMemoryThatServedAnotherModel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, models := drawLayout(t), [2]*Model{}
		for i := range models {
			m, err := New(drawPractice(t, l))
			require.NoError(t, err)
			models[i] = m
		}
		first, second := models[0], models[1]
		if first.states != second.states {
			t.Skip("one of them has other bodies on either edge")
		}
		second.states = new(sync.Pool)
		alone := result(second)
		second.states = first.states
		result(first)
		assert.Equal(t, alone, result(second))
	})
}
