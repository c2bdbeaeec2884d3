package reports

import (
	"fmt"
	"strconv"
	"strings"

	"clampodds/dist/gauge"
)

// GaugeSchema names the form of the JSON of a gauge study.
const GaugeSchema = "clampodds.gauge/1"

// Gauge is what a gauge study says. Values are in the unit of the readings.
type Gauge struct {
	Schema  string  `json:"schema"`
	Version string  `json:"version"`
	Data    string  `json:"data"`
	Digest  string  `json:"digest_sha256"`
	Column  string  `json:"column"`
	Unit    string  `json:"unit"`
	Level   float64 `json:"level"`
	// Verdict is met, not met or undecided: is the gauge good enough for the tolerance?
	// Empty without one.
	Verdict string `json:"verdict,omitempty"`
	Answer  string `json:"answer"`

	Parts     int     `json:"parts"`
	Operators int     `json:"operators"`
	Repeats   int     `json:"repeats"`
	Mean      float64 `json:"mean"`
	// Interaction says whether it is in the model that the components come from.
	Interaction bool             `json:"interaction_in_model"`
	Components  []GaugeComponent `json:"components"`
	Terms       []gauge.Term     `json:"uncertainty_terms"`
	System      GaugeUncertainty `json:"measuring_system"`
	Process     GaugeUncertainty `json:"measurement_process"`
	// Single is the standard uncertainty that differs from reading to reading, Shared the
	// one that all readings of an operator have in common.
	Single float64 `json:"single"`
	Shared float64 `json:"shared"`
	// Scatter is the standard deviation of the error among readings of different parts,
	// by several operators and by one.
	Scatter    GaugeScatter `json:"scatter"`
	Acceptance *GaugeGuard  `json:"acceptance,omitempty"`
	Analysis   []GaugeRow   `json:"analysis_of_variance"`
	Warnings   []Warning    `json:"warnings,omitempty"`
}

// GaugeComponent is a source of spread, as a standard deviation.
type GaugeComponent struct {
	Source   string  `json:"source"`
	Variance float64 `json:"variance"`
	SD       float64 `json:"sd"`
	Interval
	Share float64 `json:"share_of_variance"`
}

// GaugeUncertainty is a combined uncertainty. Its interval, and the ratios to the
// tolerance, are given where there is one.
type GaugeUncertainty struct {
	Standard float64 `json:"standard_uncertainty"`
	*Interval
	Freedom *float64 `json:"degrees_of_freedom,omitempty"`
	// Guard is the factor of the guard band behind which 5 % of the parts on a limit are accepted at most, with
	// what a study of this size leaves open of the uncertainty.
	Guard    *float64 `json:"guard_factor,omitempty"`
	Expanded float64  `json:"expanded_uncertainty"`
	// Ratio is 2 U over the tolerance.
	Ratio     *float64 `json:"ratio,omitempty"`
	RatioLow  *float64 `json:"ratio_low,omitempty"`
	RatioHigh *float64 `json:"ratio_high,omitempty"`
	Largest   *float64 `json:"largest_ratio,omitempty"`
}

// GaugeScatter is the gauge's part in the spread of readings.
type GaugeScatter struct {
	Several float64 `json:"several_operators"`
	One     float64 `json:"one_operator"`
	// The degrees of freedom of the squares of both; null in results that know none.
	SeveralFreedom *float64 `json:"several_operators_freedom"`
	OneFreedom     *float64 `json:"one_operator_freedom"`
}

// GaugeGuard says which readings accept a part.
type GaugeGuard struct {
	Factor float64      `json:"guard_factor"`
	Band   float64      `json:"guard_band"`
	Limits []GaugeLimit `json:"limits"`
	// Wrong is the share of parts exactly on a limit that are accepted, with what a
	// study of this size leaves open; Known is the same were the uncertainty known.
	Wrong float64 `json:"accepted_on_the_limit"`
	Known float64 `json:"accepted_on_the_limit_uncertainty_known"`
}

// GaugeLimit is one limit of the tolerance.
type GaugeLimit struct {
	Side   string  `json:"side"` // "lower" or "upper"
	Limit  float64 `json:"limit"`
	Accept float64 `json:"accept_from"`
	Reject float64 `json:"reject_from"`
}

// GaugeRow is a line of an analysis of variance.
type GaugeRow struct {
	Model string `json:"model"` // "with interaction" or "without interaction"
	gauge.Row
}

// Document draws the study for people.
func (g Gauge) Document() Document {
	d := Document{Title: fmt.Sprintf("Gauge study of %s in %s", g.Column, g.Data)}
	d.Add(Paragraph(g.Answer), g.components(), g.uncertainty())
	if g.Acceptance != nil {
		d.Add(g.acceptance())
	}
	d.Add(g.analysis())
	d.Add(warningBlocks(g.Warnings)...)
	d.Add(Heading("What this rests on"), List{
		"Parts and operators stand for all others of their kind; effects and errors are normal.",
		"At 95 % the intervals cover 94 to 95 in 100, of two parts by two operators 89 to 93; of the repeatability 93 where its test left the interaction out (measured at 10x5x2, 10x3x2, 10x2x2, 5x2x2 and 2x2x2).",
		"On the border of the largest ratio, at 95 %, a gauge is called good enough in up to 3 of 100 studies and not good enough in up to 6 (likewise).",
	})
	return d
}

