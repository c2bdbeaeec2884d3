package study

import (
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

// shapeReader reads the shape and the parameters of one inline table.
type shapeReader struct {
	fields
	quantity  units.Quantity
	factor    float64           // of every value that has the unit of the quantity
	data      *dataColumn       // of measured readings
	open      *leftOpen         // by the readings that the parameters come from
	lot       *lotPart          // what units of a lot share
	asIfKnown dist.Distribution // without what readings leave open
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
		s.wrong("shape", "the shape of the distribution expected: "+strings.Join(names, ", "), didYouMean(shape, names))
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
	if v, given := s.table["nominal"]; given {
		parsed, _ := parseQuantity(v, s.quantity)
		return d, parsed.SI * s.factor, true
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
			s.wrong(k, "the key is not one of a "+shape+" distribution", didYouMean(k, known))
		}
	}
}
