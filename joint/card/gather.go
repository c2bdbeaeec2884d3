package card

import "clampodds/joint/lanes"

// drawn is one slot of the input vector that changes from row to row.
type drawn struct {
	slot, column int
	low, high    lanes.Constant
}

// drawnSlots lists the slots that a binding takes from columns, and the number
// of columns it needs.
func drawnSlots(b *Binding) (list []drawn, columns int) {
	for _, r := range b.rows {
		for _, slot := range r.slots {
			if c := b.sources[slot].Column; c >= 0 {
				list = append(list, drawn{slot, c, lanes.Same(r.Low), lanes.Same(r.High)})
				columns = max(columns, c+1)
			}
		}
	}
	return list, columns
}

// gather puts count rows of x, from start on, into the block. A value outside its
// parameter's range is moved to the nearer end (NaN to the low one), so that whatever
// is drawn the model's formulas stay inside what they are defined for.
func (s *state) gather(list []drawn, x [][]float64, start, count int) {
	s.count = count
	clear(s.outside[:])
	whole := lanes.Fast && count == lanes.Count
	for i := range list {
		d := &list[i]
		row, from := &s.in.rows[d.slot], x[d.column][start:start+count]
		if whole && d.copyInside(row, (*lanes.Row)(from)) {
			continue
		}
		for lane, v := range from {
			if !(v >= d.low[0] && v <= d.high[0]) {
				v, s.outside[lane] = d.nearer(v), 1
			}
			row[lane] = v
		}
	}
}

// copyInside copies a row and reports whether all of it lies inside the range.
func (d *drawn) copyInside(to, from *lanes.Row) bool {
	low, high, inside := d.low.Vector(), d.high.Vector(), uint8(lanes.Every)
	for i := 0; i < lanes.Count; i += lanes.Width {
		v := from.At(i)
		inside &= v.GreaterEqual(low).And(high.GreaterEqual(v)).ToBits()
		to.Put(i, v)
	}
	lanes.Done()
	return inside == lanes.Every
}

// nearer is the end of the range that a value outside of it is moved to.
func (d *drawn) nearer(v float64) float64 {
	if v > d.high[0] {
		return d.high[0]
	}
	return d.low[0]
}
