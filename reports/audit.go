package reports

import "fmt"

// AuditSchema names the form of the JSON of an audit plan.
const AuditSchema = "clampodds.audit/4"

// Audit is a torque audit: how many screws of a lot to read, and how many outside the
// torque band to allow, below it and above it.
type Audit struct {
	Schema     string     `json:"schema"`
	Provenance Provenance `json:"provenance"`
	// Verdict is yes, no or undecided: can an audit keep every limit? Answer says it in a
	// sentence.
	Verdict string `json:"verdict"`
	Answer  string `json:"answer"`
	// Decision is the mission with every screw in the band, Requirements each limit there.
	Decision     Decision            `json:"decision"`
	Requirements []LoosenRequirement `json:"requirements"`
	// OnAverage says that lack of knowledge alone leaves the decision open, and that sides and
	// plans are averaged over it.
	OnAverage bool `json:"on_average"`

	Lot int64 `json:"lot"`
	// ConsumersRisk is the largest chance that a lot that breaks a limit is accepted,
	// ProducersRisk that one with as many screws outside, on either side, as is acceptable is
	// refused.
	ConsumersRisk float64 `json:"consumers_risk"`
	Acceptable    int64   `json:"acceptable"`
	ProducersRisk float64 `json:"producers_risk"`
	// BandLow and BandHigh are the torque band, N*m, no lower than Least and no higher than Most; BandHigh is null without an
	// upper end.
	BandLow  float64 `json:"band_low_Nm"`
	BandHigh float64 `json:"band_high_Nm"`
	BandText string  `json:"-"`
	// Most is the torque that the clamp maker allows, N*m: a screw above it counts as damage, whatever the limits; 0
	// where the study does not say. StudyAboveMost is the share of the study's screws above it. Least is the least, with the
	// share of screws below: a looser screw counts so too.
	Most            float64 `json:"makers_most_Nm,omitempty"`
	MostText        string  `json:"-"`
	StudyAboveMost  float64 `json:"study_above_makers_most,omitempty"`
	Least           float64 `json:"makers_least_Nm,omitempty"`
	LeastText       string  `json:"-"`
	StudyBelowLeast float64 `json:"study_below_makers_least,omitempty"`

	// Gauge is the error of a reading; nil where it is left out.
	Gauge *AuditGauge `json:"gauge,omitempty"`

	// Sides are loose screws and, where the band has an upper end, over-tight ones. Sample is
	// the number of screws to read for both; 0 where none is needed or no plan does.
	Sides  []AuditSide `json:"sides"`
	Sample int64       `json:"sample_size"`
	// Refused is the largest chance that it refuses a lot with as many screws outside on
	// every side as is acceptable: the sum of the sides'.
	Refused float64 `json:"producers_risk_of_sample"`
	// Variables are plans by variables, where they were asked for.
	Variables []AuditVariables `json:"by_variables,omitempty"`
}

// AuditGauge is the error of a reading, as standard deviations.
type AuditGauge struct {
	Study  string  `json:"study,omitempty"`
	Digest string  `json:"digest_sha256,omitempty"`
	Single float64 `json:"single_Nm"`
	Shared float64 `json:"shared_Nm"`
	Factor float64 `json:"guard_factor"`
	SDText string  `json:"-"`
}

// AuditSide is one end of the band with the screws beyond it.
type AuditSide struct {
	// Name is what such a screw is: loose or over-tight.
	Name  string `json:"side"`
	Upper bool   `json:"-"`
	// Reads is the end with a guard band: from there inwards a reading passes. Passed is the
	// chance that a screw beyond passes, Failed that one in the band does not.
	Reads     float64 `json:"reads_Nm"`
	ReadsText string  `json:"-"`
	Passed    float64 `json:"outside_passes"`
	Failed    float64 `json:"in_band_fails"`

	Cases []AuditCase `json:"cases"`
	// Used is the case that the plans are for.
	Used int `json:"used"`
	// Plans are those for this side alone; Chosen is the one of the smallest sample that also
	// passes good lots, -1 without one.
	Plans  []AuditPlan `json:"plans,omitempty"`
	Chosen int         `json:"chosen"`
	// Plan is that of the common sample.
	Plan *AuditPlan `json:"plan,omitempty"`
	// Edge is the limit that stands in the way, in a lot with the breaking number of screws.
	Edge *AuditEdge `json:"at_breaking,omitempty"`
	Lots []AuditLot `json:"operating_characteristic,omitempty"`
}

