package question

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// A count stands beside the number of record where it is far more closely known, and only there.
func TestACountStandsBesideAWiderNumberOfRecord(t *testing.T) {
	of := func(high float64) sim.Estimate { return sim.Estimate{Interval: sim.Interval{High: high}} }
	for _, c := range []struct {
		counted float64
		beside  bool
	}{{1e-6, true}, {1e-4 / reports.CountedNarrower, true}, {1e-4, false}, {1e-3, false}} {
		run := &Counted{Result: reports.Run{Requirements: []reports.Requirement{{PerCard: of(c.counted)}}}}
		run.addRecords([]decide.Record{{Mean: of(1e-4), Verdict: sim.Met}})
		q := run.Result.Requirements[0]
		assert.Equal(t, of(1e-4), q.PerCard, "the number of record")
		assert.Equal(t, c.beside, q.Counted != nil, "%v", c.counted)
	}
}
