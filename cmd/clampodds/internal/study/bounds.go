package study

import "math"

// bounds are what a number in a list of tables may be: the reader holds it against them, and the schema has them.
type bounds struct {
	low, high         float64
	lowOpen, highOpen bool // the end itself is refused
	wanted            string
}

var (
	shareOfTime  = bounds{low: 0, lowOpen: true, high: 1, wanted: "shares of the mission time are above 0, and all together at most 1"}
	rankOf       = bounds{low: -1, lowOpen: true, high: 1, highOpen: true, wanted: "a rank correlation lies between -1 and 1"}
	factorOf     = bounds{low: 0, high: 100, wanted: "a factor of the spread from 0 to 100 expected"}
	costOf       = bounds{low: 0, high: math.Inf(1), wanted: "a cost of 0 or more expected"}
	agedFrom     = bounds{low: 0, lowOpen: true, high: math.Inf(1), wanted: "a time or a number of cycles above 0 expected"}
	growth       = bounds{low: 0, high: 10, wanted: "a growth per decade from 0 to 10 expected"}
	insertions   = bounds{low: 0, high: math.Inf(1), wanted: "a number of insertions, 0 or more, expected"}
	insertionsOf = bounds{low: 0, lowOpen: true, high: math.Inf(1), wanted: "a number of insertions above 0 expected"}
	frictionMove = bounds{low: -1, lowOpen: true, high: 1, highOpen: true, wanted: "a change of friction between -1 and 1 expected"}
)

func (b bounds) fits(x float64) bool {
	return (x > b.low || x == b.low && !b.lowOpen) && (x < b.high || x == b.high && !b.highOpen)
}

// form is that of the schema; a text may be per cent, or have a unit.
func (b bounds) form() map[string]any {
	form := map[string]any{"type": []string{"number", "string"}, "description": b.wanted}
	for _, end := range []struct {
		at          float64
		open        bool
		name, ended string
	}{{b.low, b.lowOpen, "minimum", "exclusiveMinimum"}, {b.high, b.highOpen, "maximum", "exclusiveMaximum"}} {
		switch {
		case math.IsInf(end.at, 0):
		case end.open:
			form[end.ended] = end.at
		default:
			form[end.name] = end.at
		}
	}
	return form
}

// within reads a number in its bounds.
func (f fields) within(key string, b bounds) float64 {
	x, _ := f.number(key, "1", b.fits, b.wanted)
	return x
}
