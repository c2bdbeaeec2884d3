package study

import (
	"cmp"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
)

// Key is a key that a study may have.
type Key struct {
	Key     string
	Unit    string // one that its value may have; empty for words and lists
	Meaning string
}

// Keys lists all keys: inputs, plain keys, limits, components and the lists.
func Keys() []Key {
	var list []Key
	for _, p := range slices.Concat(allParameters(nil), chassisTable) {
		list = append(list, Key{p.Key, units.Example(units.Quantity(p.Unit)), p.Meaning})
	}
	for _, key := range slices.Concat(plainKeys, pieceFlatness) {
		if !slices.ContainsFunc(list, func(k Key) bool { return k.Key == key }) {
			list = append(list, Key{Key: key})
		}
	}
	for _, o := range limitOutputs {
		list = append(list, Key{Key: join(limitsTable, o.name), Unit: units.Example(o.quantity), Meaning: "limit"})
	}
	for _, key := range componentKeys {
		list = append(list, Key{Key: "[[component]] " + key})
	}
	for _, key := range []string{"extends", "[[chassis.slot]]", "[[condition]]", "[[correlation]]", "[[cost]]", "[[option]]"} {
		list = append(list, Key{Key: key})
	}
	slices.SortStableFunc(list, func(a, b Key) int {
		table := func(k Key) string { t, _, _ := strings.Cut(k.Key, "."); return t }
		return cmp.Or(cmp.Compare(table(a), table(b)), cmp.Compare(a.Key, b.Key))
	})
	return list
}
