package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"clampodds/sim"
)

// RunSchema names the form of the JSON of a run; the number rises when a
// reader would have to change.
const RunSchema = "clampodds.run/1"

// Run is the result of a Monte Carlo run. Numbers are in SI units, the unit
// beside them.
type Run struct {
	Schema     string     `json:"schema"`
	Provenance Provenance `json:"provenance"`
	// Decision is the verdict over all that was judged; null when the run was stopped.
	Decision     *Decision     `json:"decision"`
	Requirements []Requirement `json:"requirements"`
	// Until is the number that the run went on for, where one was asked.
	Until *Until `json:"until,omitempty"`
	// Knowledge keeps lack of knowledge apart, condition by condition and limit by limit.
	Knowledge []Unknown `json:"knowledge,omitempty"`
	// Mission has the conditions of the study, where it has any.
	Mission *Mission `json:"mission,omitempty"`
	// Temperatures has the edges and the components, HeatShares the paths,
	// Forces the clamp's forces, Utilisations the demand over the capacity.
	Temperatures []Quantity `json:"temperatures"`
	HeatShares   []Quantity `json:"heat_shares"`
	Resistances  []Quantity `json:"resistances"`
	Forces       []Quantity `json:"forces"`
	Utilisations []Quantity `json:"utilisations"`
	// Distribution of the temperature limited first; nil where no card is clamped.
	Distribution *Figure `json:"-"`
	// Misfits are cards that could not be clamped, RangeOfUse cards computed
	// outside a correlation's range.
	Misfits    []Event   `json:"misfits"`
	RangeOfUse []Event   `json:"range_of_use"`
	Warnings   []Warning `json:"warnings,omitempty"`
}

// Quantity is an output with its percentiles.
type Quantity struct {
	Name string `json:"name"`
	// Label is the name for people, Shown the unit for people.
	Label       string       `json:"label"`
	Unit        string       `json:"unit"`
	Shown       Unit         `json:"-"`
	Percentiles []Percentile `json:"percentiles"`
}

// Percentile is one percentile of an output.
type Percentile struct {
	Probability float64 `json:"probability"`
	Estimate
}

// Event is something counted.
type Event struct {
	Name       string   `json:"name"`
	Label      string   `json:"label"`
	PerCard    Estimate `json:"per_card"`
	PerChassis Estimate `json:"per_chassis"`
}

// Requirement is a limit, how often it is exceeded and what that means.
type Requirement struct {
	Name       string   `json:"name"`
	Label      string   `json:"label"`
	Quantity   string   `json:"quantity"`
	Limit      float64  `json:"limit"`
	Unit       string   `json:"unit"`
	Shown      Unit     `json:"-"`
	Target     float64  `json:"target"` // null without a target
	PerCard    Estimate `json:"per_card"`
	PerChassis Estimate `json:"per_chassis"`
	// Counted is the probability per card as this run counted it, where that is asked for by Until or far more closely
	// known than the number of record, on which the verdict rests; null elsewhere.
	Counted *Estimate `json:"per_card_counted,omitempty"`
	Verdict string    `json:"verdict"`
	// Trace is how the probability per card converged along the run.
	Trace []sim.TracePoint `json:"trace"`
}

// Document draws the run for people.
func (r Run) Document() Document { return r.draw(false) }

// Records draws the run for programs: every number in a row of its own.
func (r Run) Records() Document { return r.draw(true) }

func (r Run) draw(long bool) Document {
	d := Document{Title: r.Provenance.Title}
	if !r.Provenance.Complete {
		d.Add(Paragraph("INCOMPLETE: the run was stopped; this is what was done so far."))
	}
	if r.Until != nil { // first, as its exit code goes before that of what is met
		d.Add(r.Until.sentence())
	}
	if r.Decision != nil {
		d.addDecision(r.Decision)
	}
	d.Add(r.requirements())
	if r.Distribution != nil && !long {
		d.Add(r.Distribution)
	}
	d.AddFilled(r.unknowns())
	d.Add(r.Decision.needed()...)
	if r.Mission != nil {
		d.Add(r.Mission.Table())
	}
	d.Add(r.percentiles("temperatures", "Temperatures: percentiles over cards that fit their slot", r.Temperatures, long))
	if !r.Provenance.ofChassis() { // else the draws have them
		d.Add(r.percentiles("heat_shares", "Heat by path, share of the card's heat", r.HeatShares, long))
		d.Add(r.percentiles("resistances", "Thermal resistance from a card edge to the cold wall", r.Resistances, long))
		d.Add(r.percentiles("forces", "Clamp forces", r.Forces, long))
		d.Add(r.percentiles("utilisations", "Demand over capacity (1 is the limit)", r.Utilisations, long))
	}
	d.Add(r.misfits("; all but those whose train only jams count as exceeding the temperature limits"))
	d.Add(r.rangeOfUse())
	if long {
		d.Add(r.traces())
	}
	d.addEnd(r.Warnings, r.Provenance.Table())
	return d
}

