package rig

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
)

// column is one that a table may have.
type column struct {
	key string
	// also are further headers; the key with blanks for underscores is always one.
	also     []string
	quantity units.Quantity
	// input is the study's key of a condition that is set, output the model's name of
	// a quantity that is read.
	input, output string
}

// columns lists them in the order in which they are shown.
var columns = []column{
	{key: "torque", quantity: "N*m", input: "screw.torque"},
	{key: "power", quantity: "W", input: "card.power"},
	{key: "wall", also: []string{"wall temperature", "cold wall"}, quantity: units.Temperature, input: "wall.temperature"},
	{key: "altitude", quantity: "m", input: "gas.altitude"},
	{key: "left", also: []string{"left edge"}, quantity: units.Temperature, output: "edge.left"},
	{key: "right", also: []string{"right edge"}, quantity: units.Temperature, output: "edge.right"},
	{key: "hotter", also: []string{"hotter edge"}, quantity: units.Temperature, output: "edge.hotter"},
	{key: "spot", also: []string{"hottest spot"}, quantity: units.Temperature, output: "edge.spot"},
	{key: "left_resistance", quantity: "K/W", output: "resistance.left"},
	{key: "right_resistance", quantity: "K/W", output: "resistance.right"},
}

// The columns that are read in their own way.
const (
	noiseColumn = "noise"
	cardColumn  = "card"
	lotColumn   = "lot"
)

// keys lists all columns.
func keys() []string {
	var list []string
	for _, c := range columns {
		list = append(list, c.key)
	}
	return append(list, noiseColumn, cardColumn, lotColumn)
}

// header finds the header of a column among those of the file: the one asked for,
// or one the column is known by. It is empty when the file has none, or when the
// column is to be left out.
func (o *Options) header(key string, also, present []string) string {
	if wanted, given := o.Columns[key]; given {
		return wanted // dist/readings says when it is not there
	}
	for _, name := range append([]string{key, strings.ReplaceAll(key, "_", " ")}, also...) {
		for _, h := range present {
			if strings.EqualFold(strings.TrimSpace(h), name) {
				return h
			}
		}
	}
	return ""
}

// checkKeys refuses options for columns that do not exist.
func (o *Options) checkKeys() error {
	known := keys()
	for _, given := range []map[string]string{o.Columns, o.Units} {
		for _, key := range slices.Sorted(maps.Keys(given)) {
			if !slices.Contains(known, key) {
				return fmt.Errorf("there is no column %q; columns are %s", key, strings.Join(known, ", "))
			}
		}
	}
	return nil
}
