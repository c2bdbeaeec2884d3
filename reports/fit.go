package reports

import (
	"fmt"
	"strings"

	"clampodds/dist/fit"
)

// FitSchema names the form of the JSON of fitted readings.
const FitSchema = "clampodds.fit/2"

// Fit is what readings say. Values are in the unit of the readings.
type Fit struct {
	Schema  string  `json:"schema"`
	Version string  `json:"version"`
	Data    string  `json:"data"`
	Digest  string  `json:"digest_sha256"`
	Column  string  `json:"column"`
	Unit    string  `json:"unit"`
	Level   float64 `json:"level"`
	// Gauge is the error that a gauge study took out of the fitted spread.
	Gauge *FitGauge `json:"gauge,omitempty"`

	Description []NamedValue    `json:"description"`
	Choice      Choice          `json:"choice"`
	Families    []FittedFamily  `json:"families"`
	Refused     []RefusedFamily `json:"refused,omitempty"`
	Beyond      []Beyond        `json:"beyond_limits,omitempty"`
	Lots        []NamedValue    `json:"lots,omitempty"`
	PerLot      []LotRow        `json:"per_lot,omitempty"`
	Capability  []fit.Index     `json:"capability,omitempty"`
	Chart       []NamedValue    `json:"run_chart,omitempty"`
	Flags       Flags           `json:"flags"`
	Outliers    []Outlier       `json:"outliers,omitempty"`
	Slips       *Slips          `json:"slips,omitempty"`
	Repeated    *Repeated       `json:"repeated,omitempty"`
	Steps       *Steps          `json:"coarse_steps,omitempty"`
	// OutsideChart are the readings outside the limits of the run chart.
	OutsideChart []MarkedReading `json:"outside_chart,omitempty"`
	Plot         []fit.PlotPoint `json:"probability_plot"`
	// Entry is ready to paste into a study; a comment behind it says what of the readings is to be looked at first.
	Entry string `json:"entry"`
	// NewLot is that of a unit of a lot that was not read: its own draw and the part of its lot; empty without
	// lots, or where NoNewLot says why there is none.
	NewLot   string    `json:"entry_new_lot,omitempty"`
	NoNewLot string    `json:"no_entry_new_lot,omitempty"`
	Warnings []Warning `json:"warnings,omitempty"`
	// Chance that the numbers of readings go with; 0 without a target.
	Chance float64 `json:"chance,omitempty"`
}

// FitGauge is a gauge's error, known from a study.
type FitGauge struct {
	Study       string  `json:"study"`
	Digest      string  `json:"digest_sha256"`
	OneOperator bool    `json:"one_operator"`
	SD          float64 `json:"sd"`
}

// Choice says which family goes into the entry, and why.
type Choice struct {
	Family string `json:"family"`
	// Quantity cannot be below 0; empty where that is not known.
	Quantity string `json:"not_below_zero,omitempty"`
	Reason   string `json:"reason"`
}

// Flags says how outliers and an unstable process are told.
type Flags struct {
	Family string  `json:"family"`
	Rate   float64 `json:"false_alarm_rate"` // at most, of each of the two
	Most   int     `json:"most_outliers"`
	Method string  `json:"method"`
	Reason string  `json:"not_given,omitempty"` // why there are no flags
	// NoLimits says that so few readings set the run chart no limits.
	NoLimits bool `json:"too_few_for_limits,omitempty"`
}

// MarkedReading is a reading with its place.
type MarkedReading struct {
	Line    int     `json:"line"`
	Reading float64 `json:"reading"`
}

// LotRow is one lot.
type LotRow struct {
	Lot      string  `json:"lot"`
	Readings int     `json:"readings"`
	Mean     float64 `json:"mean"`
	SD       float64 `json:"sd"`
	Smallest float64 `json:"smallest"`
	Largest  float64 `json:"largest"`
}

// FittedFamily is one family of distributions, fitted.
type FittedFamily struct {
	*fit.Fit
	Entry  string  `json:"entry"`
	Below0 float64 `json:"below_zero,omitempty"` // share of the curve, where the quantity cannot be
}

// RefusedFamily says why a family could not be fitted.
type RefusedFamily struct {
	Family string `json:"family"`
	Reason string `json:"reason"`
}

// Outlier is a reading that the outlier test flags.
type Outlier struct {
	Line      int     `json:"line"`
	Reading   float64 `json:"reading"`
	Statistic float64 `json:"statistic"`
	Critical  float64 `json:"critical"`
}

// head adds the unit of the readings to a text.
func (f Fit) head(text string) string { return Unit{Label: f.Unit}.Head(text) }

