package question

import (
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/joint/force"
	"clampodds/joint/material"
	"clampodds/reports"
)

// Known lists what a study may name.
func Known() reports.Known {
	r := reports.Known{Schema: reports.KnownSchema, Version: Version}
	for _, name := range force.ThreadNames() {
		t := dist.Must(force.ThreadNamed(name)) // the names are the table's
		r.Threads = append(r.Threads, reports.KnownThread{Name: name, Pitch: t.Pitch, StressArea: t.StressArea, Standard: t.Standard})
	}
	for _, m := range material.All() {
		r.Materials = append(r.Materials, reports.KnownWord{Name: m.Name, Also: m.Aliases})
	}
	for _, f := range material.Finishes() {
		r.Finishes = append(r.Finishes, reports.KnownWord{Name: f.Name, Also: f.Aliases})
	}
	for _, k := range study.Keys() {
		r.Keys = append(r.Keys, reports.KnownKey{Key: k.Key, Unit: k.Unit, Meaning: k.Meaning})
	}
	for _, u := range units.Usual() {
		r.Units = append(r.Units, reports.KnownQuantity{Quantity: u.Name, Units: u.Units})
	}
	return r
}