func (g Gauge) head(text string) string { return Unit{Label: g.Unit}.Head(text) }

// spread prints a standard deviation with its interval.
func spread(value, low, high float64) []string {
	d := Digits(value, low, min(high, 2*value-low))
	return []string{Number(value, d), Number(low, d), Number(high, d)}
}

func (g Gauge) components() *Table {
	t := newTable("components", fmt.Sprintf("What makes the spread of readings of %d parts by %s, %d repeats each", g.Parts, Counted(g.Operators, "operator"), g.Repeats),
		texts(g.head("standard deviation of")), numbers("value", "low", "high", "share of the variance"))
	t.note(fmt.Sprintf("low, high: modified large-sample intervals, level %s %%. gauge: all but the parts.", Plain(100*g.Level)))
	if g.Operators > 1 && !g.Interaction {
		t.note("The interaction is left out of the model; its interval is that of the full one.")
	}
	for _, c := range g.Components {
		t.AddRow(append(append([]string{c.Source}, spread(c.SD, c.Low, c.High)...), Number(100*c.Share, 1)+" %")...)
	}
	return t
}

func (g Gauge) uncertainty() *Table {
	t := newTable("uncertainty", "Measurement uncertainty in the terms of ISO 22514-7",
		texts("term", "of"), numbers(g.head("u"), g.head("U = 2 u"), "2 U over the tolerance"))
	var missing []string
	for _, term := range g.Terms {
		if term.Value == 0 {
			missing = append(missing, term.Name)
			continue
		}
		name := term.Name
		if !term.Counted {
			name += ", not counted"
		}
		t.AddRow(term.Symbol, name, threeDigits(term.Value), "", "")
	}
	t.Notes = []string{"Of repeatability and resolution the larger one counts."}
	if len(missing) > 0 {
		t.note("Not given, or found to be nothing: " + strings.Join(missing, ", ") + ".")
	}
	percentage := func(x *float64) string { return Number(100**x, 1) }
	system, process := "", ""
	if g.Process.Ratio != nil {
		system = percentage(g.System.Ratio) + " %"
		process = fmt.Sprintf("%s (%s … %s) %%", percentage(g.Process.Ratio), percentage(g.Process.RatioLow), percentage(g.Process.RatioHigh))
	}
	t.AddRow("u_MS", "measuring system", threeDigits(g.System.Standard), threeDigits(g.System.Expanded), system)
	t.AddRow("u_MP", "measurement process", threeDigits(g.Process.Standard), threeDigits(g.Process.Expanded), process)
	return t
}

// threeDigits prints a value that is not known to more of them.
func threeDigits(x float64) string { return strconv.FormatFloat(x, 'g', 3, 64) }

func (g Gauge) acceptance() *Table {
	a := g.Acceptance
	t := newTable("acceptance", fmt.Sprintf("Accepting parts by a reading (ISO 14253-1), guard band %s u_MP", threeDigits(a.Factor)),
		texts("side"), numbers(g.head("limit"), "conforms, accept", "does not conform, reject"))
	t.note("Between the two neither is shown.",
		fmt.Sprintf("Of parts exactly on a limit at most %s are accepted, the uncertainty being an estimate; %s were it known. Of parts beyond it fewer.", Percent(a.Wrong), Percent(a.Known)))
	decimals := Digits(0, 0, a.Band) // a tenth of the band and less
	for _, l := range a.Limits {
		from, to := "from ", "below "
		if l.Side == "upper" {
			from, to = "up to ", "above "
		}
		t.AddRow(l.Side, Plain(l.Limit), from+Number(l.Accept, decimals), to+Number(l.Reject, decimals))
	}
	return t
}

func (g Gauge) analysis() *Table {
	t := newTable("analysis", "Analysis of variance, two-way random model", texts("model", "source"), numbers("sum of squares", "df", "mean square", "F", "p"))
	t.note("df: degrees of freedom. p: how often a source without effect gives a larger F.")
	if g.Operators == 1 {
		t.Caption = "Analysis of variance, one-way random model"
	} else {
		used := "left out of"
		if g.Interaction {
			used = "in"
		}
		t.note("The interaction is " + used + " the model of the tables above. Unless --interaction says otherwise it is left out where p is above 0.25.")
	}
	model := ""
	for _, r := range g.Analysis {
		cells := []string{"", r.Source, Plain(r.SumSquares), fmt.Sprint(r.Freedom), Plain(r.MeanSquare), "", ""}
		if r.Model != model {
			cells[0], model = r.Model, r.Model
		}
		if r.F > 0 {
			cells[5], cells[6] = Number(r.F, 2), Probability(r.P, 0, 0)
		}
		t.AddRow(cells...)
	}
	return t
}

// Counted is "1 operator", "3 operators".
func Counted[N int | int64](n N, what string) string {
	if n != 1 {
		what = strings.TrimSuffix(what, "s") + "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}
