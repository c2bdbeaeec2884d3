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

// gather puts row r into the input vector. A value outside its parameter's
// range is moved to the nearer end (NaN to the low one), so that whatever is
// drawn the model's formulas stay inside what they are defined for; it reports
// whether any was.
func gather(list []drawn, x [][]float64, r int, in []float64) (outside bool) {
	for i := range list {
		d := &list[i]
		v := x[d.column][r]
		if !(v >= d.low) {
			v, outside = d.low, true
		} else if v > d.high {
			v, outside = d.high, true
		}
		in[d.slot] = v
	}
	return outside
}
