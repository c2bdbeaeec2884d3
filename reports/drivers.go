package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"clampodds/sim/rare"
	"clampodds/sim/result"
)

// DriversSchema names the form of the JSON of the drivers.
const DriversSchema = "clampodds.drivers/1"

// Drivers says which inputs make the spread of an output and the probability of
// exceeding its limit. Numbers are in SI units, the unit beside them.
type Drivers struct {
	Schema     string     `json:"schema"`
	Provenance Provenance `json:"provenance"`
	Seed       uint64     `json:"seed"`
	// Rows is the size of each sample, Evaluations counts the cards computed in all.
	Rows        int     `json:"rows"`
	Evaluations int64   `json:"evaluations"`
	Level       float64 `json:"level"`
	ByMaker

	// ByDefault are the flags that look at another limit or condition of the study, where neither was asked for.
	ByDefault []string `json:"by_default,omitempty"`

	Label    string `json:"label"`
	Quantity string `json:"quantity"`
	Unit     string `json:"unit"`
	Shown    Unit   `json:"-"`
	// Difference is the unit of differences for people.
	Difference Unit    `json:"-"`
	Limit      float64 `json:"limit"`
	Target     float64 `json:"target"` // 0 without a target

	// Spread is empty where it is not defined; a warning says why.
	Spread []DriverShare `json:"spread"`
	StdDev float64       `json:"sd"`

	Established bool             `json:"established"`
	Agreement   string           `json:"agreement"`
	Probability rare.Probability `json:"probability"`
	// Record is the number of record of the study as written; null without a target. Probability is what the draws
	// of the drivers rest on.
	Record     *Estimate `json:"record"`
	Percentile float64   `json:"percentile"` // 0.99
	Before     float64   `json:"percentile_before"`

	// Exceeding draws of the samples, with their effective sample size.
	Exceeding      int     `json:"exceeding_draws"`
	EffectiveDraws float64 `json:"effective_draws"`

	Inputs   []Driver  `json:"inputs"`
	Warnings []Warning `json:"warnings,omitempty"`
}

// DriverInterval is a value with its interval.
type DriverInterval result.Effect

// DriverShare is a share of the variance, of one input or a correlated set.
type DriverShare struct {
	Inputs    []string       `json:"inputs"`
	Level     string         `json:"per"`
	Knowledge bool           `json:"knowledge"` // of the first
	First     DriverInterval `json:"first"`
	Total     DriverInterval `json:"total"`
	// Members are the Shapley effects within a set.
	Members []DriverMember `json:"members,omitempty"`
}

// DriverMember is the Shapley effect of an input of a correlated set.
type DriverMember struct {
	Input string         `json:"input"`
	Share DriverInterval `json:"shapley"`
}

// Driver is an input and what changing it would bring.
type Driver struct {
	Input     string  `json:"input"`
	Level     string  `json:"per"`
	Knowledge bool    `json:"knowledge"`
	Unit      string  `json:"unit"`
	StdDev    float64 `json:"sd"`
	// DeviationText is the standard deviation with its unit, for people.
	DeviationText string `json:"-"`
	// Changes are there where the exceedance is established.
	Changes []DriverChange `json:"changes"`
	// MeanSlope and StdDevSlope are the relative changes of the exceedance
	// probability with the mean, for one standard deviation, and with the standard
	// deviation, for all of it; NoSlope says why there are none.
	MeanSlope   *DriverInterval `json:"mean_slope,omitempty"`
	StdDevSlope *DriverInterval `json:"sd_slope,omitempty"`
	NoSlope     string          `json:"no_slope,omitempty"`
}

// DriverChange is a change of an input: fixed, halved, lowered or raised.
type DriverChange struct {
	Change string `json:"change"`
	// Factor multiplies the exceedance probability; absent where that is not
	// established.
	Factor *DriverInterval `json:"factor,omitempty"`
	// Moved is how far the percentile moves.
	Moved DriverInterval `json:"percentile_moved"`
}

// changeHeads are the columns of the what-if tables.
var changeHeads = []string{"fixed at mean", "half the sd", "mean - 1 sd", "mean + 1 sd"}

// Effects that are smaller are named below a table, not drawn.
const (
	smallShare  = 0.005 // of the variance
	smallFactor = 0.1   // of the probability
	smallMove   = 0.02  // of the standard deviation of the output
)

// notes are what is named below a table.
type notes struct{ nothing, small []string }

// add names the inputs left out.
func (n notes) add(t *Table) {
	if len(n.small) > 0 {
		t.note("Smaller: " + strings.Join(n.small, ", ") + ".")
	}
	if len(n.nothing) > 0 {
		t.note("Not distinguishable from no effect: " + strings.Join(n.nothing, ", ") + ".")
	}
}

const knowledgeNote = "* lack of knowledge: a measurement removes it, no tolerance does."

// starred marks lack of knowledge.
func starred(input string, knowledge bool) string {
	if knowledge {
		return input + " *"
	}
	return input
}