// SoFar is what the cards of this run show of the first limit, for who waits for the decision.
func (r Run) SoFar() string {
	if len(r.Requirements) == 0 {
		return "no limit"
	}
	q := r.Requirements[0]
	return fmt.Sprintf("%s of this run above %s: %s", r.cards(), q.Shown.Text(q.Limit), probabilityCells(q.PerCard)[0])
}

func (r Run) requirements() *Table {
	t := newTable("requirements", "Probability of exceeding each limit"+r.ofOneCondition(),
		texts("requirement"), numbers("limit"), texts("per"), numbers("probability", "low", "high", "target"), texts("verdict"))
	t.note(fmt.Sprintf("low, high: interval of the sampling, level %s %% or more.", Plain(100*r.Provenance.Confidence)))
	byChassis := r.Provenance.CardsPerChassis > 1 && !r.Provenance.ofChassis()
	t.note(r.ofRecord(byChassis)...)
	counted := false
	for _, q := range r.Requirements {
		t.AddRow(append(append([]string{q.Label, q.Shown.Text(q.Limit), per(q.Name)}, probabilityCells(q.PerCard)...), targetText(q.Target), q.Verdict)...)
		if q.Counted != nil {
			of := "counted"
			if r.Until.Of(q.Name) {
				of = "as asked"
				t.note("as asked: of rows of its own; the verdict rests on the number of record above it.")
			} else {
				counted = true
			}
			t.AddRow(append(append([]string{"", "", per(q.Name) + ", " + of}, probabilityCells(*q.Counted)...), "", "")...)
		}
		if byChassis {
			t.AddRow(append(append([]string{"", "", "chassis"}, probabilityCells(q.PerChassis)...), "", "")...)
		}
	}
	if text := r.boundsOfNone(byChassis); text != "" {
		t.note(text)
	}
	if counted {
		t.note(fmt.Sprintf("counted: on all cards of this run, where their interval is at most 1/%d as wide as that of the number of record above it, on which the verdict rests.", CountedNarrower))
	}
	return t
}

// ofOneCondition is the condition that the tables of the run itself are of, where there are others beside it.
func (r Run) ofOneCondition() string {
	switch {
	case r.Provenance.Condition != "":
		return ", " + r.Provenance.Condition
	case r.Mission != nil, r.Decision != nil && len(r.Decision.LeftOut) > 0:
		return ", " + asWritten
	}
	return ""
}

// boundsOfNone is the note on those beside the limits, of record and counted.
func (r Run) boundsOfNone(byChassis bool) string {
	var record, counted []Estimate
	for _, q := range r.Requirements {
		if r.Decision != nil && q.Target > 0 {
			record = append(record, q.PerCard)
		} else {
			counted = append(counted, q.PerCard)
		}
		if byChassis {
			counted = append(counted, q.PerChassis)
		}
	}
	return boundsOfNone(record, counted)
}

// boundsOfNone says at which level the bounds of numbers of record, and of those counted, hold; empty without any.
func boundsOfNone(record, counted []Estimate) string {
	switch one, other := levelOfNone(record...), levelOfNone(counted...); {
	case one == "" && other == "":
		return ""
	case one == "" || other == "" || one == other:
		return "none of N ≤: a bound at level " + cmp.Or(one, other) + "."
	default:
		return "none of N ≤: a bound, of record at level " + one + ", counted at " + other + "."
	}
}

