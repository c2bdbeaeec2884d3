package result

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestJudge(t *testing.T) {
	inside := Interval{0.1, 0.2}
	for limit, want := range map[float64]Verdict{0: NoTarget, 0.3: Met, 0.2: Met, 0.15: Undecided, 0.1: Undecided, 0.05: NotMet} {
		assert.Equal(t, want, inside.Judge(limit), "limit %g", limit)
	}
	assert.Equal(t, Undecided, Interval{math.NaN(), math.NaN()}.Judge(0.1), "what is no number decides nothing")
	assert.Equal(t, Undecided, Interval{math.Inf(-1), math.Inf(1)}.Judge(0.1))
}

func TestWords(t *testing.T) {
	for v, words := range map[Verdict][2]string{
		NoTarget: {"no target", "undecided"}, Met: {"met", "yes"}, NotMet: {"not met", "no"}, Undecided: {"undecided", "undecided"},
	} {
		assert.Equal(t, words, [2]string{v.String(), v.Answer()})
	}
}

func TestAll(t *testing.T) {
	assert.Equal(t, NoTarget, All())
	assert.Equal(t, Met, All(NoTarget, Met))
	assert.Equal(t, Undecided, All(Met, Undecided, NoTarget))
	assert.Equal(t, NotMet, All(Undecided, NotMet, Met))
}

func TestIntervalArithmetic(t *testing.T) {
	i := Interval{-1, 2}
	assert.True(t, i.Contains(-1) && i.Contains(2) && !i.Contains(2.1) && !i.Contains(-1.1))
	assert.Equal(t, Interval{-2, 1}, i.Negated())
	assert.Equal(t, Interval{-3, 6}, i.Times(3))
}
