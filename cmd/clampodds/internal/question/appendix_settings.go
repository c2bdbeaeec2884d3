package question

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"clampodds/reports"
	"clampodds/reports/figure"
	"clampodds/sim/result"
)

// style is the look of a limit in every figure: that of its place in the study, from 1.
func (a *Appendix) style(label string) int {
	for i, l := range a.Study.Limits {
		if reports.Label(l.Output) == label {
			return i + 1
		}
	}
	return 0
}

// settingFigure is what the figures of a setting share: the curves with their targets, and
// what they say in words.
type settingFigure struct {
	figure.Setting
	words  []string
	slots  string // that the worst stands for the others
	bounds string // those over what is not known, in a sentence
}

// add draws a limit at each x, in the unit shown.
func (f *settingFigure) add(name string, style int, target float64, x []float64, points []reports.ExplorePoint) {
	c := figure.Curve{Name: name, Style: style}
	for i, p := range points {
		c.AddBand(x[i], p.Value, p.Low, p.High)
	}
	if len(c.X) == 0 {
		return
	}
	f.Curves = append(f.Curves, c)
	f.target(target)
	f.words = append(f.words, name+" "+ends(c))
}

// target marks one, once.
func (f *settingFigure) target(at float64) {
	if !slices.ContainsFunc(f.Targets, func(m figure.Mark) bool { return m.At == at }) {
		f.Targets = append(f.Targets, figure.Mark{At: at, Label: "target", Value: reports.ExactProbability(at)})
		slices.SortFunc(f.Targets, func(a, b figure.Mark) int { return int(math.Copysign(1, a.At-b.At)) })
	}
}

// exploredLimit is a limit in a condition with its look in the figures.
type exploredLimit struct {
	reports.ExploreRequirement
	name  string
	style int
	end   bool // of the window
}

// exploredLimits are those that decide somewhere, or set an end of the window, in each condition. A condition that
// changes nothing of a limit has none of its own, and of the slots of a chassis the worst stands for the others.
func (a *Appendix) exploredLimits() (all []exploredLimit, folded bool) {
	if a.Explore == nil {
		return nil, false
	}
	points := func(q reports.ExploreRequirement) []reports.ExplorePoint { return slices.Concat(q.Points, q.AtFactors) }
	var looks []figure.Curve
	for k, c := range a.Explore.Conditions {
		first := len(all)
		for i, q := range c.Requirements {
			end := a.endOfWindow(q, c.Name)
			if !q.Decides(points(q)) && !end || k > 0 && slices.Equal(points(q), points(a.Explore.Conditions[0].Requirements[i])) {
				continue
			}
			limit := exploredLimit{q, q.Label, a.style(q.Label), end}
			if k > 0 {
				limit.name, limit.style = q.Label+", "+c.Name, limit.style+len(a.Study.Limits)
			}
			at := slices.IndexFunc(all[first:], func(s exploredLimit) bool { return withoutSlot(s.Label) == withoutSlot(q.Label) })
			if at < 0 {
				all = append(all, limit)
				continue
			}
			if folded = true; most(points(q)) > most(points(all[first+at].ExploreRequirement)) {
				all[first+at] = limit
			}
		}
	}
	for i := range all {
		all[i].style = figure.Apart(all[i].style, looks)
		looks = append(looks, figure.Curve{Style: all[i].style})
	}
	return all, folded
}

// explored adds the limits that decide at one of the points, or set an end of the window.
func (f *settingFigure) explored(a *Appendix, x []float64, of func(reports.ExploreRequirement) []reports.ExplorePoint) {
	all, folded := a.exploredLimits()
	for _, q := range all {
		if points := of(q.ExploreRequirement); q.Decides(points) || q.end && slices.ContainsFunc(points, func(p reports.ExplorePoint) bool { return p.Value > 0 }) {
			f.add(q.name, q.style, q.Target, x, points)
		}
	}
	if folded {
		f.slots = "; of the slots the worst"
	}
}

// endOfWindow reports whether a limit sets an end of the window in a condition.
func (a *Appendix) endOfWindow(q reports.ExploreRequirement, condition string) bool {
	m := a.Torque.Mission
	return m != nil && (q.Own || !q.Moved) && slices.ContainsFunc([]reports.TorqueMissionEnd{m.Lower, m.Upper}, func(e reports.TorqueMissionEnd) bool { return e.Label == q.Label && e.Condition == condition })
}

// withoutSlot is the name of a limit that the cards of a chassis share.
func withoutSlot(label string) string {
	kind, _, _ := strings.Cut(label, ", slot ")
	return kind
}

// most is the largest bound of probabilities.
func most(points []reports.ExplorePoint) (p float64) {
	for _, at := range points {
		p = max(p, at.High)
	}
	return p
}

