package sim

import (
	"encoding/binary"
	"errors"
	"fmt"
)

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
