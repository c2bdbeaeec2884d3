package study

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/joint/card"
	"clampodds/sim"
)

// Origin says where an input comes from.
type Origin int

// The origins.
const (
	// Given: the key is in the study or one of its bases.
	Given Origin = iota + 1
	// FromMaterial: the tables of materials and finishes, by the name of one.
	FromMaterial
	// Default: the model's own default.
	Default
)

// Input is one input of the model as understood.
type Input struct {
	// Key is the full key, "screw.torque"; "screw.torque.left" where the study gives
	// each edge apart. Parameter.Key has no side.
	Key       string
	Parameter card.Parameter
	Origin    Origin
	// Typed is the value as it stands in the file: `0.70 N*m`, or for a
	// distribution `normal, mean 0.70 N*m, sd 0.035 N*m`.
	Typed string
	// Unit is the unit in it, for printing; empty when none was typed.
	Unit string
	// File and Line say where it stands; for a material, where the material is
	// named; empty and 0 for a default.
	File string
	Line int
	// Source is the source text of the study, or what stands behind a material
	// or a default.
	Source string
	// Nominal is the value of a constant, or of a distribution the nominal value, the median or, of a normal one,
	// the mean that is written, else its median; in the SI unit of the parameter.
	Nominal float64
	// Dist is nil for a constant.
	Dist dist.Distribution
	// Level says how widely one draw is shared; 0 for a constant.
	Level sim.Level
	// Knowledge marks lack of knowledge as against variation; Assumed that the verdict
	// takes it to be as stated all the same.
	Knowledge, Assumed bool

	factor float64     // what a typed value was multiplied with; 0 for none
	side   string      // of sides, empty for both together
	own    string      // the key that the cards of a chassis know it by
	slots  []int       // of a chassis that have it, by number; nil for all, and for a card
	most   bool        // no other input of the same own key has more slots
	data   *dataColumn // of measured readings
	open   *leftOpen   // what few readings leave open; Dist is then as if they left nothing
	lot    *lotPart    // what units of a lot share; Dist is then that within a lot
}

// Quantity is the quantity of the input, for units.Format.
func (in *Input) Quantity() units.Quantity { return units.Quantity(in.Parameter.Unit) }

// Format writes a value of the input, in SI units, in the unit that was typed.
func (in *Input) Format(si float64) string {
	return units.Format(si, in.Quantity(), in.Unit)
}

func (r *reader) inputs(l *card.Layout) []Input {
	r.judgeFlatness()
	var list []Input
	for _, p := range card.Parameters(l) {
		for _, in := range r.inputOf(p, l) {
			r.judge(&in)
			list = append(list, in)
		}
	}
	list = withParts(list)
	r.otherFamily(l)
	return list
}

// input reads one input from the study, its material or the defaults.
func (r *reader) input(p card.Parameter, l *card.Layout) (Input, bool) {
	if e, ok := r.entries[p.Key]; ok {
		return r.given(e, p)
	}
	if in, ok := r.material(p); ok {
		return in, true
	}
	if in, ok := r.flatness(p, l); ok {
		return in, true
	}
	if in, ok := r.finish(p); ok {
		return in, true
	}
	if in, ok := r.standard(p, l); ok {
		return in, true
	}
	if r.materialUnknown(p.Key) {
		return Input{}, false // reported where it is named
	}
	if !p.Required() {
		return Input{Key: p.Key, Parameter: p, Origin: Default, Nominal: p.Default, Source: "default"}, true
	}
	hint := p.Meaning
	if q := units.Quantity(p.Unit); q != units.Number {
		hint += ", in " + units.Example(q)
	}
	r.missing(p.Key, hint+materialHint(p.Key))
	return Input{}, false
}

// AsTyped is a value of the input, or a difference of two, in the way the study states it: of a
// roughness typed as Ra the Ra, whose rms value the model takes.
func (in *Input) AsTyped(si float64) float64 {
	if in.factor == 0 {
		return si
	}
	return si / in.factor
}