// cards is what a sample is, in the plural.
func (r Run) cards() string {
	if r.Provenance.ofChassis() {
		return cardsOr("chassis")
	}
	return cardsOr("card")
}

// ofRecord says what the probabilities beside the limits are counted on, and what the verdict compares.
func (r Run) ofRecord(byChassis bool) (notes []string) {
	if r.Decision != nil && r.Decision.Judged > 0 {
		notes = append(notes, fmt.Sprintf("Rows with a target are numbers of record, found on %s drawn for the verdict alone. The other numbers count the %[1]s of this run; a few of these may exceed a limit that none of record exceeds.", r.cards()))
	}
	if byChassis {
		notes = append(notes, "chassis: at least one of its cards exceeds, counted on this run (Clopper-Pearson).")
	}
	if len(r.Knowledge) > 0 {
		return append(notes, "The verdict holds two things against the target: this interval, and that of the next table, which keeps lack of knowledge apart.")
	}
	return append(notes, "The verdict holds the interval against the target.")
}

// CountedNarrower is by how much the count of a run must be more closely known than the number of
// record to stand beside it.
const CountedNarrower = 3

// per is what the probability of a requirement is counted per: a card, or where it is for any card of a
// chassis, that.
func per(requirement string) string {
	if strings.HasPrefix(requirement, "any/") {
		return "chassis"
	}
	return "card"
}

// misfits tabulates the cards that are not clamped; more is added to the caption.
func (r Run) misfits(more string) *Table {
	caption := "Cards that are not clamped as they should be"
	if r.Provenance.ofChassis() {
		caption = "Chassis with a card that is not clamped as it should be"
	}
	return r.events("misfits", caption+more, r.Misfits)
}

// rangeOfUse tabulates the cards that were computed outside a range.
func (r Run) rangeOfUse() *Table {
	caption := "Cards computed outside a correlation's range of use"
	if r.Provenance.ofChassis() {
		caption = "Chassis with a card computed outside a correlation's range of use"
	}
	return r.events("range_of_use", caption, r.RangeOfUse)
}

func (r Run) events(key, caption string, events []Event) *Table {
	t := newTable(key, caption, texts("what"), numbers(r.Provenance.counted(), "probability", "low", "high"))
	for _, e := range events {
		t.AddRow(append([]string{e.Label, fmt.Sprint(e.PerCard.Count)}, probabilityCells(e.PerCard)...)...)
		if level := levelOfNone(e.PerCard); level != "" && len(t.Notes) == 0 {
			t.note("none of N ≤: a bound at level " + level + ".")
		}
	}
	return t
}

// Unknown is the probability of exceeding a limit with lack of knowledge kept
// apart from variation: a distribution over the inputs that are not known.
type Unknown struct {
	Name  string `json:"name"`
	Label string `json:"label"`
	// Condition is the one judged, the study as written being one.
	Condition string `json:"condition"`
	// Mixed is the probability per card with both kinds of input drawn alike, that
	// of the requirement.
	Mixed Estimate `json:"mixed"`
	// Median and Below are quantiles over the inputs that are not known, Below the
	// one of probability Confidence. Their intervals are those of the computation.
	Median     Estimate `json:"median"`
	Below      Estimate `json:"below"`
	Confidence float64  `json:"confidence"`
	// Inputs are not known; Evaluations cards were evaluated.
	Inputs      []string `json:"inputs"`
	Evaluations int64    `json:"evaluations"`
	// Spread and Misfit are in normal scores of the probability: its standard
	// deviation over the inputs, and what a smooth surface leaves of it.
	Spread float64 `json:"spread"`
	Misfit float64 `json:"misfit"`
}

