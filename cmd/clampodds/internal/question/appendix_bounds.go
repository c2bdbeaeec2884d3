package question

import (
	"fmt"
	"slices"
	"strings"

	"clampodds/reports"
	"clampodds/reports/figure"
)

// boundsOnFigure adds to the curves, which are averages over what is not known, the bounds over it by which it is judged. What
// it returns belongs into the caption.
func (a *Appendix) boundsOnFigure(f *settingFigure) (caption string) {
	if !slices.ContainsFunc(a.Inputs.Inputs, func(in reports.Input) bool { return in.Knowledge }) {
		return ""
	}
	f.bounds = " The curves are averages over what is not known."
	with := fmt.Sprintf("at most, with %s %% confidence", reports.Plain(100*a.Torque.Provenance.Confidence))
	var words []string
	for _, b := range a.Torque.Bounds {
		name := b.Label
		if b.Condition != AsWritten {
			name += ", " + b.Condition
		}
		c, said := a.boundCurve(b)
		if len(c.X) == 0 {
			continue
		}
		if c.Style = styleOf(name, f.Curves); c.Style == 0 {
			c.Style = figure.Apart(a.style(b.Label), slices.Concat(f.Curves, f.Bounds))
		}
		c.Name = name + ": " + with
		f.Bounds = append(f.Bounds, c)
		words = append(words, name+" "+strings.Join(said, ", "))
		f.target(b.Target)
	}
	if len(words) == 0 {
		return ", averaged over what is not known"
	}
	f.bounds += fmt.Sprintf(" A target must hold for the bound over it as well, squares, %s: %s.", with, strings.Join(words, "; "))
	return ", averaged over what is not known; squares: " + with + " over it, which must be at or below the target too"
}

// apart, over the study's torque, are the points of a bound at least: towards an end the search looks closer than a figure shows.
const apart = 0.02

// boundCurve has the points of a bound within what the curves show.
func (a *Appendix) boundCurve(b reports.TorqueBound) (c figure.Curve, words []string) {
	from, to := aboutWindow(a.Torque)
	if a.Explore != nil {
		from, to = a.Explore.Torques[0], a.Explore.Torques[len(a.Explore.Torques)-1]
	}
	for i, p := range b.Points {
		if p.Torque < from || p.Torque > to || i > 0 && i < len(b.Points)-1 && p.Torque != a.Torque.Now && p.Torque-b.Points[i-1].Torque < apart*a.Torque.Now {
			continue
		}
		x := a.Torque.Shown.Of(p.Torque)
		c.AddBand(x, p.Value, p.Low, p.High)
		words = append(words, fmt.Sprintf("%s at %s", reports.Probability(p.Value, p.Low, p.High), threeDigits(x)))
	}
	return c, words
}

// styleOf is the look of a curve by its name, 0 where it is not drawn.
func styleOf(name string, curves []figure.Curve) int {
	i := slices.IndexFunc(curves, func(c figure.Curve) bool { return c.Name == name })
	if i < 0 {
		return 0
	}
	return curves[i].Style
}
