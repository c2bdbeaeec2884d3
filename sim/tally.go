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

// mostStretches is the largest number of points of a trace; a run of as many
// blocks or more has at least half as many.
const mostStretches = 32

// trace counts the rows that exceed one requirement apart for stretches of the
// run, of equal numbers of blocks. Whole numbers in places fixed by the block:
// the order in which blocks finish changes nothing.
type trace struct {
	layout    layout
	span      int64 // blocks in a stretch, a power of 2
	stretches []tally
}

func newTrace(l layout) *trace {
	t := &trace{span: 1}
	t.extend(l)
	return t
}

// extend makes room for a layout of more blocks of the same size. Two stretches
// become one as often as need be: the result is that of a run laid out so from
// the start.
func (t *trace) extend(l layout) {
	t.layout = l
	for ; (l.blocks+t.span-1)/t.span > mostStretches; t.span *= 2 {
		for i := 0; i < len(t.stretches); i += 2 {
			t.stretches[i/2] = t.stretches[i]
			if i+1 < len(t.stretches) {
				t.stretches[i/2].merge(t.stretches[i+1])
			}
		}
		t.stretches = t.stretches[:(len(t.stretches)+1)/2]
	}
	for int64(len(t.stretches))*t.span < l.blocks {
		t.stretches = append(t.stretches, tally{})
	}
}

func (t *trace) add(block int64, exceeded []bool) {
	t.stretches[block/t.span].add(exceeded, t.layout)
}

func (t *trace) total() (sum tally) {
	for _, stretch := range t.stretches {
		sum.merge(stretch)
	}
	return sum
}

// TracePoint is how an exceedance probability stood part of the way through a
// run.
type TracePoint struct {
	// Rows is the number of rows so far, Value the probability for one row
	// from them.
	Rows  int64   `json:"rows"`
	Value float64 `json:"value"`
	Interval
	// Stretch is the share of exceeding rows among those since the point before.
	// Stretches are independent: their scatter shows what the interval is about.
	Stretch float64 `json:"stretch"`
}

// Trace returns how the probability for one row converged, at up to 32 points
// evenly along the run in the order of its blocks, the last one at its end. It is
// for looking at: a run that is stopped when the trace looks good stops by luck.
func (r RequirementResult) Trace() []TracePoint {
	t, l := r.trace, r.Exceeded.layout
	var points []TracePoint
	var sum tally
	last := int64(0)
	for i, stretch := range t.stretches {
		blocks := min(int64(i+1)*t.span, l.blocks)
		part := l.done(blocks)
		if part.rows == last {
			break // a run that was stopped
		}
		sum.merge(stretch)
		e := Event{r.Requirement.Name, sum, part}.PerRow()
		points = append(points, TracePoint{part.rows, e.Value, e.Interval, float64(stretch.rows) / float64(part.rows-last)})
		last = part.rows
	}
	return points
}
