package question

import (
	"fmt"

	"clampodds/cmd/clampodds/internal/units"
)

// InTheirUnit keeps the numbers in their unit, which must be one that a study can
// be pasted with; that is also how a row of units is told from readings. Beside a
// unit asked for on the command line, another one of the file's converts, which the reader
// refuses as a contradiction.
func InTheirUnit(asked string) func(unit string) (func(float64) float64, error) {
	return func(unit string) (func(float64) float64, error) {
		switch {
		case unit == "" || asked == "" && units.Known(unit) || unit == asked && units.Known(unit):
			return func(x float64) float64 { return x }, nil
		case !units.Known(unit):
			return nil, fmt.Errorf("%s is no known unit: leave it out, or give another with --unit", unit)
		}
		return units.Between(unit, asked)
	}
}
