package sim

import (
	"context"
	"encoding/binary"
	"errors"
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

// AppendBinary appends the counts of the portion to b: unsigned numbers of variable length, in the order of the
// run's scenarios, outputs, requirements and pairs. It does not say of which run and blocks: whoever
// keeps it has to. The form is that of one version of this module.
func (p *Portion) AppendBinary(b []byte) ([]byte, error) {
	w := countsForm{text: b, writing: true}
	w.counts(p.engine.counts)
	return w.text, nil
}

// ReadPortion is the portion from block first up to end, end left out, of which AppendBinary
// has written the counts. What cannot be the counts of so many rows is an error.
func (r *Run) ReadPortion(first, end int64, text []byte) (*Portion, error) {
	p, err := r.Portion(first)
	if err != nil {
		return nil, err
	}
	if !(end >= first && end <= p.Blocks()) {
		return nil, fmt.Errorf("blocks up to %d of a run of %d", end, p.Blocks())
	}
	form := countsForm{text: text, rows: uint64(p.Rows(first, end))}
	form.counts(p.engine.counts)
	if form.err == nil && len(form.text) > 0 {
		form.err = errors.New("more than the counts of the run")
	}
	if form.err != nil {
		return nil, fmt.Errorf("counts: %w", form.err)
	}
	p.engine.begun, p.engine.blocks, p.engine.done = end, end, p.Rows(first, end)
	return p, nil
}

// countsForm writes counts behind a text, or reads them off it: one walk for both, so that they agree.
// Reading, the counts are still zero, and rows is how many rows they are of.
type countsForm struct {
	text    []byte
	writing bool
	rows    uint64
	err     error
}

func (f *countsForm) counts(c *counts) {
	for s := range c.scenarios {
		own := &c.scenarios[s]
		for i := range own.kept {
			if kept := &own.kept[i]; kept.quantity != nil {
				f.histogram(kept.quantity.Histogram)
			} else {
				f.tally(&kept.event)
			}
		}
		for _, t := range own.requirements {
			for i := range t.stretches {
				f.tally(&t.stretches[i])
			}
		}
	}
	for _, pair := range c.pairs {
		for _, t := range pair.tallies {
			f.numbers(&t.both, &t.onlyFirst, &t.onlyOther, &t.differenceSquares)
			f.within(t.both + t.onlyFirst + t.onlyOther)
		}
	}
	for _, t := range c.inAny {
		f.tally(t)
	}
}

func (f *countsForm) tally(t *tally) {
	f.numbers(&t.rows, &t.rowSquares, &t.groups, &t.groupSquares)
	f.within(max(t.rows, t.groups))
}

// within refuses more of something than there are rows.
func (f *countsForm) within(n uint64) {
	if !f.writing && f.err == nil && n > f.rows {
		f.err = fmt.Errorf("%d of %d rows", n, f.rows)
	}
}

// numbers writes numbers, or sets them.
func (f *countsForm) numbers(all ...*uint64) {
	for _, n := range all {
		if f.writing {
			f.text = binary.AppendUvarint(f.text, *n)
			continue
		}
		value, length := binary.Uvarint(f.text)
		if length <= 0 {
			f.err, f.text = errors.Join(f.err, errors.New("they end too early")), nil
			return
		}
		*n, f.text = value, f.text[length:]
	}
}

// histogram has how many bins have values, and those: each by how far it is from the one
// before, the first from the lowest there is.
func (f *countsForm) histogram(h *Histogram) {
	f.numbers(&h.plusInfinity, &h.minusInfinity, &h.undefined, &h.sizeSquares)
	const lowest = -largestBin - 1
	bins, last := uint64(0), int64(lowest)-1
	for range h.slots() {
		bins++
	}
	f.numbers(&bins)
	if f.writing {
		for i, slot := range h.slots() {
			p, bin := h.pages[i], int64((h.firstPage+i)*pageBins+slot)
			step, n := uint64(bin-last), p.at(slot)
			f.numbers(&step, &n.values, &n.squares, &n.missing)
			last = bin
		}
		return
	}
	sum := h.plusInfinity + h.minusInfinity + h.undefined
	for ; bins > 0 && f.err == nil; bins-- {
		var step uint64
		var n inBin
		f.numbers(&step, &n.values, &n.squares, &n.missing)
		if f.err != nil {
			return
		}
		if step == 0 || n.values == 0 || n.values > f.rows || step > uint64(largestBin-last) || h.clusterRows == 1 && (n.squares > 0 || n.missing > 0) {
			f.err = errors.New("an impossible bin")
			return
		}
		last += int64(step)
		h.put(int(last), n)
		sum += n.values
	}
	if f.err == nil && sum != f.rows {
		f.err = fmt.Errorf("%d values of %d rows", sum, f.rows)
	}
}