func (a *Appendix) torqueWindow() *reports.Figure {
	t, unit := a.Torque, a.Torque.Shown
	f := settingFigure{Setting: figure.Setting{Axis: unit.Head("nominal torque"), Interval: result.Interval{Low: math.NaN(), High: math.NaN()}}}
	if a.Explore != nil {
		f.Basis = figure.Basis{Samples: a.Explore.Cards, Of: "cards at each torque, the same draws"}
		f.explored(a, allIn(unit, a.Explore.Torques), func(q reports.ExploreRequirement) []reports.ExplorePoint { return q.Points })
	}
	caption := "Probability of missing each requirement that is not shown to hold throughout, against the nominal torque" + f.slots
	if len(f.Curves) == 0 {
		a.searched(&f)
		caption = "Probability of missing each requirement against the nominal torque"
	}
	caption += a.boundsOnFigure(&f)
	low, high := t.Lower.Safe, t.Upper.Safe
	f.OpenLow, f.OpenHigh = t.Lower.Requirement == "", t.Upper.Requirement == ""
	if f.Window = "holds on average, as written"; t.Verdict == "yes" && t.Mission != nil {
		low, high, f.Window = t.Mission.Lower.Torque, t.Mission.Upper.Torque, "holds in every condition"
		f.OpenLow, f.OpenHigh = f.OpenLow && t.Mission.Lower.Requirement == "", f.OpenHigh && t.Mission.Upper.Requirement == ""
	}
	alt := fmt.Sprintf("Probability of missing each requirement against the nominal torque [%s]: %s.", unit.Label, strings.Join(f.words, "; ")) + f.bounds
	if low < high {
		f.Low, f.High = unit.Of(low), unit.Of(high)
		alt += fmt.Sprintf(" Shaded, %s: %s to %s %s.", f.Window, threeDigits(f.Low), threeDigits(f.High), unit.Label)
	}
	if in := a.Study.Input(TorqueKey); in.Dist != nil {
		f.Spread = result.Interval{Low: unit.Of(in.Dist.Quantile(0.01)), High: unit.Of(in.Dist.Quantile(0.99))}
		f.SpreadName = "torque in the study, P1 to P99"
		alt += fmt.Sprintf(" In the study it scatters from %s to %s, P1 to P99.", threeDigits(f.Spread.Low), threeDigits(f.Spread.High))
	}
	mark := func(label string, at float64, value string) {
		f.Marks = append(f.Marks, figure.Mark{At: unit.Of(at), Label: label, Value: value})
	}
	if t.Advice != nil && t.Advice.Torque != t.Now {
		mark("recommended", t.Advice.Torque, t.Recommended(unit))
	}
	mark("study", t.Now, unit.Text(t.Now))
	f.NotAllowed = "not allowed by the clamp maker, with the tool's scatter"
	for _, end := range []struct {
		label, beyond string
		at            float64
		to            *float64
	}{{"least allowed", "below", t.Allowed.LeastSetting, &f.Least}, {"most allowed", "above", t.Allowed.MostSetting, &f.Most}} {
		if end.at > 0 {
			*end.to = unit.Of(end.at)
			text := threeDigits(*end.to) + " " + unit.Label
			mark(end.label, end.at, text)
			alt += fmt.Sprintf(" Hatched, %s %s: %s.", end.beyond, text, f.NotAllowed)
		}
	}
	for _, m := range f.Marks {
		alt += fmt.Sprintf(" Marked, %s: %s.", m.Label, m.Value)
	}
	return &reports.Figure{Key: "torque_window", Caption: caption, Drawing: f.Setting, Alt: alt}
}

// searched adds what the search for the window counted.
func (a *Appendix) searched(f *settingFigure) {
	t := a.Torque
	f.Basis = figure.Basis{Samples: int64(t.GridRows), Of: t.GridOf + " at each torque, near the ends more about the limit"}
	from, to := aboutWindow(t)
	for _, c := range t.Curves {
		var x []float64
		var points []reports.ExplorePoint
		for _, p := range c.Points {
			if p.Value > 0 && p.Torque >= from && p.Torque <= to {
				x, points = append(x, t.Shown.Of(p.Torque)), append(points, reports.ExplorePoint{Value: p.Value, Interval: p.Interval})
			}
		}
		f.add(c.Label, a.style(c.Label), c.Target, x, points)
	}
}

