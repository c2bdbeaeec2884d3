package rig

import (
	"slices"

	"clampodds/cmd/clampodds/internal/units"
)

// noise reads it from the column or the option.
func (r *reader) noise() {
	t := r.table
	q := t.Read[0].Quantity.Difference()
	header := r.header(noiseColumn, nil, r.headers)
	switch {
	case header != "" && r.Noise != "":
		r.refuse("the noise is in the table and in the option: give it once")
	case header != "":
		if table := r.column(noiseColumn, header, q); table != nil {
			t.Noise = table.Values
		}
	case r.Noise == "":
		r.refuse("how large is the noise of a reading? Give its standard deviation in a column noise or as --noise %q", "0.3 "+units.Example(q))
	default:
		v, err := units.Parse(r.Noise, q)
		if err != nil {
			r.refuse("noise %q: %v", r.Noise, err)
			return
		}
		t.Noise = slices.Repeat([]float64{v.SI}, len(t.Lines))
	}
}

// judge refuses readings that no card gives.
func (r *reader) judge() {
	t := r.table
	wall := of(t.Set, "wall")
	for row, line := range t.Lines {
		if !(t.Noise[row] > 0) {
			r.refuse("line %d: the noise must be above 0", line)
		}
		for _, q := range t.Read {
			x := q.Values[row]
			switch {
			case q.Quantity != units.Temperature && !(x > 0):
				r.refuse("line %d (%s): a resistance must be above 0", line, q.Key)
			case q.Quantity == units.Temperature && wall != nil && !(x > wall.Values[row]):
				r.refuse("line %d (%s): %s is not above the cold wall, %s", line, q.Key,
					units.Format(x, q.Quantity, q.Unit), units.Format(wall.Values[row], wall.Quantity, wall.Unit))
			}
		}
	}
}
