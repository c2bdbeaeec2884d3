package study

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/joint/card"
	"clampodds/joint/contact"
	"clampodds/joint/material"
	"clampodds/sim"
)

// named is what a study names for a body, a material or a finish; known is false when it is not
// in the table.
type named[T any] struct {
	entry  entry
	what   T
	known  bool
	source string // of the study, why it is this one; may be empty
}

// behind is the source of what the table says: the study's own, then the table's.
func (n named[T]) behind(name, table string, standing material.Standing) string {
	text := fmt.Sprintf("%s: %s (%s)", name, table, standing)
	if n.source != "" {
		return n.source + "; " + text
	}
	return text
}

// nameKeys are those of a name with its source.
var nameKeys = []string{"value", "source"}

// readNamed looks up what is named for the bodies and reports what is not in the table.
func readNamed[T any](r *reader, key string, lookup func(string) (T, error), wrong string, names []string) map[string]named[T] {
	found := map[string]named[T]{}
	for _, body := range bodies {
		r.takes(join(body, key), map[string]any{"anyOf": []any{map[string]any{"type": "string"}, closed(nameKeys...)}})
		e, ok := r.entries[join(body, key)]
		if !ok {
			continue
		}
		value, part, source := e.value, "", ""
		if _, isTable := value.(map[string]any); isTable {
			f, _ := r.tableAt(e, "", value, nameKeys, "", "")
			value, part, source = f.table[nameKeys[0]], "."+nameKeys[0], f.text(nameKeys[1])
		}
		name, _ := value.(string)
		what, err := lookup(name)
		if err != nil {
			r.refuse(e, part, value, wrong, didYouMean(name, names))
		}
		found[body] = named[T]{e, what, err == nil, source}
	}
	return found
}

// readMaterials reads those of the bodies, and their finishes.
func (r *reader) readMaterials() {
	var materials, finishes []string
	for _, m := range material.All() {
		materials = append(materials, m.Name)
	}
	for _, f := range material.Finishes() {
		finishes = append(finishes, f.Name)
	}
	r.materials = readNamed(r, "material", material.Lookup, "the material is not in the table: "+strings.Join(materials, ", "), materials)
	r.finishes = readNamed(r, "finish", material.LookupFinish, "the finish is not in the table: "+strings.Join(finishes, ", "), finishes)
}

// material gives an input of a body from the table of materials, when the study
// names one and does not say otherwise.
func (r *reader) material(p card.Parameter) (Input, bool) {
	body, property, _ := strings.Cut(p.Key, ".")
	m := r.materials[body]
	known := r.propertyOf(m.what, property)
	if !m.known || !known.Known() {
		return Input{}, false
	}
	return Input{
		Key: p.Key, Parameter: p, Origin: FromMaterial, Nominal: known.Value,
		File: m.entry.doc.file, Line: m.entry.line(""),
		Source: m.behind(m.what.Name, known.Source, known.Standing),
	}, true
}

// propertyOf picks a property by the last word of its key. The expansion matters
// only to a study that follows the screw's preload with temperature, and is then
// needed with the rest of it.
func (r *reader) propertyOf(m material.Material, property string) material.Property {
	if property == "expansion" && !slices.ContainsFunc(thermalPreload, r.on) {
		return material.Property{}
	}
	return map[string]material.Property{
		"conductivity": m.Conductivity, "modulus": m.Modulus, "poisson": m.Poisson, "hardness": m.Hardness,
		"yield": m.Yield, "allowable": m.Allowable, "expansion": m.Expansion,
	}[property]
}

// thermalPreload are the inputs of a study that follows the screw's preload with
// temperature, beside the expansion of the clamp.
var thermalPreload = []string{"screw.expansion", "screw.modulus", "screw.assembly_temperature", "clamp.screw_train_area"}

// on reports whether the study gives an input that is not a plain 0, which stands for
// none.
func (r *reader) on(key string) bool {
	e, ok := r.entries[key]
	return ok && !isZero(e.value)
}