// contactFactor shows what would be known if the contact factor were.
func (a *Appendix) contactFactor() *reports.Figure {
	if a.Explore == nil || len(a.Explore.Factors) == 0 {
		return nil
	}
	f := settingFigure{Setting: figure.Setting{Axis: "contact factor, taken as known", Interval: result.Interval{Low: math.NaN(), High: math.NaN()},
		Basis: figure.Basis{Samples: a.Explore.Cards, Of: "cards at each factor, the same draws"}}}
	f.explored(a, a.Explore.Factors, func(q reports.ExploreRequirement) []reports.ExplorePoint { return q.AtFactors })
	if len(f.Curves) == 0 {
		return nil
	}
	alt := "Probability of missing each requirement against the contact factor: " + strings.Join(f.words, "; ") + "."
	in := a.Study.Input(contactFactorKey)
	if in.Dist != nil {
		f.Spread = result.Interval{Low: in.Dist.Quantile(0.05), High: in.Dist.Quantile(0.95)}
		f.SpreadName = "in the study, P5 to P95"
		alt += fmt.Sprintf(" The study takes it to be %s to %s, P5 to P95.", reports.Number(f.Spread.Low, 2), reports.Number(f.Spread.High, 2))
	}
	f.Marks = []figure.Mark{{At: in.Nominal, Label: "study, nominal", Value: reports.Plain(in.Nominal)}}
	return &reports.Figure{Key: "contact_factor", Caption: "Probability of missing each requirement that is not shown to hold throughout, if the contact factor were known; at the study's torque" + f.slots, Drawing: f.Setting, Alt: alt}
}

// threeDigits is a setting in words.
func threeDigits(x float64) string { return reports.Plain(significant(x, 3)) }

func allIn(unit reports.Unit, si []float64) (shown []float64) {
	for _, x := range si {
		shown = append(shown, unit.Of(x))
	}
	return shown
}

// designs holds the spreads of the designs compared against the limit.
func (a *Appendix) designs() *reports.Figure {
	_, limit, unit := a.temperature()
	f := figure.Designs{Quantity: unit.Head(a.quantity()), Bar: "P5 to P95", Line: "P1 to P99.9", Limit: limitMark(limit, unit), Basis: figure.Basis{Samples: a.Compare.Provenance.Samples, Of: "cards of each, the same draws"}}
	var words []string
	for i, d := range a.Compare.Designs {
		for _, q := range d.Results.Temperatures {
			if q.Name != a.output() {
				continue
			}
			at := func(p float64) float64 {
				for _, x := range q.Percentiles {
					if x.Probability == p {
						return unit.Of(x.Value)
					}
				}
				return math.NaN()
			}
			row := figure.DesignSpread{Name: string(rune('A'+i)) + ": " + d.Title, Line: result.Interval{Low: at(0.01), High: at(0.999)}, Bar: result.Interval{Low: at(0.05), High: at(0.95)}, Median: at(0.5)}
			f.Rows = append(f.Rows, row)
			words = append(words, fmt.Sprintf("%s %s, %s and %s", row.Name, reports.Number(row.Median, 1), reports.Number(row.Bar.High, 1), reports.Number(row.Line.High, 1)))
		}
	}
	if len(f.Rows) == 0 {
		return nil
	}
	return &reports.Figure{Key: "designs", Caption: "The designs side by side: " + a.quantity(), Drawing: f,
		Alt: fmt.Sprintf("P50, P95 and P99.9 of the %s [%s]: %s.", a.quantity(), unit.Label, strings.Join(words, "; "))}
}

// clampLength shows the forces of the left clamp at nominal values.
func (a *Appendix) clampLength() *reports.Figure {
	millimetres := func(key string) float64 { return 1e3 * a.Study.At(key, 0).Nominal }
	for _, e := range a.Nominal.Edges {
		if e.Name != "left" {
			continue
		}
		force := func(n float64) figure.Force {
			return figure.Force{Newton: n, Text: strings.TrimSpace(reports.Number(e.Force.Of(n), 0) + " " + e.Force.Label)}
		}
		f := figure.ClampLength{Length: millimetres("clamp.length"), Height: millimetres("clamp.height"), FlangeHeight: millimetres("flange.thickness"), ScrewDiameter: 1e3 * a.Study.Layout.Thread.MajorDiameter,
			Gap: max(0, millimetres("slot.width")-millimetres("flange.thickness")-millimetres("clamp.height")), Angle: a.Study.At("clamp.ramp_angle", 0).Nominal}
		var words []string
		for i, p := range e.Pieces {
			f.Pieces = append(f.Pieces, force(p.Outward))
			words = append(words, fmt.Sprintf("%d %s", i+1, f.Pieces[i].Text))
		}
		for _, v := range e.Clamp {
			if v.Name == axialNow {
				f.Axial = force(v.Value)
			}
		}
		if len(f.Pieces) == 0 || !(f.Axial.Newton > 0) {
			return nil
		}
		return &reports.Figure{Key: "clamp_length", Caption: "The left clamp cut lengthwise, with the force that each piece bears with at nominal values", Drawing: f,
			Alt: fmt.Sprintf("Clamp lengthwise: the screw pulls with %s; the pieces bear with, from its head on: %s.", f.Axial.Text, strings.Join(words, ", "))}
	}
	return nil
}

// aboutWindow are the torques that a figure shows: the window as written and the study's
// torque with something on either side, or all that was searched.
func aboutWindow(t reports.Torque) (from, to float64) {
	from, to = t.From, t.To
	if low := t.Lower.Torque; low > from {
		from = 0.7 * min(low, t.Now)
	}
	if high := t.Upper.Torque; high < to {
		to = 1.4 * max(high, t.Now)
	}
	return from, to
}
