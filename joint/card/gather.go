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

// together is how many rows are worked on in one go: as many values of a column as lie
// beside each other in the cache, and a multiple of what the network solves at once.
const together = 8

// gather puts rows of x, from start on, into their input vectors. A value outside its
// parameter's range is moved to the nearer end (NaN to the low one), so that whatever
// is drawn the model's formulas stay inside what they are defined for.
func gather(list []drawn, x [][]float64, start int, rows []rowState) {
	for k := range rows {
		rows[k].outside = false
	}
	var in [together][]float64
	for k := range rows {
		in[k] = rows[k].in
	}
	for i := range list {
		d := &list[i]
		for k, v := range x[d.column][start : start+len(rows)] {
			if !(v >= d.low && v <= d.high) {
				v, rows[k].outside = d.nearer(v), true
			}
			in[k%together][d.slot] = v
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