// Document draws the result for people.
func (r Drivers) Document() Document {
	d := Document{Title: r.Provenance.Title}
	d.AddFilled(Paragraph(r.lookedAt()))
	d.Add(Paragraph(r.Headline()))
	d.AddFilled(Paragraph(r.Words()))
	if len(r.Spread) > 0 {
		d.Add(r.spread())
	}
	if r.hasFactors() {
		d.Add(r.factors())
	}
	d.Add(r.percentiles())
	if r.hasFactors() {
		d.Add(r.slopes())
	}
	d.addEnd(r.Warnings, r.provenance())
	return d
}

// lookedAt says what is looked at because nothing else was asked for; empty where it was.
func (r Drivers) lookedAt() string {
	if len(r.ByDefault) == 0 {
		return ""
	}
	return fmt.Sprintf("Without %s this is about %s above %s, %s. The first sentence of run names the limit and the condition that decide: give these to drivers.",
		strings.Join(r.ByDefault, " and "), r.Label, r.Shown.Text(r.Limit), r.Condition())
}

func (r Drivers) hasFactors() bool {
	return len(r.Inputs) > 0 && len(r.Inputs[0].Changes) > 0 && r.Inputs[0].Changes[0].Factor != nil
}

// Condition is the one looked at, in words.
func (r Drivers) Condition() string { return cmp.Or(r.Provenance.Condition, "as written") }

// Headline is the output with its percentile, its spread and its exceedance.
func (r Drivers) Headline() string {
	p := r.Probability
	text := strings.TrimSpace(fmt.Sprintf("%s: %s %s %s", r.Label, PercentileName(r.Percentile), Number(r.Shown.Of(r.Before), 2), r.Shown.Label))
	if r.StdDev > 0 {
		text += ", standard deviation " + Number(r.Difference.Of(r.StdDev), 2) + " " + r.Difference.Label
	}
	text += ". Above " + r.Shown.Text(r.Limit)
	if r.Record != nil {
		text += fmt.Sprintf(", %s: %s per %s", r.Condition(), inSentence(*r.Record), per(r.Quantity))
		if !r.Established {
			text += "; what leads there is " + r.Agreement
		}
		return text + ". Whether that meets its target is for run to say."
	}
	switch {
	case !r.Established:
		return text + ": probability " + r.Agreement + "."
	case p.Value == 0:
		return text + ": never seen, at most " + tailText(p, p.High) + " per " + per(r.Quantity) + "."
	}
	return text + fmt.Sprintf(": %s per %s (%s … %s, %s %%).", tailText(p, p.Value), per(r.Quantity), tailText(p, p.Low), tailText(p, p.High), Plain(100*p.Level))
}

// percent prints an interval of shares in percent.
func (i DriverInterval) percent() []string {
	d := min(Digits(100*i.Value, 100*i.Low, 100*i.High), 1)
	return []string{Number(100*i.Value, d), Number(100*i.Low, d) + " … " + Number(100*i.High, d)}
}

func (r Drivers) spread() *Table {
	t := newTable("spread", "What makes the spread of the "+r.Label+": shares of its variance, %",
		texts("input", "one draw per"), numbers("alone", "interval", "with interaction", "interval"))
	t.note("alone: first-order Sobol' index. with interaction: total index. Correlated inputs have them together only; –: Shapley effects of the members.",
		knowledgeNote)
	var left notes
	for _, s := range r.Spread {
		switch {
		case s.Total.Indistinguishable:
			left.nothing = append(left.nothing, s.Inputs...)
			continue
		case s.Total.Value < smallShare:
			left.small = append(left.small, s.Inputs...)
			continue
		}
		name := starred(s.Inputs[0], s.Knowledge)
		if len(s.Inputs) > 1 {
			name = fmt.Sprintf("%d correlated inputs", len(s.Inputs))
		}
		t.AddRow(append(append([]string{name, s.Level}, s.First.percent()...), s.Total.percent()...)...)
		for _, m := range s.Members {
			share := m.Share.percent()
			t.AddRow("– "+m.Input, "", share[0], share[1], "", "")
		}
	}
	left.add(t)
	return t
}

// whatIf draws two rows for each input with an effect: values and intervals.
func (r Drivers) whatIf(t *Table, of func(c DriverChange) DriverInterval, small func(i DriverInterval) bool, cells func(i DriverInterval) []string) *Table {
	t.Columns = slices.Concat(texts("input"), numbers("1 sd"), numbers(changeHeads...))
	var left notes
	for _, in := range r.Inputs {
		some := func(wanted func(i DriverInterval) bool) bool {
			return slices.ContainsFunc(in.Changes, func(c DriverChange) bool { return wanted(of(c)) })
		}
		switch {
		case !some(func(i DriverInterval) bool { return !i.Indistinguishable }):
			left.nothing = append(left.nothing, in.Input)
			continue
		case !some(func(i DriverInterval) bool { return !i.Indistinguishable && !small(i) }):
			left.small = append(left.small, in.Input)
			continue
		}
		values, intervals := []string{starred(in.Input, in.Knowledge), in.DeviationText}, []string{"", ""}
		for _, c := range in.Changes {
			text := cells(of(c))
			values, intervals = append(values, text[0]), append(intervals, text[1])
		}
		t.AddRow(values...)
		t.AddRow(intervals...)
	}
	t.note("=: not distinguishable from no change. Below each value: its interval, level "+Plain(100*r.Level)+" %.", knowledgeNote)
	left.add(t)
	return t
}

