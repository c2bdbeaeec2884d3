package study

import (
	"fmt"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
)

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