// AuditCase is one assumption on how far outside the band a screw is.
type AuditCase struct {
	Torque     float64 `json:"torque_Nm"`
	TorqueText string  `json:"-"`
	// All is the probability for a card with every screw so, of the limit that decides.
	All Estimate `json:"every_screw"`
	// MetTo is the largest share of such screws that is shown to keep every limit, First and
	// Condition the limit that stands in the way beyond, Beyond its verdict there.
	MetTo     Position `json:"share_met_to"`
	First     string   `json:"first_missed,omitempty"`
	Condition string   `json:"condition,omitempty"`
	Beyond    string   `json:"beyond,omitempty"`
	// Breaking is the smallest number of such screws in a lot that is not shown to be
	// harmless; 0 when no number breaks it. It is 1 where AboveMost, the torque is above the clamp maker's most; the
	// limit is then the one nearest to its target with every screw so. It is 1 where BelowLeast, too, and ByLimits has the number by the
	// limits alone.
	Breaking   int64 `json:"breaking"`
	AboveMost  bool  `json:"above_makers_most,omitempty"`
	BelowLeast bool  `json:"below_makers_least,omitempty"`
	ByLimits   int64 `json:"breaking_by_limits,omitempty"`
}

// ByMaker says that the clamp's maker allows no such screw.
func (c AuditCase) ByMaker() bool { return c.AboveMost || c.BelowLeast }

// BreakingLimits is the number that breaks a limit, whatever the maker allows; 0 where none does or nobody looked.
func (c AuditCase) BreakingLimits() int64 {
	switch {
	case c.AboveMost:
		return 0
	case c.BelowLeast:
		return c.ByLimits
	}
	return c.Breaking
}

// AuditEdge is a limit with the fewest screws outside that are not shown to be harmless.
type AuditEdge struct {
	Verdict        string    `json:"verdict"`
	Wanting        string    `json:"wanting,omitempty"` // what would decide: cards or knowledge
	PerCard        Estimate  `json:"per_card"`
	WithConfidence *Estimate `json:"with_confidence,omitempty"` // over what is not known, where it is kept apart
	Target         float64   `json:"target"`
	SettledBy      *Settling `json:"settled_by,omitempty"`
}

// AuditPlan is a single sampling plan in the terms of ISO 2859-1.
type AuditPlan struct {
	Sample int64 `json:"sample_size"`
	Accept int64 `json:"acceptance_number"`
	// Missed is the chance that a breaking lot passes (consumer's risk); Refused
	// the chance that a good lot does not (producer's risk).
	Missed  float64 `json:"consumers_risk"`
	Refused float64 `json:"producers_risk"`
}

// AuditLot is one quality of a lot on the operating characteristic of the common sample,
// by one side.
type AuditLot struct {
	Outside  int64    `json:"outside"`
	Share    float64  `json:"share"`
	Accepted float64  `json:"accepted"`
	PerCard  Estimate `json:"per_card"` // of the limit that breaks first
}

// Document draws the audit plan for people.
func (r Audit) Document() Document {
	d := Document{Title: "Can an audit keep every limit? " + r.Provenance.Title}
	d.Add(Paragraph(r.Answer), "With every screw inside the band, "+Paragraph(r.BandText)+": "+r.Decision.Sentence())
	d.AddFilled(Paragraph(r.Decision.caution()))
	for _, s := range r.Sides {
		if len(s.Cases) > 0 {
			d.Add(s.cases(r))
		}
		if len(s.Plans) > 0 {
			d.Add(s.plans(r))
		}
		if len(s.Lots) > 0 {
			d.Add(s.lots())
		}
	}
	for _, v := range r.Variables {
		d.Add(v.blocks()...)
	}
	d.Add(requirementsAsWritten("requirement", "Each limit in the condition that decides on it, with every screw inside the band, "+r.BandText, r.Requirements))
	d.Add(Heading("What this rests on"), r.basis())
	d.addEnd(nil, r.Provenance.Table())
	return d
}

