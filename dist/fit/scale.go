package fit

import "math"

// scale is a range of values mapped to the whole line: the distance from a
// finite end by its logarithm, a range with two ends by its log-odds.
type scale Range

func (s scale) value(y float64) float64 {
	switch low, high := !math.IsInf(s.Low, 0), !math.IsInf(s.High, 0); {
	case low && high && y > 0:
		return s.High - (s.High-s.Low)/(1+math.Exp(y))
	case low && high:
		return s.Low + (s.High-s.Low)/(1+math.Exp(-y))
	case low:
		return s.Low + math.Exp(y)
	case high:
		return s.High - math.Exp(-y)
	}
	return y
}

func (s scale) coordinate(x float64) float64 {
	switch low, high := !math.IsInf(s.Low, 0), !math.IsInf(s.High, 0); {
	case low && high:
		return math.Log((x - s.Low) / (s.High - x))
	case low:
		return math.Log(x - s.Low)
	case high:
		return -math.Log(s.High - x)
	}
	return x
}

// stretch is dx/dy.
func (s scale) stretch(y float64) float64 {
	switch low, high := !math.IsInf(s.Low, 0), !math.IsInf(s.High, 0); {
	case low && high:
		e := math.Exp(-math.Abs(y))
		return (s.High - s.Low) * e / (1 + e) / (1 + e)
	case low:
		return math.Exp(y)
	case high:
		return math.Exp(-y)
	}
	return 1
}
