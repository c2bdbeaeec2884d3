package sim

import (
	"slices"
	"sync"
)

// counts is all that a run keeps of its rows: whole numbers, in memory that
// does not grow with the number of rows or workers.
type counts struct {
	layout    layout
	scenarios []scenarioCounts
	pairs     []pairCounts // in the order of Result.Pairs
	inAny     []*tally     // by requirement of the first scenario

	mutex sync.Mutex // guards the tallies
}

// scenarioCounts are those of one scenario.
type scenarioCounts struct {
	kept         []keptOutput
	output       []int // by requirement: its output
	requirements []*trace
}

// keptOutput is an output that is counted: a quantity, or an event.
type keptOutput struct {
	output   int
	quantity *lockedHistogram // nil for an event
	event    tally
}

// pairCounts are those of one scenario with an earlier one.
type pairCounts struct {
	first, other int   // their positions
	requirement  []int // by requirement of the first: that of the same name in the other, or -1
	tallies      []*pairTally
}

// lockedHistogram is shared by the workers. They hold it for a small part of a
// block's time.
type lockedHistogram struct {
	sync.Mutex
	*Histogram
}

func newCounts(r *Run, l layout) *counts {
	c := &counts{layout: l}
	for range r.Scenarios[0].Requirements {
		c.inAny = append(c.inAny, &tally{})
	}
	for _, s := range r.Scenarios {
		c.scenarios = append(c.scenarios, newScenarioCounts(r, s, l))
	}
	for i := range r.Scenarios {
		for j := i + 1; j < len(r.Scenarios) && (i == 0 || r.AllPairs) && !r.NoPairs; j++ {
			c.pairs = append(c.pairs, newPairCounts(r, i, j))
		}
	}
	return c
}

func newScenarioCounts(run *Run, s Scenario, l layout) scenarioCounts {
	var c scenarioCounts
	for j, o := range s.Model.Outputs() {
		if run.LimitsOnly || run.Only != nil && !slices.Contains(run.Only, o.Name) {
			continue
		}
		kept := keptOutput{output: j}
		if o.Bin > 0 {
			kept.quantity = &lockedHistogram{Histogram: NewHistogram(o.Bin, l.clusterRows())}
		}
		c.kept = append(c.kept, kept)
	}
	for _, q := range s.Requirements {
		c.output = append(c.output, s.outputIndex(q.Output))
		c.requirements = append(c.requirements, newTrace(l))
	}
	return c
}

func newPairCounts(r *Run, i, j int) pairCounts {
	c := pairCounts{first: i, other: j}
	first, other := r.Scenarios[i], r.Scenarios[j]
	for _, q := range first.Requirements {
		c.requirement = append(c.requirement, slices.IndexFunc(other.Requirements, func(o Requirement) bool { return o.Name == q.Name }))
		c.tallies = append(c.tallies, &pairTally{})
	}
	return c
}

// extend makes room for more blocks of the same size.
func (c *counts) extend(l layout) {
	c.layout = l
	for _, s := range c.scenarios {
		for _, t := range s.requirements {
			t.extend(l)
		}
	}
}

// add counts the block that w holds. Safe for concurrent use.
func (c *counts) add(w *worker) {
	for s := range c.scenarios {
		kept := c.scenarios[s].kept
		for i := range kept { // no copy: events change under the mutex
			if h := kept[i].quantity; h != nil {
				h.Lock()
				h.Add(w.scenarios[s].y[kept[i].output])
				h.Unlock()
			}
		}
	}
	c.mutex.Lock()
	defer c.mutex.Unlock()
	for s, counts := range c.scenarios {
		for q, t := range counts.requirements {
			t.add(w.block, w.scenarios[s].exceeded[q])
		}
		for i := range counts.kept {
			if kept := &counts.kept[i]; kept.quantity == nil {
				kept.event.add(w.nonZero(s, kept.output), c.layout)
			}
		}
	}
	c.addPairs(w)
}

// addPairs counts what two scenarios do to the same row, and what any scenario
// does to it.
func (c *counts) addPairs(w *worker) {
	for _, pair := range c.pairs {
		for q, at := range pair.requirement {
			if at >= 0 {
				pair.tallies[q].add(w.scenarios[pair.first].exceeded[q], w.scenarios[pair.other].exceeded[at], c.layout)
			}
		}
	}
	for q, inAny := range c.inAny {
		copy(w.marked, w.scenarios[0].exceeded[q])
		for _, pair := range c.pairs {
			if pair.first > 0 || pair.requirement[q] < 0 {
				continue
			}
			for r, yes := range w.scenarios[pair.other].exceeded[pair.requirement[q]] {
				w.marked[r] = w.marked[r] || yes
			}
		}
		inAny.add(w.marked, c.layout)
	}
}

// nonZero marks the rows in which output j of scenario s is not 0.
func (w *worker) nonZero(s, j int) []bool {
	for r, value := range w.scenarios[s].y[j] {
		w.marked[r] = value != 0
	}
	return w.marked
}