func (r Drivers) factors() *Table {
	t := newTable("exceedance", "What if: by how much the probability of exceeding "+r.Shown.Text(r.Limit)+" is multiplied")
	t.note("One input is changed in all its instances, all else stays.")
	small := func(i DriverInterval) bool { return math.Abs(i.Value-1) < smallFactor }
	return r.whatIf(t, func(c DriverChange) DriverInterval { return *c.Factor }, small, factorCells)
}

func factorCells(i DriverInterval) []string {
	switch {
	case i.Indistinguishable:
		return []string{"=", ""}
	case i.Value == 0:
		return []string{"none seen", ""}
	case i.Value < 0.01:
		return []string{roughly(i.Value, 1), roughly(i.Low, 0) + " … " + roughly(i.High, 0)}
	}
	d := min(Digits(i.Value, i.Low, i.High), 3)
	if i.Value >= 0.1 {
		d = min(d, 2)
	}
	number := func(x float64) string { return Number(x, d) }
	return []string{number(i.Value), number(i.Low) + " … " + number(i.High)}
}

// roughly is a number far below 1 in powers of ten: of a factor, its order counts.
func roughly(x float64, decimals int) string {
	return strings.Replace(strconv.FormatFloat(x, 'e', decimals, 64), "e-0", "e-", 1)
}

func (r Drivers) percentiles() *Table {
	t := newTable("percentile", fmt.Sprintf("What if: by how much %s of the %s moves", PercentileName(r.Percentile), r.Difference.Head(r.Label)))
	small := func(i DriverInterval) bool { return math.Abs(i.Value) < smallMove*r.StdDev }
	return r.whatIf(t, func(c DriverChange) DriverInterval { return c.Moved }, small, r.movedCells)
}

// movedCells are how far the percentile moves and the interval of that.
func (r Drivers) movedCells(i DriverInterval) []string {
	if i.Indistinguishable {
		return []string{"=", ""}
	}
	value, low, high := r.Difference.Of(i.Value), r.Difference.Of(i.Low), r.Difference.Of(i.High)
	d := min(Digits(value, low, high), 2)
	if r.Difference.Label == "" {
		d = Digits(value, low, high)
	}
	return []string{signed(value, d), signed(low, d) + " … " + signed(high, d)}
}

func signed(x float64, decimals int) string {
	s := Number(x, decimals)
	if x > 0 {
		return "+" + s
	}
	return s
}

func (r Drivers) slopes() *Table {
	t := newTable("slopes", "Slopes: relative change of that probability per change of the mean by 1 sd, and per relative change of the sd",
		texts("input"), numbers("mean", "interval", "sd", "interval"))
	t.note("They hold for small changes: +2 says that a tenth of the unit makes the probability greater by a fifth.",
		knowledgeNote)
	var left notes
	var none []string
	for _, in := range r.Inputs {
		switch {
		case in.NoSlope != "":
			none = append(none, in.Input)
		case in.MeanSlope.Indistinguishable && in.StdDevSlope.Indistinguishable:
			left.nothing = append(left.nothing, in.Input)
		default:
			t.AddRow(append(append([]string{starred(in.Input, in.Knowledge)}, in.MeanSlope.slope()...), in.StdDevSlope.slope()...)...)
		}
	}
	if len(none) > 0 {
		t.note("No slope, because the density jumps at an end or too few draws exceeded: " + strings.Join(none, ", ") + ".")
	}
	left.add(t)
	return t
}

func (i DriverInterval) slope() []string {
	if i.Indistinguishable {
		return []string{"=", ""}
	}
	d := Digits(i.Value, i.Low, i.High)
	return []string{signed(i.Value, d), signed(i.Low, d) + " … " + signed(i.High, d)}
}

func (r Drivers) provenance() *Table {
	t := r.Provenance.Table()
	t.AddRow("seed", fmt.Sprint(r.Seed))
	t.AddRow("cards in each sample", fmt.Sprint(r.Rows))
	t.AddRow("cards computed", fmt.Sprint(r.Evaluations))
	if r.Exceeding > 0 {
		t.AddRow("exceeding among them", fmt.Sprintf("%d of those for the slopes, effective sample size %.0f", r.Exceeding, r.EffectiveDraws))
	}
	t.AddRow("interval level", Plain(100*r.Level)+" %")
	return t
}