// unknowns tabulates the limits with lack of knowledge kept apart.
func (r Run) unknowns() *Table {
	all := r.Knowledge
	t := newTable("knowledge", "With lack of knowledge kept apart: probability per card")
	if len(all) == 0 {
		return t
	}
	percent := Plain(100*all[0].Confidence) + " %"
	t.Columns = slices.Concat(texts("requirement", "condition"), numbers("mixed", "median", "below, with "+percent, "low", "high"))
	var inputs []string
	for i, u := range all {
		label := u.Label
		if i > 0 && u.Name == all[i-1].Name {
			label = ""
		}
		for _, name := range u.Inputs {
			if !slices.Contains(inputs, name) {
				inputs = append(inputs, name)
			}
		}
		t.AddRow(append([]string{label, u.Condition, probabilityCells(u.Mixed)[0], probabilityCells(u.Median)[0]}, probabilityCells(u.Below)...)...)
	}
	t.Notes = []string{fmt.Sprintf("Not known, and the same for all cards: %s. Other inputs marked as not known move these by less than can be seen; they are averaged over.", strings.Join(inputs, ", ")), fmt.Sprintf(
		"below: the probability is less than this with %s confidence, if the distributions stated for these inputs are right; low, high: how closely it was computed. mixed: all inputs drawn alike, as above. Limits that are clear without this table are left out; far below a target the values are bounds.", percent)}
	return t
}

// traces has a row for each point of each requirement that was seen exceeded.
func (r Run) traces() *Table {
	t := newTable("traces", "Convergence of the probability per card", texts("requirement"), numbers("cards", "probability", "low", "high", "since the row before"))
	for _, q := range r.Requirements {
		if q.PerCard.Count == 0 {
			continue
		}
		for _, p := range q.Trace {
			e := Estimate{Value: p.Value, Interval: p.Interval}
			t.AddRow(append(append([]string{q.Label, fmt.Sprint(p.Rows)}, probabilityCells(e)...), Probability(p.Stretch, 0, 0))...)
		}
	}
	return t
}

// Until is the number that a run went on for, until it was known well enough.
type Until struct {
	// Goal is as typed, "edge=5%"; About says it in words.
	Goal string `json:"goal"`
	// Limit is the one whose probability it is, estimated by rows of its own; else empty.
	Limit string `json:"limit,omitempty"`
	About string `json:"about"`
	// Width is the half-width reached, Wanted the one asked for, in Unit; without
	// a unit they are fractions of the value. Null when there is no width yet.
	Width   float64 `json:"width"`
	Wanted  float64 `json:"wanted"`
	Unit    string  `json:"unit"`
	Shown   Unit    `json:"-"`
	Reached bool    `json:"reached"`
	// Plan laid out Rows cards in Looks stages. Needed is the number in all that
	// would do; 0 when reached, null when it cannot be told.
	Plan   string  `json:"plan"`
	Rows   int64   `json:"rows"`
	Looks  int     `json:"looks"`
	Needed float64 `json:"needed"`
	// GaveUpAt, if set, is the largest number that might have been drawn, where no more than a pilot was: it takes more than ten times as many.
	GaveUpAt int64 `json:"gave_up_at,omitempty"`
}

// Of says that the goal is the probability of a limit, by rows of its own.
func (u *Until) Of(limit string) bool { return u != nil && u.Limit == limit }

// sentence says what became of the goal.
func (u Until) sentence() Paragraph {
	width := func(w float64) string {
		switch {
		case math.IsInf(w, 0) || math.IsNaN(w):
			return "no width yet"
		case u.Unit == "":
			return "±" + Number(100*w, 1) + " %"
		}
		return fmt.Sprintf("±%.3g %s", u.Shown.Of(w), u.Shown.Label)
	}
	effort := fmt.Sprintf("%d cards (%s), looked at %d times", u.Rows, u.Plan, u.Looks)
	if u.Looks == 1 {
		effort = fmt.Sprintf("%d cards (%s), looked at once", u.Rows, u.Plan)
	}
	if u.Reached {
		return Paragraph(fmt.Sprintf("REACHED: %s known to %s, asked %s, with %s.", u.About, width(u.Width), width(u.Wanted), effort))
	}
	needed := "How many would do cannot be told."
	if !math.IsInf(u.Needed, 0) {
		needed = fmt.Sprintf("About %.2g in all would do (--cap).", u.Needed)
	}
	if u.GaveUpAt > 0 {
		about := "About"
		if math.IsInf(u.Width, 1) {
			about = "At least"
		}
		needed = fmt.Sprintf(about+" %.2g in all would do, more than ten times the %d that are drawn unless --cap says so: none was drawn after these.", u.Needed, u.GaveUpAt)
	}
	return Paragraph(fmt.Sprintf("NOT REACHED: %s known to %s, asked %s, with %s. %s", u.About, width(u.Width), width(u.Wanted), effort, needed))
}