func (f Fit) families() *Table {
	t := newTable("families", "Families by maximum likelihood, the likeliest first",
		texts("family", "parameter"), numbers("value", "low", "high", "AICc", "A² adjusted", "p"))
	t.note("In the entry: "+f.Choice.Family+"; "+f.Choice.Reason+".",
		"low, high: interval of the parameter, level "+Plain(100*f.Level)+" %. p: Anderson-Darling with estimated parameters; below 0.05 speaks against the family; 0.25 stands for 0.25 or more where it comes from a table.")
	for _, g := range f.Families {
		for i, p := range g.Parameters {
			cells := append(append([]string{"", p.Key}, intervalCells(p.Value, p.Low, p.High)...), "", "", "")
			if i == 0 {
				cells[0], cells[5], cells[6], cells[7] = string(g.Family), Number(g.AICc, 2), Number(g.Adjusted, 3), Number(g.P, 3)
			}
			t.AddRow(cells...)
		}
	}
	return t
}

func (f Fit) capability() *Table {
	t := newTable("capability", "Capability and performance (ISO 22514-2); mind the warnings at the end", texts("index"), numbers("value", "low", "high", "one-sided lower"))
	for _, c := range f.Capability {
		t.AddRow(c.Name, Number(c.Estimate, 3), Number(c.Low, 3), Number(c.High, 3), Number(c.Lower, 3))
	}
	return t
}

// Document draws the fit: what to paste first.
func (f Fit) Document() Document {
	d := Document{Title: fmt.Sprintf("Readings of %s in %s", f.Column, f.Data)}
	if f.Column == "" { // the file has no header
		d.Title = "Readings in " + f.Data
	}
	d.AddFilled(Paragraph(f.Slips.text(f.Choice.Family, f.Unit)), Paragraph(f.Repeated.text()), Paragraph(f.Steps.text(f.Unit, Plain(100*f.Level))), f.verdict())
	f.entries(&d)
	if f.Gauge != nil {
		of := "repeatability, operators and their interaction with the parts"
		if f.Gauge.OneOperator {
			of = "repeatability and interaction, of one operator"
		}
		d.Add(Paragraph(fmt.Sprintf("Taken out of the fitted spread: the gauge's standard deviation of %s (%s) by %s. Lots, capability and run chart are of the readings as they are.",
			strings.TrimSpace(threeDigits(f.Gauge.SD)+" "+f.Unit), of, f.Gauge.Study)))
	}
	refused := newTable("refused", "Families that cannot be fitted to these readings", texts("family", "reason"))
	for _, r := range f.Refused {
		refused.AddRow(r.Family, r.Reason)
	}
	d.AddFilled(f.beyond(), f.families(), refused)
	d.Add(f.values("description", f.head("The readings"), f.Description))
	if len(f.Lots) > 0 {
		d.Add(f.values("lots", f.head("Between and within lots"), f.Lots), f.perLot())
	}
	d.AddFilled(f.capability())
	f.flags(&d)
	d.Add(warningBlocks(f.Warnings)...)
	return d
}

// entries are what to paste: for new lots first, and all readings together after it.
func (f Fit) entries(d *Document) {
	d.Add(Heading("Entry for a study"))
	if f.NewLot != "" {
		d.Add(Paragraph("Units of new lots, each its own draw beside what its lot has in common:"), Code(f.NewLot))
	}
	if f.NoNewLot != "" {
		d.Add(Paragraph("None for units of new lots: " + f.NoNewLot + "."))
	}
	if len(f.Lots) > 0 {
		d.Add(Paragraph("More units of the lots read here, all readings together:"))
	}
	d.Add(Code(f.Entry))
	d.Add(Paragraph("The entry has six digits, so that a study computes with this very curve; the tables have those that the readings bear."))
	if f.Slips != nil && f.Slips.Entry != "" {
		d.Add(Paragraph("Without "+f.Slips.lines()+", to compare:"), Code(f.Slips.Entry))
	}
}

// flags are the run chart and the outliers, or the reason why there are none.
func (f Fit) flags(d *Document) {
	if f.Flags.Reason != "" {
		d.Add(Paragraph("No outliers and no run chart: " + f.Flags.Reason + "."))
		if len(f.Chart) > 0 {
			t := f.values("runs", "Runs about the median", f.Chart)
			t.note("Too few or too many runs call the process not stable: of stable ones " + Plain(100*f.Flags.Rate) + " in 100 at most.")
			d.Add(t)
		}
		return
	}
	rate := Plain(100 * f.Flags.Rate)
	caption, unstable := "Run chart, limits from the "+f.Flags.Family+" family", "Readings outside the limits, or too"
	if f.Flags.NoLimits {
		caption, unstable = "Run chart", "So few readings set no limits: none could lie outside. Too"
	}
	chart := f.values("run_chart", f.head(caption), f.Chart)
	chart.Notes = []string{unstable + " few or too many runs call the process not stable: of stable ones " + rate + " in 100 at most."}
	for _, row := range chart.Rows {
		if row[1] == "-∞" { // of a family that begins at 0
			row[1] = "none"
		}
	}
	d.Add(chart)
	if len(f.OutsideChart) > 0 {
		t := newTable("outside_chart", "Readings outside the limits of the run chart; none is dropped", numbers("line", f.head("reading")))
		for _, o := range f.OutsideChart {
			t.AddRow(fmt.Sprint(o.Line), Plain(o.Reading))
		}
		d.Add(t)
	}
	if len(f.Outliers) == 0 {
		d.Add(Paragraph(fmt.Sprintf("No outliers under the %s family, up to %d looked for; of columns without any %s in 100 at most have one flagged.", f.Flags.Family, f.Flags.Most, rate)))
		return
	}
	t := newTable("outliers", "Outliers under the "+f.Flags.Family+" family; none is dropped", numbers("line", f.head("reading"), "statistic", "critical"))
	t.note(fmt.Sprintf("Up to %d are looked for, the farthest first (Rosner 1983; one alone: Grubbs 1969). Of columns without outliers %s in 100 at most have one flagged; critical values: %s.", f.Flags.Most, rate, f.Flags.Method))
	for _, o := range f.Outliers {
		t.AddRow(fmt.Sprint(o.Line), Plain(o.Reading), Number(o.Statistic, 3), Number(o.Critical, 3))
	}
	d.Add(t)
}

