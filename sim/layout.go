package sim

import (
	"fmt"
	"math/bits"
)

// layout says how the rows of a run fall into groups, blocks and clusters.
// Clusters are the smallest sets of rows that are independent of each other:
// groups, or whole blocks where a block is one replicate.
type layout struct {
	rowsPerGroup int
	blockRows    int
	replicates   bool
	rows         int64 // planned; what was done in the layout of a result
	blocks       int64
	confidence   float64
}

// newLayout lays out a run whose numbers have been checked.
func newLayout(r *Run) layout {
	l := layout{
		rowsPerGroup: r.Scenarios[0].Inputs.RowsPerGroup(),
		blockRows:    r.BlockRows,
		replicates:   r.Sampler.Dependent(),
		confidence:   r.Confidence,
	}
	if l.blockRows == 0 {
		l.blockRows = 1024
		if l.replicates {
			power := bits.Len64(uint64(r.Samples/32)) - 1
			l.blockRows = 1 << min(max(power, 4), 12)
		}
	}
	k := l.rowsPerGroup
	l.blockRows = max(l.blockRows/k, 1) * k
	unit := int64(k)
	if l.replicates {
		unit = int64(l.blockRows)
	}
	l.rows = (r.Samples + unit - 1) / unit * unit
	l.blocks = (l.rows + int64(l.blockRows) - 1) / int64(l.blockRows)
	return l
}

// stretchRows is how many rows are worked on from points to outputs before the next: whole groups, and a multiple
// of 32, which models like; about 256, so that a hundred columns of them stay in a processor's second cache.
func (l layout) stretchRows() int {
	unit := 32 * l.rowsPerGroup
	return max(256/unit, 1) * unit
}

// unit says what the number of rows is a multiple of.
func (l layout) unit() string {
	if l.replicates {
		return fmt.Sprintf("whole replicates of %d rows", l.blockRows)
	}
	return fmt.Sprintf("whole groups of %d rows", l.rowsPerGroup)
}

// done is the layout of the first blocks only.
func (l layout) done(blocks int64) layout {
	l.rows = min(l.rows, blocks*int64(l.blockRows))
	l.blocks = blocks
	return l
}

// rowsIn returns the number of rows of a block; the last may be shorter.
func (l layout) rowsIn(block int64) int {
	return int(min(int64(l.blockRows), l.rows-block*int64(l.blockRows)))
}

func (l layout) groups() int64 { return l.rows / int64(l.rowsPerGroup) }

// clusterRows is the number of rows in each cluster.
func (l layout) clusterRows() int {
	if l.replicates {
		return l.blockRows
	}
	return l.rowsPerGroup
}

func (l layout) clusters() int64 { return l.rows / int64(l.clusterRows()) }
