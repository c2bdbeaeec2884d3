package rig

import "math"

// Scale is the one on which the variation of the readings is nearly normal.
type Scale struct {
	// Logarithmic: observations are the logarithms of the reading above zero, and deviations shares of it.
	Logarithmic bool
	zero        []float64 // by row: the wall's temperature, or 0
}

func (t *Table) scale() Scale {
	s := Scale{zero: make([]float64, len(t.Lines))}
	wall := of(t.Set, "wall")
	switch {
	case t.Read[0].Quantity == "K/W":
		s.Logarithmic = true
	case wall != nil:
		s.Logarithmic, s.zero = true, wall.Values
	}
	return s
}

// to turns a reading of a row into an observation: NaN or -Inf where it has none.
func (s *Scale) to(row int, x float64) float64 {
	if !s.Logarithmic {
		return x
	}
	return math.Log(x - s.zero[row])
}

// From is the inverse: an observation of a row as a reading, in its unit.
func (s *Scale) From(row int, y float64) float64 {
	if !s.Logarithmic {
		return y
	}
	return s.zero[row] + math.Exp(y)
}

// noise turns the noise of a reading x of a row into that of the observation.
func (s *Scale) noise(row int, x, noise float64) float64 {
	if !s.Logarithmic {
		return noise
	}
	return noise / (x - s.zero[row])
}
