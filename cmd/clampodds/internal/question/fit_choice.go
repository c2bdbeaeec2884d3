package question

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist/fit"
	"clampodds/dist/readings"
	"clampodds/joint/card"
	"clampodds/reports"
)

// measurand is what the measured quantity allows: nothing below 0, or anything.
type measurand struct {
	what string // the quantity that cannot be below 0; empty where that is not known
}

// mostImpossible is the share below 0 of a curve that counts as possible all the same: a
// normal curve whose mean is 5 standard deviations above 0 has 3e-7.
const mostImpossible = 1e-6

// measurand comes from the range that the model allows: of the input named, else of all
// inputs whose key ends in a word of the header, else of all inputs of the unit.
func (f *Fit) measurand(table *readings.Table) (measurand, error) {
	if table.Unit != "" && units.QuantityOf(table.Unit) == units.Temperature {
		return measurand{}, nil // 0 is no end
	}
	if f.Input != "" {
		p, err := study.AsInput(f.Input)
		if err != nil {
			return measurand{}, Refused{"input", err}
		}
		return notBelow0(p.Key, []card.Parameter{p}), nil
	}
	words := strings.FieldsFunc(strings.ToLower(table.Column), func(c rune) bool { return !(c >= 'a' && c <= 'z' || c == '_') })
	for _, word := range words {
		for _, name := range []string{word, strings.TrimSuffix(word, "s")} {
			if p := notBelow0(name, study.Named(name, "")); p.what != "" {
				return p, nil
			}
		}
		if word == "friction" { // screw.thread_friction, friction.ramp and so on
			return measurand{word}, nil
		}
	}
	if table.Unit == "" || !units.Known(table.Unit) {
		return measurand{}, nil
	}
	var same []card.Parameter
	for _, q := range []units.Quantity{"N*m", "Pa", "N", "W/mK", "W/m2K", "m2K/W", "K/W", "W/K"} {
		if _, err := units.Conversion(table.Unit, q); err == nil {
			same = study.Named("", q)
		}
	}
	return notBelow0("a quantity in "+table.Unit, same), nil
}

// inRange warns where a study would refuse the entry for the input named: a slip of the unit. One of another quantity is
// refused.
func (f *Fit) inRange(r *reports.Fit, best *fit.Fit) error {
	if f.Input == "" || r.Unit == "" {
		return nil
	}
	p, err := study.AsInput(f.Input)
	if err != nil {
		return Refused{"input", err}
	}
	q := units.Quantity(p.Unit)
	convert, err := units.Conversion(r.Unit, q)
	if err != nil {
		return refused("input", "%s: %w", f.Input, err)
	}
	if si := convert(best.Distribution().Quantile(0.5)); !(si >= p.Low && si <= p.High) {
		r.Warnings = append(r.Warnings, reports.Warning{Code: "outside-range", Text: fmt.Sprintf("the median is %s, and a study takes %s of %s to %s: is the unit right?",
			units.Format(si, q, r.Unit), p.Key, units.Format(p.Low, q, r.Unit), units.Format(p.High, q, r.Unit))})
	}
	return nil
}

func notBelow0(what string, inputs []card.Parameter) measurand {
	if len(inputs) == 0 || slices.ContainsFunc(inputs, func(p card.Parameter) bool { return p.Low < 0 }) {
		return measurand{}
	}
	return measurand{what}
}

// impossible is the share of a fitted curve where the quantity cannot be.
func (p measurand) impossible(g *fit.Fit) float64 { return g.Distribution().CDF(0) }

// near is the difference of AICc below which the readings do not tell families apart.
const near = 2

// bears says whether a fit may stand for the readings: they do not speak against it, and it is not the uniform one, which
// ends at the outermost readings.
func bears(g *fit.Fit) bool {
	return g.Family != fit.Uniform && !rejected(g)
}

func rejected(g *fit.Fit) bool {
	return slices.ContainsFunc(g.Warnings, func(w fit.Warning) bool { return w.Code == fit.Rejected })
}

// alike are the fits within a difference of AICc of the likeliest that may stand for the readings, and that the physics allows.
func (p measurand) alike(fits []*fit.Fit, within float64) (list []*fit.Fit) {
	first := slices.IndexFunc(fits, bears)
	for _, g := range fits {
		if bears(g) && (p.what == "" || p.impossible(g) <= mostImpossible) && !(g.AICc-fits[first].AICc >= within) {
			list = append(list, g)
		}
	}
	return list
}

// pasted is the position of the fit that goes into a study, with the reason: the
// likeliest that is not rejected, but within 2 of its AICc one that the physics allows
// goes before one that it does not; far from 0, where families look alike, the normal one
// goes first. The uniform family comes last of all, since it ends at the outermost readings and
// has no tails to speak of.
func (p measurand) pasted(fits []*fit.Fit) (at int, why string) {
	first := slices.IndexFunc(fits, bears)
	if first < 0 && fits[0].Family == fit.Uniform && !rejected(fits[0]) {
		return 0, "every family with tails is rejected, and this one ends at the outermost readings"
	}
	if first < 0 {
		hasTails := func(g *fit.Fit) bool { return g.Family != fit.Uniform }
		return max(0, slices.IndexFunc(fits, hasTails)), "every family is rejected: the least unlikely of those with tails"
	}
	alike := p.alike(fits, near)
	for _, g := range alike {
		if g.Family == fit.Normal && math.Abs(g.Parameters[0].Value) > 5*g.Parameters[1].Value {
			return slices.Index(fits, g), "far from 0, where families look alike, normal goes first within 2 of AICc"
		}
	}
	if len(alike) == 0 {
		return first, fmt.Sprintf("%s cannot be below 0, where %s has a share of %.2g; families without it are less likely by 2 of AICc or more",
			p.what, fits[first].Family, p.impossible(fits[first]))
	}
	if allowed := slices.Index(fits, alike[0]); allowed != first {
		return allowed, fmt.Sprintf("%s cannot be below 0, where %s has a share of %.2g: within 2 of AICc a family without it goes first",
			p.what, fits[first].Family, p.impossible(fits[first]))
	}
	return first, "the likeliest that is not rejected"
}
