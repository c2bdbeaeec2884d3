package card

// drawn is one slot of the input vector that changes from row to row.
type drawn struct {
	slot, column int
	low, high    float64
}

// drawnSlots lists the slots that a binding takes from columns, and the number
// of columns it needs.
func drawnSlots(b *Binding) (list []drawn, columns int) {
	for _, r := range b.rows {
		for _, slot := range r.slots {
			if c := b.sources[slot].Column; c >= 0 {
				list = append(list, drawn{slot, c, r.Low, r.High})
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
	for i := range list {
		d := &list[i]
		row := s.in.rows[d.slot][:count]
		for lane, v := range x[d.column][start : start+count] {
			if !(v >= d.low && v <= d.high) {
				v, s.outside[lane] = d.nearer(v), 1
			}
			row[lane] = v
		}
	}
}

// nearer is the end of the range that a value outside of it is moved to.
func (d *drawn) nearer(v float64) float64 {
	if v > d.high {
		return d.high
	}
	return d.low
}