// basis is what the answer rests on.
func (r Audit) basis() List {
	list := List{"Every limit with a target is judged in every condition by the rule of run: numbers of record, on the same draws."}
	if r.OnAverage {
		list = append(list, "Shares and plans are averaged over what is not known, which then counts like scatter.")
	}
	for _, s := range r.Sides {
		if len(s.Cases) > 0 {
			list = append(list, "What decides: how "+s.Name+" a screw outside the band is. "+s.Cases[s.Used].TorqueText+" is assumed for the plan; the table shows others.")
		}
	}
	if len(r.Sides) < 2 {
		list = append(list, "The band has no upper end (--high): over-tight screws are not looked at.")
	}
	list = append(list,
		"Screws outside fall on cards at random, each by itself, and on one side at a time; screws to be read are drawn at random from the whole lot, without replacement (hypergeometric).",
		r.reading(),
		"The plan is the smallest sample that guards against the fewest screws outside that are not shown to be harmless: where these are undecided fewer readings might do; below the table of such screws stands what would decide."+r.common(),
		"An accepted lot is not a lot without screws outside: the operating characteristic says which lots pass.",
	)
	return list
}

// common says what one sample for both sides refuses.
func (r Audit) common() string {
	planned := 0
	for _, s := range r.Sides {
		if s.Plan != nil {
			planned++
		}
	}
	if planned < 2 {
		return ""
	}
	return fmt.Sprintf(" One sample serves both sides: a lot with %s outside on each is refused with %s at most.", Counted(r.Acceptable, "screw"), Percent(r.Refused))
}

// reading says how a reading tells a screw outside.
func (r Audit) reading() string {
	g := r.Gauge
	if g == nil {
		return "A reading tells without error whether a screw is inside the band."
	}
	from := ""
	if g.Study != "" {
		from = " (" + g.Study + ")"
	}
	text := fmt.Sprintf("A reading has an error of standard deviation %s%s, each by itself, and a guard band of %s of them (ISO 14253-1); the plans allow for what is read wrongly.", g.SDText, from, threeDigits(g.Factor))
	for _, s := range r.Sides {
		side := "or more"
		if s.Upper {
			side = "or less"
		}
		text += fmt.Sprintf(" A screw passes when it reads %s %s: of %s ones %s do, of those in the band %s do not.", s.ReadsText, side, s.Name, Percent(s.Passed), Percent(s.Failed))
	}
	return text
}

// key is the side in the name of a table.
func (s AuditSide) key(table string) string {
	if s.Upper {
		return "over_tight_" + table
	}
	return "loose_" + table
}

func (s AuditSide) cases(r Audit) *Table {
	t := newTable(s.key("cases"), "How many "+s.Name+" screws a lot can bear, by how "+s.Name+" they are",
		texts("torque"), numbers("if all are so", "share met to", "breaking"), texts("first missed", "condition"))
	for i, c := range s.Cases {
		name := c.TorqueText
		if i == s.Used && len(s.Cases) > 1 {
			name += " (assumed)"
		}
		breaking := "none"
		if c.Breaking > 0 {
			breaking = fmt.Sprint(c.Breaking)
		}
		first, condition := limitName(c.First), c.Condition
		switch {
		case c.AboveMost:
			first, condition = "maker's most torque", ""
		case c.BelowLeast:
			first, condition = "maker's least torque", ""
		}
		t.AddRow(name, probabilityCells(c.All)[0], c.MetTo.share(), breaking, first, condition)
	}
	t.note(fmt.Sprintf("torque: that of such a screw. if all are so: exceedance per card. share met to: the largest share of such screws, in whole screws of the lot, that is shown to keep every limit in every condition. breaking: the smallest number of them, of %d, that is not shown to be harmless.", r.Lot))
	if s.Edge != nil {
		t.note(s.edge())
	}
	if s.Upper && r.Most > 0 {
		t.note("A screw above " + r.MostText + ", the most that the clamp maker allows, counts as damage, whatever the limits: one is too many.")
	}
	if !s.Upper && r.Least > 0 {
		t.note("A screw below " + r.LeastText + ", the least that the clamp maker allows, counts as damage, whatever the limits: one is too many. The share is by the limits alone.")
	}
	return t
}