// fillable are the required inputs that a material gives.
var fillable = []string{"conductivity", "modulus", "poisson", "hardness"}

// materialHint points to the material where it would give a missing input.
func materialHint(key string) string {
	body, property, _ := strings.Cut(key, ".")
	if !slices.Contains(bodies, body) || !slices.Contains(fillable, property) {
		return ""
	}
	return fmt.Sprintf("; or give %s.material", body)
}

// materialUnknown reports whether a key is missing only because the material that
// would give it is not in the table.
func (r *reader) materialUnknown(key string) bool {
	body, property, _ := strings.Cut(key, ".")
	m, ok := r.materials[body]
	return ok && !m.known && slices.Contains(fillable, property)
}

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
		Source: f.behind(f.what.Name, known.Source, known.Standing),
	}, true
}

// tableHardness reports whether the hardness of a body's coat comes from the table
// of finishes.
func (r *reader) tableHardness(body string) bool {
	_, given := r.entries[body+".coat.hardness"]
	return !given && r.finishes[body].what.Hardness.Known()
}

// The model error: ln standard deviations of the contact factor, with slope and
// hardness from correlations and tables or both measured, and of the face factor
// (this project's judgement of the spread between the published correlations and
// tests; joint/contact has the sources).
const (
	contactFactorSpread         = 0.35
	contactFactorSpreadMeasured = 0.12
	faceFactorSpread            = 0.10
)

// standard gives the inputs whose default is more than a number of the table of
// parameters: the factors of model error and what depends on the gas.
func (r *reader) standard(p card.Parameter, l *card.Layout) (Input, bool) {
	in := Input{Key: p.Key, Parameter: p, Origin: Default, Nominal: 1}
	switch p.Key {
	case "contact.factor":
		in.Level, in.Knowledge = sim.Design, true
		in.factorOf(contactFactorSpread, "model error with slope or hardness from correlations and tables")
		if r.surfacesMeasured() {
			in.factorOf(contactFactorSpreadMeasured, "model error with slope and hardness of all faces given")
		}
	case "contact.face_factor":
		in.Level = sim.Face
		in.factorOf(faceFactorSpread, "model error from face to face")
	case "gas.accommodation":
		if l.Gas == contact.Vacuum {
			return Input{}, false // no gas looks at it: the default of the table
		}
		in.Nominal = l.Gas.Accommodation()
		in.Source = "default of the gas"
	default:
		return Input{}, false
	}
	return in, true
}

func (in *Input) factorOf(spread float64, source string) {
	in.Dist, in.Typed, in.Source = dist.Must(dist.NewLognormal(1, spread)), fmt.Sprintf("lognormal, median 1, sigma_ln %.2f", spread), source
}

// surfacesMeasured reports whether the study gives slope and hardness of every
// body, and of its coat, itself.
func (r *reader) surfacesMeasured() bool {
	for _, body := range bodies {
		for _, property := range []string{".slope", ".hardness"} {
			_, both := r.entries[body+property]
			_, apart := r.entries[join(body+property, sides[0])] // and then the right one
			if !both && !apart {
				return false
			}
		}
		if r.tableHardness(body) {
			return false
		}
	}
	return true
}

// bodies are the tables that have a material and a surface.
var bodies = []string{"clamp", "flange", "rail"}

// rmsOfRa turns an arithmetic mean roughness into the rms value, for Gaussian
// heights: sqrt(pi/2).
var rmsOfRa = math.Sqrt(math.Pi / 2)

// roughnessFactor is what the values of a key are multiplied with: rmsOfRa for a
// roughness that the study states as Ra, 1 otherwise.
func (r *reader) roughnessFactor(key string) float64 {
	if !strings.HasSuffix(key, ".roughness") {
		return 1
	}
	if e, ok := r.entries["surface.roughness_as"]; ok && e.value == "Ra" {
		return rmsOfRa
	}
	return 1
}
