package dist

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Spec is a shape with the parameters a person has at hand, all in SI units.
//
// The keys of Values name the parameters: mean, sd, cov (sd/mean), median,
// sigma_ln, pNN (the value below which NN percent lie: p05, p95, p99.9; median
// counts as one of these), nominal, plus, minus, coverage, cp, cpk, low, mode,
// high, low_mode, high_mode, shape, scale, location, dof, alpha, beta,
// inexactness, value. ShapeKeys lists the sets a shape takes; exactly one has
// to be met.
//
// Cuts at inspection limits may be added to any set: cut_low, cut_high or both
// cut every shape. A shape without limits of its own (normal, lognormal,
// half-normal, rayleigh, weibull, gamma, gumbel, student-t) also takes low and
// high for them; for the others low and high are the limits of the shape.
type Spec struct {
	Shape  string
	Values map[string]float64
}

// Shapes returns the names of the shapes FromSpec knows, in the order of the
// documentation. Readings and mixtures have constructors of their own.
func Shapes() []string {
	names := make([]string, len(shapes))
	for i, s := range shapes {
		names[i] = s.name
	}
	return names
}

// ShapeKeys returns the sets of keys a shape takes, cuts left out, nil for an
// unknown shape. "pNN" stands for any percentile or the median.
func ShapeKeys(shape string) [][]string {
	var sets [][]string
	for _, f := range findShape(shape).forms {
		sets = append(sets, strings.Fields(f.keys))
	}
	return sets
}

func findShape(name string) shapeForms {
	i := slices.IndexFunc(shapes, func(s shapeForms) bool { return s.name == name })
	if i < 0 {
		return shapeForms{}
	}
	return shapes[i]
}

// FromSpec builds the distribution a Spec describes. A value out of range gets a
// *ParameterError; an unknown shape or keys that meet none of the shape's sets
// get an error that lists what there is. The map is not modified.
func FromSpec(s Spec) (Distribution, error) {
	shape := findShape(s.Shape)
	if shape.name == "" {
		return nil, fmt.Errorf("unknown shape %q, must be one of %s", s.Shape, strings.Join(Shapes(), ", "))
	}
	values := maps.Clone(s.Values)
	cutLow, lowKey := takeCut(values, shape, "low", math.Inf(-1))
	cutHigh, highKey := takeCut(values, shape, "high", math.Inf(1))
	for _, f := range shape.forms {
		v, ok := f.match(values)
		if !ok {
			continue
		}
		d, err := f.build(v)
		if err != nil {
			return nil, err
		}
		if lowKey == "" && highKey == "" {
			return d, nil
		}
		d, err = NewTruncated(d, cutLow, cutHigh)
		return d, inTermsOf(err, s.Shape, map[string]string{"cut_low": lowKey, "cut_high": highKey})
	}
	return nil, fmt.Errorf("%s: given %s, must be one of: %s (and cuts)",
		s.Shape, strings.Join(slices.Sorted(maps.Keys(s.Values)), ", "), shape.choices())
}

// takeCut removes the cut at one end from the values and returns it with its key.
func takeCut(values map[string]float64, shape shapeForms, end string, none float64) (cut float64, key string) {
	keys := []string{"cut_" + end}
	if !shape.hasLimits() {
		keys = append(keys, end)
	}
	for _, key := range keys {
		if value, given := values[key]; given {
			delete(values, key) // a second key for the same end is left and refused
			return value, key
		}
	}
	return none, ""
}

// hasLimits reports whether low and high are parameters of the shape itself.
func (s shapeForms) hasLimits() bool {
	return slices.ContainsFunc(s.forms, func(f form) bool { return slices.Contains(strings.Fields(f.keys), "low") })
}

func (s shapeForms) choices() string {
	var sets []string
	for _, f := range s.forms {
		sets = append(sets, strings.ReplaceAll(f.keys, " ", ", "))
	}
	return strings.Join(sets, " | ")
}

// match returns the values in the form's order, ok if it uses up all of them.
// Percentiles fill the wildcards in rising order.
func (f form) match(values map[string]float64) (ordered []float64, ok bool) {
	keys := strings.Fields(f.keys)
	percentiles := sortedPercentiles(values, keys)
	if len(keys) != len(values) {
		return nil, false
	}
	for _, key := range keys {
		if key == percentileWildcard {
			if len(percentiles) == 0 {
				return nil, false
			}
			p := percentiles[0]
			percentiles = percentiles[1:]
			ordered = append(ordered, p.probability, p.value)
			continue
		}
		value, given := values[key]
		if !given {
			return nil, false
		}
		ordered = append(ordered, value)
	}
	return ordered, true
}

type percentile struct{ probability, value float64 }

// sortedPercentiles returns the percentiles among the values by rising
// probability, except those the form asks for by name.
func sortedPercentiles(values map[string]float64, named []string) []percentile {
	var found []percentile
	for key, value := range values {
		if p, ok := keyProbability(key); ok && !slices.Contains(named, key) {
			found = append(found, percentile{p, value})
		}
	}
	slices.SortFunc(found, func(a, b percentile) int { return cmp.Compare(a.probability, b.probability) })
	return found
}

// keyProbability reads the probability from a percentile's key.
func keyProbability(key string) (probability float64, ok bool) {
	if key == "median" {
		return 0.5, true
	}
	digits, isPercentile := strings.CutPrefix(key, "p")
	percent, err := strconv.ParseFloat(digits, 64)
	return percent / 100, isPercentile && err == nil && percent > 0 && percent < 100
}

// inTermsOf renames the shape and the parameters of a ParameterError to what the
// caller wrote.
func inTermsOf(err error, shape string, keys map[string]string) error {
	var refused *ParameterError
	if !errors.As(err, &refused) {
		return err
	}
	renamed := *refused
	renamed.Shape = shape
	for name, key := range keys {
		if key != "" {
			renamed.Parameter = strings.Replace(renamed.Parameter, name, key, 1)
			renamed.Allowed = strings.Replace(renamed.Allowed, name, key, 1)
		}
	}
	return &renamed
}