// edge says what stands in the way at the breaking number.
func (s AuditSide) edge() string {
	c, e := s.Cases[s.Used], s.Edge
	text := fmt.Sprintf("With %d the limit %s is %s", c.BreakingLimits(), limitName(c.First), e.Verdict)
	if e.Wanting != "" {
		text += ", for want of " + e.Wanting
	}
	text += ": " + inSentence(e.PerCard) + " per card"
	if e.WithConfidence != nil {
		text += ", over what is not known at most " + inSentence(*e.WithConfidence)
	}
	text += "; target " + targetText(e.Target) + "."
	switch {
	case e.Wanting == "cards" && e.SettledBy == nil:
		text += " A finer [verdict] accuracy in the study may move that number up."
	case e.Wanting == "cards":
		text += e.SettledBy.inWords()
	}
	return text
}

// share prints a position that is a share.
func (p Position) share() string {
	switch p.State {
	case "open":
		return "all"
	case "never":
		return "0 %"
	}
	return Percent(*p.At)
}

func (s AuditSide) plans(r Audit) *Table {
	c := s.Cases[s.Used]
	t := newTable(s.key("plans"), fmt.Sprintf("Smallest plans that catch a lot with %s of %d with %s %%", Counted(c.Breaking, s.Name+" screw"), r.Lot, Plain(100*(1-r.ConsumersRisk))),
		texts("plan"), numbers("read, n", "Ac", "Re", "breaking lot passes", "good lot refused"))
	row := func(name string, p AuditPlan) {
		t.AddRow(name, fmt.Sprint(p.Sample), fmt.Sprint(p.Accept), fmt.Sprint(p.Accept+1), Percent(p.Missed), Percent(p.Refused))
	}
	for i, p := range s.Plans {
		name := ""
		switch {
		case i != s.Chosen:
		case s.Plan != nil && *s.Plan == p:
			name = "recommended"
		default:
			name = "smallest for this side"
		}
		row(name, p)
	}
	if s.Plan != nil && *s.Plan != s.Plans[s.Chosen] {
		row("recommended for both sides", *s.Plan)
	}
	t.note(fmt.Sprintf("Terms of ISO 2859-1: sample size n; accepted with up to Ac of them outside, rejected from Re on. breaking lot: with %s. good lot: with %d.", Counted(c.Breaking, s.Name+" screw"), r.Acceptable))
	return t
}

// Percent prints a probability of a plan, which is computed and not estimated; of a smaller one than
// a lot can show that it is.
func Percent(p float64) string {
	switch value := 100 * p; {
	case value >= 10:
		return fmt.Sprintf("%.3g %%", value)
	case value > 0 && value < 1e-4:
		return "< 0.0001 %"
	default:
		return fmt.Sprintf("%.2g %%", value)
	}
}

func (s AuditSide) lots() *Table {
	p := s.Plan
	t := newTable(s.key("operating_characteristic"), fmt.Sprintf("Operating characteristic of n = %d, Ac %d for %s screws, and what such lots do to the limit %s", p.Sample, p.Accept, s.Name, limitName(s.Cases[s.Used].First)),
		numbers(s.Name+" in the lot", "share", "lot is accepted", "exceedance per card", "low", "high"))
	for _, l := range s.Lots {
		t.AddRow(append([]string{fmt.Sprint(l.Outside), Percent(l.Share), Percent(l.Accepted)}, probabilityCells(l.PerCard)...)...)
	}
	return t
}