// given reads an input that the study gives.
func (r *reader) given(e entry, p card.Parameter) (Input, bool) {
	in := Input{Key: p.Key, Parameter: p, Origin: Given, File: e.doc.file, Line: e.line(""), factor: r.roughnessFactor(p.Key)}
	table, isTable := e.value.(map[string]any)
	if !isTable {
		if text, isText := e.value.(string); isText {
			if line := toleranceLine(text, in.Quantity()); line != "" {
				r.refuse(e, "", e.value, "a tolerance is written as a distribution", "in place of the text write "+line)
				return in, false
			}
		}
		v, ok := r.quantity(e, "", e.value, in.Quantity(), in.factor)
		in.Typed, in.Unit, in.Nominal = v.Typed, v.Unit, v.SI
		return in, ok && r.allowed(e, &in)
	}
	for _, side := range sides {
		if v, ok := table[side]; ok {
			r.refuse(e, "."+side, v, p.Key+" has one value per card: it is not given for left and right apart", "")
			return in, false
		}
	}
	if v, err := parseQuantity(table["nominal"], in.Quantity()); err == nil && (v.SI*in.factor < p.Low || v.SI*in.factor > p.High) { // else a limit or a tolerance about it takes the blame
		in.Nominal, in.Unit = v.SI*in.factor, v.Unit
		return in, r.allowed(e, &in)
	}
	s := shapeReader{fields: fields{r, e, "", table}, quantity: in.Quantity(), factor: in.factor}
	d, nominal, ok := s.read([]string{"per", "knowledge", "source"})
	in.Nominal, in.Typed, in.Unit, in.data = nominal, typedTable(table), typedUnit(table, in.Quantity()), s.data
	in.open, in.lot = s.open, s.lot
	if s.drawByDraw {
		r.warn(ReadingsAveraged, &in, "what so few readings leave open of this shape is averaged over in each draw by itself: the bound over what is not known leaves it out; normal, lognormal, half-normal and rayleigh keep it apart")
	}
	okSharing := s.sharing(&in)
	if _, fixed := d.(dist.Fixed); fixed {
		in.Level = 0
	} else {
		in.Dist = d
	}
	return in, ok && okSharing && !r.refuseLot(e, &in) && r.allowed(e, &in)
}

// nominalPart is where in an input's value its nominal value stands, and that
// value: the value itself, or a key of its table, if the table has such a key.
func nominalPart(value any) (part string, nominal any) {
	table, ok := value.(map[string]any)
	if !ok {
		return "", value
	}
	for _, key := range []string{"value", "nominal", "median", "mean"} {
		if v, ok := table[key]; ok {
			return "." + key, v
		}
	}
	return "", nil
}

func (f fields) sharing(in *Input) bool {
	before := len(f.problems)
	in.Source, in.Knowledge = f.text("source"), f.flag("knowledge")
	in.Level = defaultLevel(in.Parameter)
	if in.Knowledge {
		in.Level = sim.Design // the same unknown number for all cards
	}
	if f.has("per") {
		f.level(in)
	}
	return len(f.problems) == before
}

func (f fields) level(in *Input) {
	word := f.word("per")
	most := finest(in.Parameter.Scope)
	allowed, at := levelWords(most), slices.Index(levelWords(sim.Face), word)
	switch {
	case at < 0:
		f.wrong("per", "one of "+strings.Join(allowed, ", ")+" expected", didYouMean(word, allowed))
	case at >= len(allowed):
		f.wrong("per", fmt.Sprintf("%s has one value per %s and cannot be drawn per %s", in.Key, most, word),
			"allowed are "+strings.Join(allowed, ", "))
	default:
		in.Level = sim.Design + sim.Level(at)
	}
}

// allowed checks the nominal value against the range of the parameter.
func (r *reader) allowed(e entry, in *Input) bool {
	p := in.Parameter
	if in.Nominal >= p.Low && in.Nominal <= p.High || in.Dist == nil && in.Nominal == 0 && p.Zero != "" {
		return true
	}
	message := fmt.Sprintf("allowed is %s to %s", in.Format(p.Low), in.Format(p.High))
	if p.Zero != "" {
		message += ", or 0: " + p.Zero
	}
	part, value := nominalPart(e.value)
	if in.Dist != nil && part == "" {
		message = fmt.Sprintf("the median is %s, %s", in.Format(in.Nominal), message)
	}
	hint := ""
	if share := p.Low == 0 && p.High == 1 && in.Quantity() == units.Number; share && in.Nominal >= 2 && in.Nominal <= 100 {
		hint = fmt.Sprintf("is \"%[1]g %%\" meant? That is %[2]g", in.Nominal, in.Nominal/100)
	}
	r.refuse(e, part, value, message, hint)
	return false
}

// otherFamily reports the inputs that this family of clamp does not have.
func (r *reader) otherFamily(l *card.Layout) {
	own := map[string]bool{}
	for _, p := range card.Parameters(l) {
		own[p.Key] = true
		for _, key := range sideKeys(p) {
			own[key] = true
		}
	}
	known := inputKeys(nil)
	for _, key := range slices.Sorted(maps.Keys(r.entries)) {
		if e := r.entries[key]; known[key] && !own[key] {
			r.refuse(e, "", e.value, fmt.Sprintf("a %s clamp has no %s", l.Family, key), "it belongs to the four-face clamp")
		}
	}
}
