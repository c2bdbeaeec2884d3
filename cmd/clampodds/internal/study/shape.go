package study

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/dist/fit"
)

// The words of the study file that dist calls otherwise or does not know.
const (
	measured       = "measured"
	mixture        = "mixture"
	shapeParameter = "shape_parameter" // of weibull and gamma: shape names the shape here
	plusMinus      = "plus_minus"      // plus and minus in one
	readingsKey    = "readings"        // how many readings the parameters come from
)

type shapeReader struct {
	fields
	quantity units.Quantity
	factor   float64     // of every value that has the unit of the quantity
	data     *dataColumn // of measured readings
	open     *leftOpen   // by the readings that the parameters come from
	// drawByDraw says that what they leave open is averaged over in each draw by itself.
	drawByDraw bool
	lot        *lotPart          // what units of a lot share
	asIfKnown  dist.Distribution // without what readings leave open
	unknown    []string          // keys that the shape does not have
}

// numberKeys are parameters without unit; differenceKeys have the unit of a
// difference. All others have the unit of the input itself.
var (
	numberKeys     = []string{"cov", "sigma_ln", "coverage", "cp", "cpk", "dof", lotSigma, "alpha", "beta", shapeParameter}
	differenceKeys = []string{"sd", "plus", "minus", plusMinus, "scale", "inexactness", lotSD}
)

// besides are the keys of a table that are no parameters of its distribution.
var besides = []string{"shape", "per", "knowledge", "source", "weight"}

var percentileKey = regexp.MustCompile(`^p[0-9]{1,2}(\.[0-9]+)?$`)

// read returns the distribution and its nominal value; ok is false when
// something was reported. extra are keys that somebody else reads.
func (s *shapeReader) read(extra []string) (d dist.Distribution, nominal float64, ok bool) {
	shape, isText := s.table["shape"].(string)
	if _, given := s.table["value"]; given && s.table["shape"] == nil {
		shape, isText = "fixed", true
	}
	known := append(append([]string{"shape"}, s.keysOf(shape)...), extra...)
	if !isText || len(known) == 1+len(extra) {
		names := append(dist.Shapes(), measured, mixture)
		hint := didYouMean(shape, names)
		if s.table["shape"] == nil {
			hint = "a distribution is written, and replaced, as a whole"
		}
		s.wrong("shape", "the shape of the distribution expected: "+strings.Join(names, ", "), hint)
		return nil, 0, false
	}
	before := len(s.problems)
	s.unknownKeys(shape, known)
	switch shape {
	case measured:
		d = s.measured()
	case mixture:
		d = s.mixture()
	default:
		d = s.parametric(shape)
	}
	if d == nil || len(s.problems) > before {
		return nil, 0, false
	}
	written := []string{"nominal", "median"} // uneven cuts move the median of what is left
	if shape == "normal" {
		written = append(written, "mean")
	}
	for _, key := range written {
		if v, given := s.table[key]; given {
			parsed, _ := parseQuantity(v, s.quantity)
			return d, parsed.SI * s.factor, true
		}
	}
	return d, d.Quantile(0.5), true
}

// keysOf lists the parameters a shape can have; none for an unknown shape.
func (s *shapeReader) keysOf(shape string) []string {
	var keys []string
	switch shape {
	case measured:
		return []string{"file", "sheet", "column", "unit", "decimal_comma", "smoothed", "low", "high"}
	case mixture:
		return []string{"lots", "low", "high"}
	}
	for _, set := range dist.ShapeKeys(shape) {
		keys = append(keys, set...)
	}
	if keys == nil {
		return nil
	}
	if i := slices.Index(keys, "shape"); i >= 0 {
		keys = append(keys, shapeParameter)
	}
	keys = slices.DeleteFunc(keys, func(k string) bool { return k == "shape" })
	if slices.Contains(keys, "plus") {
		keys = append(keys, plusMinus)
	}
	if slices.Contains(fit.Families(), fit.Family(shape)) {
		keys = append(append(keys, readingsKey), lotKeys...)
	}
	if slices.Contains(keys, "low") {
		return append(keys, "cut_low", "cut_high")
	}
	return append(keys, "low", "high")
}

// unknownKeys reports the keys that the shape does not have.
func (s *shapeReader) unknownKeys(shape string, known []string) {
	if slices.Contains(known, "pNN") {
		known = append(known, "median")
		for k := range s.table {
			if percentileKey.MatchString(k) {
				known = append(known, k)
			}
		}
	}
	for _, k := range slices.Sorted(maps.Keys(s.table)) {
		if !slices.Contains(known, k) {
			s.wrong(k, "the key is not one of a "+shape+" distribution", cmp.Or(didYouMean(k, known), wantedOf(shape)))
			s.unknown = append(s.unknown, k)
		}
	}
}

func (s *shapeReader) parametric(shape string) dist.Distribution {
	values := map[string]float64{}
	typed := map[string]string{readingsKey: readingsKey} // dist's key to the key of the file
	for _, k := range s.parameters() {
		x, ok := s.value(k, s.table[k])
		if !ok {
			values = nil // reported; the rest is still looked at
		}
		for _, key := range dictionary(k) {
			if other, twice := typed[key]; twice {
				s.wrong(k, fmt.Sprintf("%s and %s are both given", other, k), "")
				return nil
			}
			typed[key] = k
			if values != nil {
				values[key] = x
			}
		}
	}
	if values == nil || len(s.unknown) > 0 {
		return nil
	}
	d, err := s.build(dist.Spec{Shape: shape, Values: values})
	if err != nil {
		s.refuseShape(shape, err, typed)
		return nil
	}
	s.lot = s.lotPart(d)
	return d
}

