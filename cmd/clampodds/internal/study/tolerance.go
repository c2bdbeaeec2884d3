package study

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
)

// A tolerance as a drawing has it, "14 W +- 5 %", and limits, "76 to 84 W".
var (
	eitherWay = regexp.MustCompile(`^(.*[^ ])\s*(?:±|\+-|\+/-)\s*(.+)$`)
	fromTo    = regexp.MustCompile(`^(.*[^ ])\s+to\s+(.+)$`)
)

// toleranceLine is how a study has a tolerance or limits that were typed as on a drawing: what to put in place of the text; empty where it is
// neither. Sizes lie anywhere inside, all else within the tolerance in 95 of 100, as new takes them.
func toleranceLine(text string, q units.Quantity) string {
	text = strings.ReplaceAll(strings.TrimSpace(text), "−", "-")
	if m := fromTo.FindStringSubmatch(text); m != nil {
		low, high := m[1], m[2]
		if value, err := units.Parse(high, q); err == nil && isBare(low) {
			low += " " + value.Unit
		}
		from, err := units.Parse(low, q)
		to, other := units.Parse(high, q)
		if err != nil || other != nil || !(from.SI < to.SI) {
			return ""
		}
		return fmt.Sprintf("{ shape = \"uniform\", low = %q, high = %q }", low, high)
	}
	m := eitherWay.FindStringSubmatch(text)
	if m == nil {
		return ""
	}
	nominal, either := m[1], m[2]
	for _, of := range []units.Quantity{q, q.Difference()} { // a unit behind the tolerance is that of both
		if value, err := units.Parse(either, of); err == nil && isBare(nominal) {
			nominal += " " + value.Unit
		}
	}
	value, err := units.Parse(nominal, q)
	if err != nil {
		return ""
	}
	percent, isShare := strings.CutSuffix(either, "%")
	switch share, err := strconv.ParseFloat(strings.TrimSpace(percent), 64); {
	case isShare && (err != nil || !(share > 0) || q == units.Temperature):
		return ""
	case isShare:
	default:
		if isBare(either) {
			either = strings.TrimSpace(either + " " + value.Unit)
		}
		if degrees, err := units.Parse(either, q); q == units.Temperature && err == nil {
			either = strings.TrimSpace(strings.TrimSuffix(either, degrees.Unit)) + " " + units.DifferenceUnit(degrees.Unit)
		}
		if size, err := units.Parse(either, q.Difference()); err != nil || !(size.SI > 0) {
			return ""
		}
	}
	shape, coverage := "normal", ", coverage = 0.95"
	if q == "m" {
		shape, coverage = "uniform", ""
	}
	return fmt.Sprintf("{ shape = %q, nominal = %q, plus_minus = %q%s }", shape, nominal, either, coverage)
}

// isBare says that a text is a number without a unit.
func isBare(text string) bool {
	_, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	return err == nil
}