// perLot has a line for each lot with its readings' range drawn to one scale.
func (f Fit) perLot() *Table {
	t := newTable("per_lot", f.head("Lots"), texts("lot"), numbers("readings", "mean", "standard deviation"), texts("smallest to largest, mean o"))
	low, high := f.PerLot[0].Smallest, f.PerLot[0].Largest
	for _, l := range f.PerLot {
		low, high = min(low, l.Smallest), max(high, l.Largest)
	}
	const width = 30
	column := func(x float64) int { return int((x - low) / (high - low) * (width - 1)) }
	for _, l := range f.PerLot {
		from, to := column(l.Smallest), column(l.Largest)
		bar := []byte(strings.Repeat(".", from) + strings.Repeat("=", to-from+1) + strings.Repeat(".", width-1-to))
		bar[column(l.Mean)] = 'o'
		t.AddRow(l.Lot, fmt.Sprint(l.Readings), knownText(l.Mean, StandardError(l.SD, l.Readings)), knownText(l.SD, StandardError(l.SD, 2*(l.Readings-1))), string(bar))
	}
	return t
}

// ReadingsPlanSchema names the form of the JSON of a planned test.
const ReadingsPlanSchema = "clampodds.readings-plan/1"

// ReadingsPlan is how many readings a test takes that is not made yet.
type ReadingsPlan struct {
	Schema  string `json:"schema"`
	Version string `json:"version"`
	// Mean and SD are those to be expected of a normal process, in Unit.
	Mean   float64        `json:"mean"`
	SD     float64        `json:"sd"`
	Unit   string         `json:"unit,omitempty"`
	Limits []PlannedLimit `json:"limits"`
	// Target is the largest probability of parts beyond a limit, shown with the Confidence; Wanted is the chance
	// that the test shows it.
	Target     float64 `json:"target"`
	Confidence float64 `json:"confidence"`
	Wanted     float64 `json:"chance"`
}

// PlannedLimit is one limit.
type PlannedLimit struct {
	Side     string          `json:"side"` // "above" or "below"
	Limit    float64         `json:"limit"`
	Beyond   float64         `json:"beyond"` // probability under the process expected
	Readings int             `json:"readings"`
	Chances  []PlannedChance `json:"chances"`
}

// PlannedChance is the chance that so many readings show it.
type PlannedChance struct {
	Readings int     `json:"readings"`
	Chance   float64 `json:"chance"`
}

// Document draws the plan.
func (p ReadingsPlan) Document() Document {
	d := Document{Title: "How many readings?"}
	most := 0
	for _, l := range p.Limits {
		most = max(most, l.Readings)
	}
	where := "the limit"
	if len(p.Limits) > 1 {
		where = "each limit (each with that chance)"
	}
	d.Add(Paragraph(fmt.Sprintf("%d READINGS: with a chance of %s %% they show, with %s %% confidence, that no more than %s of the parts are beyond %s, if the process is normal with mean %s and standard deviation %s.",
		most, Plain(100*p.Wanted), Plain(100*p.Confidence), ExactProbability(p.Target), where,
		strings.TrimSpace(Plain(p.Mean)+" "+p.Unit), strings.TrimSpace(Plain(p.SD)+" "+p.Unit))))
	t := newTable("chances", "Chance that the test shows it", numbers(Unit{Label: p.Unit}.Head("limit")), texts("side"), numbers("parts beyond", "readings", "chance"))
	t.note("Exact for normal readings (noncentral t), judged with --family normal. A process with nearly as much beyond as the target takes very many; what is then wanting is a better process.")
	for _, l := range p.Limits {
		for _, c := range l.Chances {
			t.AddRow(Plain(l.Limit), l.Side, Probability(l.Beyond, 0, 0), fmt.Sprint(c.Readings), Number(c.Chance, 3))
		}
	}
	d.Add(t)
	return d
}
