package sim

import (
	"context"
	"fmt"
)

// Portion is what a run has counted of some of its blocks, one after another. Counts are whole
// numbers, so that portions which together have every block once add up to the very result of
// Execute, wherever and in whatever order they were counted: Run.Execute in parts, or with
// breaks.
type Portion struct {
	first  int64
	engine *engine
}

// Portion begins a portion of a run, still empty, at a block from 0 to Blocks. The Run must not be
// changed while it is used; Draws is not called.
func (r *Run) Portion(first int64) (*Portion, error) {
	if err := r.check(); err != nil {
		return nil, err
	}
	own := *r
	own.Draws = nil
	e := newEngine(&own)
	if !(first >= 0 && first <= e.layout.blocks) {
		return nil, fmt.Errorf("block %d of a run of %d", first, e.layout.blocks)
	}
	e.begun, e.blocks = first, first
	return &Portion{first, e}, nil
}

// First is the first block of the portion, End the one behind its last, Blocks the number of those
// of the whole run.
func (p *Portion) First() int64  { return p.first }
func (p *Portion) End() int64    { return p.engine.blocks }
func (p *Portion) Blocks() int64 { return p.engine.layout.blocks }

// Rows is the number of rows in the blocks from first up to end, end left out.
func (p *Portion) Rows(first, end int64) int64 {
	l := p.engine.layout
	return l.done(end).rows - l.done(first).rows
}

// Count counts the blocks up to end. A cancelled context ends it early, which is no error: End tells.
// Errors and panics are those of Execute; the portion is of no use after them.
func (p *Portion) Count(ctx context.Context, end int64) error {
	return p.engine.work(ctx, min(end, p.Blocks()))
}

// Add adds the portion of the same run that begins where this one ends.
func (p *Portion) Add(next *Portion) error {
	if p.End() != next.first || p.engine.layout != next.engine.layout {
		return fmt.Errorf("blocks from %d on of %d do not follow blocks up to %d of %d", next.first, next.Blocks(), p.End(), p.Blocks())
	}
	p.engine.counts.merge(next.engine.counts)
	p.engine.begun, p.engine.blocks = next.End(), next.End()
	p.engine.done += next.engine.done
	return nil
}

// Result is that of the run. The portion begins with block 0, else Result panics; where blocks are missing at
// its end, the result is not complete.
func (p *Portion) Result() *Result {
	if p.first != 0 {
		panic(fmt.Sprintf("sim: result of a portion from block %d on", p.first))
	}
	return p.engine.result()
}

// merge adds the counts of other blocks of the same run.
func (c *counts) merge(other *counts) {
	for s := range c.scenarios {
		own, others := &c.scenarios[s], &other.scenarios[s]
		for i := range own.kept {
			if kept, other := &own.kept[i], &others.kept[i]; kept.quantity != nil {
				kept.quantity.merge(other.quantity.Histogram)
			} else {
				kept.event.merge(other.event)
			}
		}
		for q, t := range own.requirements {
			for i := range t.stretches {
				t.stretches[i].merge(others.requirements[q].stretches[i])
			}
		}
	}
	for i, pair := range c.pairs {
		for q, t := range pair.tallies {
			t.merge(*other.pairs[i].tallies[q])
		}
	}
	for q, t := range c.inAny {
		t.merge(*other.inAny[q])
	}
}

func (t *pairTally) merge(other pairTally) {
	t.both += other.both
	t.onlyFirst += other.onlyFirst
	t.onlyOther += other.onlyOther
	t.differenceSquares += other.differenceSquares
}

// merge adds the values of a histogram of the same width and clusters.
func (h *Histogram) merge(other *Histogram) {
	h.plusInfinity += other.plusInfinity
	h.minusInfinity += other.minusInfinity
	h.undefined += other.undefined
	h.sizeSquares += other.sizeSquares
	for i, slot := range other.slots() {
		h.put((other.firstPage+i)*pageBins+slot, other.pages[i].at(slot))
	}
}
