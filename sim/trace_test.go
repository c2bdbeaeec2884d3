package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// The points of a trace are the results of shorter runs, the last one that of
// the run itself, and the stretches add up.
func TestTraceIsThatOfShorterRuns(t *testing.T) {
	r := chassisRun(t, Random{}, 3)
	r.BlockRows = 128
	requirement := execute(t, r).Scenarios[0].Requirements[0]
	points := requirement.Trace()
	assert.GreaterOrEqual(t, len(points), mostStretches/2)
	assert.LessOrEqual(t, len(points), mostStretches)
	same := func(e Estimate, p TracePoint) {
		assert.Equal(t, e.Value, p.Value)
		assert.Equal(t, e.Interval, p.Interval)
	}
	same(requirement.Exceeded.PerRow(), points[len(points)-1])
	events, last := 0.0, int64(0)
	for i, p := range points {
		events += p.Stretch * float64(p.Rows-last)
		last = p.Rows
		if i == 5 {
			r.Samples = p.Rows
			same(execute(t, r).Scenarios[0].Requirements[0].Exceeded.PerRow(), p)
		}
	}
	assert.InDelta(t, requirement.Exceeded.Rows(), events, 1e-6)
}

// However a trace grew, it is the one laid out at once.
func TestTraceGrows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sizes := rapid.SliceOfN(rapid.Int64Range(0, 150), 1, 5).Draw(t, "blocks added")
		grown, l, block := newTrace(layout{blockRows: 1, rowsPerGroup: 1}), layout{blockRows: 1, rowsPerGroup: 1}, int64(0)
		for _, add := range sizes {
			l.blocks += add
			grown.extend(l)
			for ; block < l.blocks; block++ {
				grown.add(block, []bool{block%3 == 0})
			}
		}
		direct := newTrace(l)
		for b := range l.blocks {
			direct.add(b, []bool{b%3 == 0})
		}
		assert.Equal(t, direct.span, grown.span)
		assert.Equal(t, append([]tally{}, direct.stretches...), append([]tally{}, grown.stretches...))
		assert.LessOrEqual(t, len(grown.stretches), mostStretches)
	})
}

func TestTraceOfAStoppedRunEndsWithIt(t *testing.T) {
	e := newEngine(&Run{Scenarios: chassisRun(t, Random{}, 1).Scenarios, Sampler: Random{}, Samples: 64_000, BlockRows: 1000, Confidence: 0.95})
	e.blocks = 5 // five of 64 blocks, two to a stretch
	points := e.result().Scenarios[0].Requirements[0].Trace()
	assert.Len(t, points, 3)
	assert.Equal(t, int64(5000), points[2].Rows)
}
