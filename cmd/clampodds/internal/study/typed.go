package study

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
)

// order is how the parameters of a distribution are named one after another.
var order = []string{
	"value", "nominal", "mean", "median", "alpha", "beta", shapeParameter, "location", "dof", "scale", "sd", "cov", "sigma_ln",
	plusMinus, "plus", "minus", "coverage", "cp", "cpk", "file", "sheet", "column", "unit",
	"low", "low_mode", "mode", "high_mode", "high", "inexactness", "cut_low", "cut_high", readingsKey, lotSD, lotSigma, lotsRead,
}

// typedTable writes a distribution as it stands in the file, in one line.
func typedTable(table map[string]any) string {
	keys := slices.Sorted(maps.Keys(table))
	slices.SortStableFunc(keys, func(a, b string) int { return place(a) - place(b) })
	shape, _ := table["shape"].(string)
	if shape == "" {
		return fmt.Sprint(table["value"])
	}
	words := []string{shape}
	for _, key := range keys {
		switch v := table[key].(type) {
		case []any:
			for _, lot := range v {
				if t, ok := lot.(map[string]any); ok {
					words = append(words, fmt.Sprintf("%v of (%s)", t["weight"], typedTable(t)))
				}
			}
		default:
			if !slices.Contains(besides, key) {
				words = append(words, fmt.Sprintf("%s %v", key, v))
			}
		}
	}
	return strings.Join(words, ", ")
}

// place is where a key comes in order; percentiles come with the median.
func place(key string) int {
	if percentileKey.MatchString(key) {
		key = "median"
	}
	return slices.Index(order, key)
}

// typedUnit is the unit of the first value of a table that has one, empty when
// there is none.
func typedUnit(table map[string]any, q units.Quantity) string {
	if unit, ok := table["unit"].(string); ok {
		return unit
	}
	for _, key := range slices.Sorted(maps.Keys(table)) {
		switch v := table[key].(type) {
		case string:
			if value, err := units.Parse(v, q); err == nil && value.Unit != "" {
				return value.Unit
			}
		case []any:
			for _, lot := range v {
				if t, ok := lot.(map[string]any); ok {
					return typedUnit(t, q)
				}
			}
		}
	}
	return ""
}
