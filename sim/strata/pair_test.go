package strata

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim"
)

// pair compares the curved problem with one whose limit is lower by shift.
func pair(t testing.TB, shift float64, o Options) *Pair {
	first, q := curved.scenario(t)
	other := first
	other.Name, other.Model = "other", rise(3-shift)
	lead := 0
	if shift > 0 {
		lead = 1
	}
	p, err := Compare(context.Background(), [2]sim.Scenario{first, other}, lead, q, o)
	require.NoError(t, err)
	return p
}

// exceeds is the probability in one design: of the rows that exceed in it alone, and in both.
func (p *Pair) exceeds(alone []int64) sim.Estimate {
	rows := slices.Clone(p.both)
	for h, n := range alone {
		rows[h] += n
	}
	return p.drawn.weighted(rows, 0.95)
}

func TestPairIsTheSameForAnyNumberOfWorkers(t *testing.T) {
	o := Options{Most: 20_000, Confidence: 0.95, Seed: 1, Workers: 1}
	want := pair(t, 0.3, o)
	o.Workers = 7
	assert.Equal(t, want, pair(t, 0.3, o))
	assert.InEpsilon(t, 20_000, want.Rows, 0.02, "rows are whole, strata have their least")
	value, _, _ := want.Difference(0, 0.95)
	assert.InDelta(t, want.exceeds(want.onlyOther).Value-want.exceeds(want.onlyFirst).Value, value, 1e-15, "a few roundings")
}

// Of two designs that are the same no row tells them apart. That no other row does, as many as one of them stands for at most, halves
// what may be unseen: -ln 0.05 events are missed by 1 in 20 samples (Poisson).
func TestPairOfOneDesign(t *testing.T) {
	p := pair(t, 0, Options{Most: 20_000, Confidence: 0.95})
	heaviest := p.drawn.heaviest(p.drawn.probabilities())
	others := int64(1 / heaviest)
	assert.InEpsilon(t, -math.Log(0.05)*heaviest, p.OnlyOther(0.95, 0).High, 1e-9)
	assert.InEpsilon(t, -math.Log(0.05)*heaviest/2, p.OnlyOther(0.95, others).High, 1e-3, "whole rows, of some thousands")
	value, low, high := p.Difference(0, 0.95)
	assert.Zero(t, value)
	assert.Negative(t, low)
	assert.InDelta(t, 0, low+high, 1e-18)
}

func TestPairWithoutEvents(t *testing.T) {
	first, q := curved.scenario(t)
	first.Model = rise(60)
	other := first
	other.Name = "other"
	_, err := Compare(context.Background(), [2]sim.Scenario{first, other}, 1, q, Options{Most: 20_000, Confidence: 0.95})
	assert.ErrorIs(t, err, ErrTooFew)
	_, err = Compare(context.Background(), [2]sim.Scenario{first, other}, 0, sim.Requirement{Output: "none"}, Options{Confidence: 0.95})
	assert.ErrorContains(t, err, "no output")
}
