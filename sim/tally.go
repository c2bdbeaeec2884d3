package sim

import "slices"

// tally counts rows to which something happens, and groups in which it happens
// to at least one row, with the sums over clusters of the squared counts.
type tally struct {
	rows, rowSquares     uint64
	groups, groupSquares uint64
}

// add counts one block: happened[r] for its rows, whole groups.
func (t *tally) add(happened []bool, l layout) {
	if !slices.Contains(happened, true) { // most events, most of the time
		return
	}
	rows, groups := uint64(0), uint64(0)
	for start := 0; start < len(happened); start += l.rowsPerGroup {
		k := uint64(0)
		for _, yes := range happened[start : start+l.rowsPerGroup] {
			if yes {
				k++
			}
		}
		rows += k
		if k > 0 {
			groups++
		}
		if !l.replicates {
			t.rowSquares += k * k
		}
	}
	t.rows += rows
	t.groups += groups
	if l.replicates {
		t.rowSquares += rows * rows
		t.groupSquares += groups * groups
	} else {
		t.groupSquares += groups // every group is a cluster: 1² each
	}
}

// merge adds the counts of other blocks.
func (t *tally) merge(other tally) {
	t.rows += other.rows
	t.rowSquares += other.rowSquares
	t.groups += other.groups
	t.groupSquares += other.groupSquares
}

// pairTally counts rows by what happens in each of two scenarios, and the sum
// over clusters of the squared difference (only other - only first).
type pairTally struct {
	both, onlyFirst, onlyOther uint64
	differenceSquares          uint64
}

// add counts one block of rows.
func (t *pairTally) add(first, other []bool, l layout) {
	size := l.clusterRows()
	for start := 0; start < len(first); start += size {
		difference := int64(0)
		for r := start; r < start+size; r++ {
			switch {
			case first[r] && other[r]:
				t.both++
			case first[r]:
				t.onlyFirst++
				difference--
			case other[r]:
				t.onlyOther++
				difference++
			}
		}
		t.differenceSquares += uint64(difference * difference)
	}
}
