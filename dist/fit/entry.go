package fit

import (
	"fmt"
	"maps"
	"math"
	"slices"
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

// WithReadings returns the predictive distribution of a shape whose parameters
// come from a number of readings (3 or more): what Predictive gives, from the
// parameters alone. It is what "readings = 12" in a study means.
//
// For the normal shape it is Student's t about mean with sd as the standard
// deviation of the readings (n-1); for the uniform shape, low and high are the
// smallest and the largest reading. For the others the likelihood of n readings
// is taken as n times its mean under the shape. Cuts stay where they are.
// Shapes that cannot be fitted, and other input, get an error.
func WithReadings(s dist.Spec, readings int) (dist.Distribution, error) {
	n := float64(readings)
	if readings < 3 {
		return nil, refuse("readings", n, ">= 3")
	}
	if !slices.Contains(Families(), Family(s.Shape)) {
		return nil, fmt.Errorf("%s: readings can be given for %v only", s.Shape, Families())
	}
	uncut, kept := withoutCuts(s)
	d, err := dist.FromSpec(uncut)
	if err != nil {
		return nil, err
	}
	if location := uncut.Values["location"]; s.Shape == string(Weibull) && location != 0 {
		return nil, &dist.ParameterError{Shape: s.Shape, Parameter: "location", Value: location, Allowed: "0 where readings are given"}
	}
	switch family := Family(s.Shape); family {
	case Normal:
		t, err := student(n, d.Mean(), d.StdDev())
		if err != nil {
			return nil, err
		}
		return dist.NewTruncated(t, kept.Low, kept.High)
	case Uniform:
		low, high := d.Support()
		return dist.NewTruncated(uniformPredictive{low, high, n}, kept.Low, kept.High)
	default:
		return expected(d, family, kept, n)
	}
}

// withoutCuts takes the cuts off a Spec; the range is infinite without.
func withoutCuts(s dist.Spec) (uncut dist.Spec, kept Range) {
	uncut, kept = dist.Spec{Shape: s.Shape, Values: maps.Clone(s.Values)}, wholeLine
	keys := []string{"cut_low", "cut_high"}
	if s.Shape != string(Beta) && s.Shape != string(Uniform) {
		keys = append(keys, "low", "high")
	}
	for _, key := range keys {
		x, given := uncut.Values[key]
		if !given {
			continue
		}
		delete(uncut.Values, key)
		if key == "cut_low" || key == "low" {
			kept.Low = x
		} else {
			kept.High = x
		}
	}
	return uncut, kept
}

// expected averages the family over n times the mean log-likelihood under d,
// which is largest at d itself. The mean is a sum over normal scores an eighth
// apart, exact to rounding.
func expected(d dist.Distribution, family Family, kept Range, n float64) (dist.Distribution, error) {
	s := &Sample{n: n, mean: d.Mean(), sd: d.StdDev()}
	if family == Beta {
		s.data.BetaLimits.Low, s.data.BetaLimits.High = d.Support()
	}
	low, high := d.Support()
	for z := -8.0; z <= 8; z += 0.125 {
		if x := dist.FromNormalScore(d, z); x > low && x < high { // not rounded to an end
			s.exact = append(s.exact, point{x, 0.125 * n * math.Exp(dist.NormalLogDensity(z))})
		}
	}
	if family == Lognormal { // sigma_ln has n-1 in the denominator, the maximum n
		median := d.Quantile(0.5)
		for i := range s.exact {
			s.exact[i].x = median * math.Pow(s.exact[i].x/median, math.Sqrt((n-1)/n))
		}
	}
	best, err := s.maximum(family)
	if err != nil {
		return nil, err
	}
	g := &gridUncertainty{model: best.model, posterior: best.posterior(n, 0), centre: s.mean}
	if kept != wholeLine {
		g.kept = kept
	}
	return g.predictive()
}