// build makes the distribution; where it is said how many readings the parameters
// come from, the one that carries what so few leave open, or says it in s.open.
func (s *shapeReader) build(spec dist.Spec) (dist.Distribution, error) {
	d, err := dist.FromSpec(spec)
	s.asIfKnown = d
	v, given := s.table[readingsKey]
	if !given {
		return d, err
	}
	n, _ := v.(int64) // any other type is no number of readings: 0 is refused
	averaged, err := fit.WithReadings(spec, int(n))
	if err != nil {
		return nil, err
	}
	open, known, ok, err := fit.NewOpen(spec, int(n))
	if err != nil || !ok || s.part != "" { // a lot of a mixture has no variables of its own
		s.drawByDraw = n <= fit.MostOpenReadings
		return averaged, err
	}
	s.open = &leftOpen{Open: open, averaged: averaged, readings: int(n)}
	return known, nil
}

// parameters are the keys of the table but those beside the distribution, and those told as unknown.
func (s *shapeReader) parameters() []string {
	return slices.DeleteFunc(slices.Sorted(maps.Keys(s.table)), func(key string) bool {
		return key == readingsKey || slices.Contains(lotKeys, key) || slices.Contains(besides, key) || slices.Contains(s.unknown, key)
	})
}

// dictionary gives dist's names for a key of the file.
func dictionary(key string) []string {
	switch key {
	case shapeParameter:
		return []string{"shape"}
	case plusMinus:
		return []string{"plus", "minus"}
	}
	return []string{key}
}

// value reads one parameter in the unit its key calls for.
func (s *shapeReader) value(key string, v any) (float64, bool) {
	text, _ := v.(string)
	switch {
	case strings.HasSuffix(text, "%") && s.nominalWrong():
		return 0, false // of what is told there
	case slices.Contains(numberKeys, key):
		x, ok := s.reader.quantity(s.entry, s.part+"."+key, v, units.Number, 1)
		return x.SI, ok
	case slices.Contains(differenceKeys, key):
		if share, ok := s.shareOfNominal(v); ok {
			return share, true
		}
		x, ok := s.reader.quantity(s.entry, s.part+"."+key, v, s.quantity.Difference(), s.factor)
		return x.SI, ok
	}
	if x, ok := s.fromNominal(key, v); ok {
		return x, true
	}
	if slices.Contains(limitWords, key) && strings.HasSuffix(text, "%") && s.quantity != units.Number {
		s.wrong(key, "a limit in % is read from a nominal value, with its sign, and not for temperatures", `for instance nominal = ..., low = "-10 %", high = "+10 %"`)
		return 0, false
	}
	if _, dotted := v.(map[string]any); dotted && percentileKey.MatchString(key) {
		s.wrong(key, "a percentile with a decimal point needs quotes", `"p99.9" = ...`)
		return 0, false
	}
	x, ok := s.reader.quantity(s.entry, s.part+"."+key, v, s.quantity, s.factor)
	return x.SI, ok
}

// shareOfNominal reads a tolerance in % of the nominal value, as torque tools
// have it. Pure numbers and temperatures have no such tolerance: there the % would be
// a number, or meaningless.
func (s *shapeReader) shareOfNominal(v any) (float64, bool) {
	text, _ := v.(string)
	if !strings.HasSuffix(text, "%") || s.quantity == units.Number || s.quantity == units.Temperature {
		return 0, false
	}
	share, err := units.Parse(text, units.Number)
	nominal, wrong := parseQuantity(s.table["nominal"], s.quantity)
	return share.SI * nominal.SI * s.factor, err == nil && wrong == nil
}

// nominalWrong reports whether there is a nominal value that cannot be read.
func (s *shapeReader) nominalWrong() bool {
	nominal, given := s.table["nominal"]
	_, err := parseQuantity(nominal, s.quantity)
	return given && err != nil
}

// fromNominal reads a limit that is so many % from the nominal value, with its sign:
// low = "-10 %". It is for the quantities of shareOfNominal.
func (s *shapeReader) fromNominal(key string, v any) (float64, bool) {
	text, _ := v.(string)
	if !slices.Contains(limitWords, key) || strings.IndexAny(text, "+-−") != 0 {
		return 0, false
	}
	share, ok := s.shareOfNominal(text)
	nominal, err := parseQuantity(s.table["nominal"], s.quantity)
	return nominal.SI*s.factor + share, ok && err == nil
}

// limitWords are the keys of limits: of a cut, or of a shape that has its own.
var limitWords = []string{"low", "high", "cut_low", "cut_high"}

// refuseShape reports what dist refused, at the key that was typed.
func (s *shapeReader) refuseShape(shape string, err error, typed map[string]string) {
	if refused := new(dist.ParameterError); errors.As(err, &refused) {
		if key := typed[refused.Parameter]; key != "" {
			s.wrong(key, fmt.Sprintf("the %s must be %s", key, refused.Allowed), "")
			return
		}
		s.refuse(s.entry, s.part, nil, err.Error(), "")
		return
	}
	s.refuse(s.entry, s.part, nil, fmt.Sprintf("%s does not settle a %s distribution", cmp.Or(strings.Join(s.parameters(), " + "), "nothing"), shape), wantedOf(shape))
}

// wantedOf lists the sets of keys of which one settles a shape; empty for those that have none.
func wantedOf(shape string) string {
	var sets []string
	for _, set := range dist.ShapeKeys(shape) {
		text := " " + strings.Join(set, " + ") + " "
		text = strings.NewReplacer(" shape ", " "+shapeParameter+" ", "plus + minus", plusMinus).Replace(text)
		sets = append(sets, strings.TrimSpace(text))
	}
	if sets == nil {
		return ""
	}
	text := "wanted: " + strings.Join(sets, ", or ")
	if strings.Contains(text, plusMinus) {
		text += "; plus and minus may stand for " + plusMinus
	}
	return text
}
