package study

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
)

// order is how the parameters of a distribution are named one after another.
var order = []string{
	"value", "nominal", "mean", "median", "alpha", "beta", shapeParameter, "location", "dof", "scale", "sd", "cov", "sigma_ln",
	plusMinus, "plus", "minus", "coverage", "cp", "cpk", "file", "sheet", "column", "unit",
	"low", "low_mode", "mode", "high_mode", "high", "inexactness", "cut_low", "cut_high", readingsKey, lotSD, lotSigma, lotsRead,
}

// typedTable writes a distribution as it stands in the file, in one line.
func typedTable(table map[string]any) string {
	keys := slices.Sorted(maps.Keys(table))
	slices.SortStableFunc(keys, func(a, b string) int { return place(a) - place(b) })
	shape, _ := table["shape"].(string)
	if shape == "" {
		return fmt.Sprint(table["value"])
	}
	words := []string{shape}
	for _, key := range keys {
		switch v := table[key].(type) {
		case []any:
			for _, lot := range v {
				if t, ok := lot.(map[string]any); ok {
					words = append(words, fmt.Sprintf("%v of (%s)", t["weight"], typedTable(t)))
				}
			}
		default:
			if !slices.Contains(besides, key) {
				words = append(words, fmt.Sprintf("%s %v", key, v))
			}
		}
	}
	return strings.Join(words, ", ")
}

// place is where a key comes in order; percentiles come with the median.
func place(key string) int {
	if percentileKey.MatchString(key) {
		key = "median"
	}
	return slices.Index(order, key)
}

// typedUnit is the unit of the first value of a table that has one, empty when
// there is none.
func typedUnit(table map[string]any, q units.Quantity) string {
	if unit, ok := table["unit"].(string); ok {
		return unit
	}
	for _, key := range slices.Sorted(maps.Keys(table)) {
		switch v := table[key].(type) {
		case string:
			if value, err := units.Parse(v, q); err == nil && value.Unit != "" {
				return value.Unit
			}
		case []any:
			for _, lot := range v {
				if t, ok := lot.(map[string]any); ok {
					return typedUnit(t, q)
				}
			}
		}
	}
	return ""
}

// TorqueLine is screw.torque at another nominal torque, N*m, as a line for a study file: what is
// stated as a torque moves as WithTorque moves it. It is empty for shapes that hold more than
// numbers, readings or mixtures.
func (s *Study) TorqueLine(nominal float64) string {
	in := s.Input(torqueKey)
	absolute := s.Tool.Scatter == Absolute
	move := func(text string, spread bool) string {
		v, err := units.Parse(text, in.Quantity())
		switch {
		case err != nil && spread && absolute: // a share of the torque that stays in size
			share, _ := units.Parse(text, units.Number)
			return fmt.Sprintf("%.5g %%", 100*share.SI*in.Nominal/nominal)
		case err != nil || spread && absolute:
			return text
		case absolute:
			return units.Format(v.SI+nominal-in.Nominal, in.Quantity(), v.Unit)
		}
		return units.Format(v.SI*nominal/in.Nominal, in.Quantity(), v.Unit)
	}
	words := strings.Split(in.Typed, ", ")
	if in.Dist == nil && len(words) == 1 {
		return fmt.Sprintf("%s = %q", torqueKey, typeable(move(in.Typed, false)))
	}
	parts := []string{fmt.Sprintf("shape = %q", words[0])}
	for _, word := range words[1:] {
		key, text, ok := strings.Cut(word, " ")
		if !ok || !slices.Contains(torqueKeys, key) {
			return ""
		}
		if key != "coverage" && key != "sigma_ln" {
			text = fmt.Sprintf("%q", typeable(move(text, key == "sd" || key == "plus_minus")))
		}
		parts = append(parts, key+" = "+text)
	}
	if in.Level != 0 {
		parts = append(parts, fmt.Sprintf("per = %q", in.Level.String()))
	}
	return torqueKey + " = { " + strings.Join(parts, ", ") + " }"
}

// torqueKeys of a table are numbers that can be moved.
var torqueKeys = []string{"nominal", "mean", "median", "mode", "sd", "plus_minus", "coverage", "sigma_ln", "low", "high", "p95", "p05"}

// typeable writes a unit as a study file has it.
func typeable(text string) string {
	return strings.NewReplacer("N·m", "N*m", "in·lbf", "in*lbf", "ft·lbf", "ft*lbf").Replace(text)
}

const torqueKey = "screw.torque"

// WithTorque returns the study with another nominal torque, N*m. The tool's
// scatter, cuts included, keeps its share of the torque or its size, as Tool
// says. Variables keep their names, so that both draw the same numbers. The
// error says that the torque is outside the range of the model.
//
// The conditions of the result are those of the study as written.
func (s *Study) WithTorque(nominal float64) (*Study, error) {
	if err := s.OnlyApart(torqueKey); err != nil {
		return nil, fmt.Errorf("study: %w", err)
	}
	in := *s.Input(torqueKey)
	if !(nominal >= in.Parameter.Low && nominal <= in.Parameter.High) {
		return nil, fmt.Errorf("study: torque %s, allowed is %s to %s", in.Format(nominal), in.Format(in.Parameter.Low), in.Format(in.Parameter.High))
	}
	var err error
	switch {
	case in.Dist == nil:
	case s.Tool.Scatter == Absolute:
		err = in.move(1, nominal-in.Nominal)
	default:
		err = in.move(nominal/in.Nominal, 0)
	}
	if err != nil {
		return nil, fmt.Errorf("study: torque: %w", err)
	}
	in.Nominal = nominal
	in.Typed = fmt.Sprintf("%s, moved to %s", in.Typed, in.Format(nominal))
	return s.WithInput(in), nil
}

// RestsOnReadings reports whether few readings leave parameters of the input open, which are
// inputs of their own.
func (in *Input) RestsOnReadings() bool { return in.open != nil }

// Known returns the study with one input, which must be one that it has, taken as known.
func (s *Study) Known(key string, value float64) *Study {
	in := *s.Input(key)
	in.Dist, in.Level, in.Knowledge, in.Assumed, in.data, in.open = nil, 0, false, false, nil, nil
	in.Nominal, in.Typed = value, fmt.Sprintf("%s, taken as %s", in.Typed, in.Format(value))
	return s.WithInput(in)
}

// WithLimit returns the study with the limit of the same name replaced, which must be one that it has.
func (s *Study) WithLimit(l Limit) *Study {
	derived := *s
	derived.Limits = slices.Clone(s.Limits)
	derived.Limits[slices.IndexFunc(s.Limits, func(own Limit) bool { return own.Name == l.Name })] = l
	return &derived
}

// WithInput returns the study with one input replaced, which must be one that
// it has.
func (s *Study) WithInput(in Input) *Study {
	derived := *s
	derived.Inputs = slices.Clone(s.Inputs)
	own := derived.Input(in.Key)
	in.slots = own.slots
	*own = in
	return &derived
}
