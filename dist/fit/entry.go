package fit

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"clampodds/dist"
)

// Kind says which unit a value of an entry has.
type Kind int

// The kinds.
const (
	Number     Kind = iota // none
	Quantity               // that of the readings
	Difference             // that of a difference of readings
)

// Entry is a distribution as a study file has it.
type Entry struct {
	Shape  string
	Values []EntryValue
	// Readings is the number of readings the parameters come from; a study that
	// knows it carries their uncertainty (see WithReadings). 0: it is in the
	// shape already.
	Readings int
	// Lots is the number of lots that the part of a lot among Values comes from; 0 without one.
	Lots int
}

// EntryValue is one parameter, in SI units.
type EntryValue struct {
	Key   string // as in dist.Spec
	Value float64
	Kind  Kind
}

var kinds = map[string]Kind{"sd": Difference, "scale": Difference, "sigma_ln": Number, "shape": Number, "alpha": Number, "beta": Number, "dof": Number, "lot_sd": Difference, "lot_sigma_ln": Number}

func entryValue(key string, x float64) EntryValue {
	kind, known := kinds[key]
	if !known {
		kind = Quantity
	}
	return EntryValue{key, x, kind}
}

// Entry returns the fit as a study entry: its parameters, the cuts at inspection
// and the number of readings.
func (f *Fit) Entry() Entry {
	e := Entry{Shape: string(f.Family), Readings: f.N}
	for _, p := range f.Parameters {
		e.Values = append(e.Values, entryValue(p.Key, p.Value))
	}
	for _, key := range []string{"low", "high"} { // of a beta distribution
		if x, given := f.fixed[key]; given {
			e.Values = append(e.Values, entryValue(key, x))
		}
	}
	if given(f.kept) && !math.IsInf(f.kept.Low, 0) {
		e.Values = append(e.Values, entryValue("cut_low", f.kept.Low))
	}
	if given(f.kept) && !math.IsInf(f.kept.High, 0) {
		e.Values = append(e.Values, entryValue("cut_high", f.kept.High))
	}
	return e
}

// Spec returns the distribution of the entry, readings left out.
func (e Entry) Spec() dist.Spec {
	values := map[string]float64{}
	for _, v := range e.Values {
		values[v.Key] = v.Value
	}
	return dist.Spec{Shape: e.Shape, Values: values}
}

// TOML renders the entry as an inline table:
//
//	{ shape = "weibull", shape_parameter = 2.10206, scale = "81.8783 N*m", readings = 23 }
//
// quantity turns a value that has a unit into the text of the study file, quotes
// included; nil writes the bare number. Numbers have six digits.
func (e Entry) TOML(quantity func(value float64, difference bool) string) string {
	fields := []string{"shape = " + strconv.Quote(e.Shape)}
	for _, v := range e.Values {
		key, text := v.Key, strconv.FormatFloat(v.Value, 'g', 6, 64)
		if key == "shape" { // which names the shape in a study
			key = "shape_parameter"
		}
		if v.Kind != Number && quantity != nil {
			text = quantity(v.Value, v.Kind == Difference)
		}
		fields = append(fields, key+" = "+text)
	}
	if e.Readings > 0 {
		fields = append(fields, fmt.Sprintf("readings = %d", e.Readings))
	}
	if e.Lots > 0 {
		fields = append(fields, fmt.Sprintf("lots_read = %d", e.Lots))
	}
	return "{ " + strings.Join(fields, ", ") + " }"
}
