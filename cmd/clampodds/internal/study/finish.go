package study

import (
	"fmt"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/joint/card"
	"clampodds/joint/material"
	"clampodds/sim"
)

// finish gives an input of a body's coat from the table of finishes, when the study
// names one and does not say otherwise: a lognormal number that nobody knows, the
// same for all cards.
func (r *reader) finish(p card.Parameter) (Input, bool) {
	body, property, _ := strings.Cut(p.Key, ".")
	f := r.finishes[body]
	var known material.Uncertain
	unit := ""
	switch property {
	case "coat.thickness":
		known, unit = f.what.Thickness, "um"
	case "coat.conductivity":
		known, unit = f.what.Conductivity, "W/mK"
	case "coat.hardness":
		known, unit = f.what.Hardness, "GPa"
	}
	if !known.Known() {
		return Input{}, false
	}
	return Input{
		Key: p.Key, Parameter: p, Origin: FromMaterial, Nominal: known.Value, Unit: unit,
		Typed: fmt.Sprintf("lognormal, median %s, sigma_ln %g", units.Format(known.Value, units.Quantity(p.Unit), unit), known.SigmaLn),
		Dist:  dist.Must(dist.NewLognormal(known.Value, known.SigmaLn)), Level: sim.Design, Knowledge: true,
		File: f.entry.doc.file, Line: f.entry.line(""),
		Source: fmt.Sprintf("%s: %s (%s)", f.what.Name, known.Source, known.Standing),
	}, true
}

// tableHardness reports whether the hardness of a body's coat comes from the table
// of finishes.
func (r *reader) tableHardness(body string) bool {
	_, given := r.entries[body+".coat.hardness"]
	return !given && r.finishes[body].what.Hardness.Known()
}
