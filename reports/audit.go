package reports

import "fmt"

// AuditSchema names the form of the JSON of an audit plan.
const AuditSchema = "clampodds.audit/2"

// Audit is a torque audit: how many screws of a lot to read, and how many loose
// ones to allow.
type Audit struct {
	Schema     string     `json:"schema"`
	Provenance Provenance `json:"provenance"`
	// Verdict is yes, no or undecided: can an audit keep the limit? Needed is the
	// number of cards that would decide; 0 when decided.
	Verdict string `json:"verdict"`
	Answer  string `json:"answer"`
	Needed  int64  `json:"samples_that_would_decide"`

	Requirement LoosenRequirement `json:"requirement"` // with every screw in the band
	Lot         int64             `json:"lot"`
	// ConsumersRisk is the largest chance that a lot that breaks the limit is accepted,
	// ProducersRisk that one with as many loose screws as is acceptable is refused.
	ConsumersRisk float64 `json:"consumers_risk"`
	Acceptable    int64   `json:"acceptable"`
	ProducersRisk float64 `json:"producers_risk"`
	// BandLow and BandHigh are the torque band, N*m.
	BandLow  float64 `json:"band_low_Nm"`
	BandHigh float64 `json:"band_high_Nm"`
	BandText string  `json:"-"`

	// Gauge is the error of a reading; nil where it is left out.
	Gauge *AuditGauge `json:"gauge,omitempty"`

	Cases []AuditCase `json:"cases"`
	// Used is the case that the plans are for.
	Used  int         `json:"used"`
	Plans []AuditPlan `json:"plans,omitempty"`
	// Chosen is the plan of the smallest sample that also passes good lots, -1
	// without one.
	Chosen int        `json:"chosen"`
	Lots   []AuditLot `json:"operating_characteristic,omitempty"`
	// Variables are plans by variables, where they were asked for.
	Variables *AuditVariables `json:"by_variables,omitempty"`
}

// AuditGauge is the error of a reading, as standard deviations.
type AuditGauge struct {
	Study  string  `json:"study,omitempty"`
	Digest string  `json:"digest_sha256,omitempty"`
	Single float64 `json:"single_Nm"`
	Shared float64 `json:"shared_Nm"`
	// Limit is the lower end of the band with a guard band of Factor: from there on a
	// reading passes.
	Factor    float64 `json:"guard_factor"`
	Limit     float64 `json:"reads_at_least_Nm"`
	LimitText string  `json:"-"`
	SDText    string  `json:"-"`
	// Passed is the chance that a loose screw passes, Failed that one in the band does not.
	Passed float64 `json:"loose_passes"`
	Failed float64 `json:"in_band_fails"`
}

// AuditCase is one assumption on how loose an out-of-band screw is.
type AuditCase struct {
	Torque     float64 `json:"torque_Nm"`
	TorqueText string  `json:"-"`
	// AllLoose is the probability for a card with every screw loose.
	AllLoose Estimate `json:"every_screw_loose"`
	// Share of loose screws at which the target is reached.
	Estimate Position `json:"share"`
	Proven   Position `json:"share_proven"`
	Possible Position `json:"share_missed_from"`
	// Breaking is the smallest number of loose screws in a lot that is not shown
	// to be harmless; 0 when no number breaks it. Plan is the smallest for it.
	Breaking int64      `json:"breaking"`
	Plan     *AuditPlan `json:"plan,omitempty"`
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

// AuditLot is one quality of a lot on the operating characteristic of the chosen
// plan.
type AuditLot struct {
	Loose    int64    `json:"loose"`
	Share    float64  `json:"share"`
	Accepted float64  `json:"accepted"`
	PerCard  Estimate `json:"per_card"`
}

// Document draws the audit plan for people.
func (r Audit) Document() Document {
	d := Document{Title: r.Provenance.Title}
	d.Add(Paragraph(r.Answer), r.cases())
	if len(r.Plans) > 0 {
		d.Add(r.plans())
	}
	if len(r.Lots) > 0 {
		d.Add(r.lots())
	}
	if r.Variables != nil {
		d.Add(r.Variables.blocks()...)
	}
	d.Add(requirementsAsWritten("requirement", "The limit with every screw inside the band "+r.BandText, []LoosenRequirement{r.Requirement}))
	d.Add(Heading("What this rests on"), List{
		r.Provenance.judged(),
		"What decides: how loose a screw outside the band is. " + r.Cases[r.Used].TorqueText + " is assumed for the plan; the first table shows others.",
		"Loose screws fall on cards at random, each screw by itself; screws to be read are drawn at random from the whole lot, without replacement (hypergeometric).",
		r.reading(),
		"The plan guards against the smallest number of loose screws that is not shown to be harmless (the lower end of the interval): the safe side of the sampling noise.",
		"An accepted lot is not a lot without loose screws: the operating characteristic says which lots pass.",
	})
	d.Add(r.Provenance.Table(), Heading("Cautions"), Cautions)
	return d
}

// reading says how a reading tells a loose screw.
func (r Audit) reading() string {
	g := r.Gauge
	if g == nil {
		return "A reading tells without error whether a screw is inside the band."
	}
	from := ""
	if g.Study != "" {
		from = " (" + g.Study + ")"
	}
	return fmt.Sprintf("A reading has an error of standard deviation %s%s, each by itself: a screw passes when it reads %s or more, %s of them inside (ISO 14253-1). Of loose screws %s pass, of those in the band %s do not; the plans allow for both.",
		g.SDText, from, g.LimitText, threeDigits(g.Factor), percent(g.Passed), percent(g.Failed))
}

func (r Audit) cases() *Table {
	t := &Table{Key: "cases", Caption: "How many loose screws a lot can bear, by how loose they are", Columns: []Column{
		{Head: "torque of a loose screw"}, {Head: "exceedance if all are", Number: true}, {Head: "share that breaks the target", Number: true}, {Head: "interval", Number: true}, {Head: fmt.Sprintf("loose of %d", r.Lot), Number: true}, {Head: "read", Number: true}, {Head: "Ac", Number: true},
	}}
	for i, c := range r.Cases {
		name := c.TorqueText
		if i == r.Used && len(r.Cases) > 1 {
			name += " (assumed)"
		}
		breaking, read, accept := "any", "", ""
		if c.Proven.State == "never" {
			breaking = "not shown"
		}
		if c.Breaking > 0 {
			breaking = fmt.Sprint(c.Breaking)
		}
		if c.Proven.State == "open" {
			breaking = "none"
		}
		if c.Plan != nil {
			read, accept = fmt.Sprint(c.Plan.Sample), fmt.Sprint(c.Plan.Accept)
		}
		t.AddRow(name, probabilityCells(c.AllLoose)[0], c.Estimate.share(), c.Proven.share()+" … "+c.Possible.share(), breaking, read, accept)
	}
	t.Notes = append(t.Notes, "interval: shown to be met up to … shown to be missed from. loose: the fewest loose screws in the lot that are not shown to be harmless. read, Ac: sample size and acceptance number of the smallest plan.")
	return t
}

// share prints a position that is a share.
func (p Position) share() string {
	switch p.State {
	case "open":
		return "none"
	case "never":
		return "0"
	}
	return percent(*p.At)
}

func (r Audit) plans() *Table {
	t := &Table{Key: "plans", Caption: fmt.Sprintf("Smallest plans that catch a lot with %d loose screws of %d with %s %%", r.Cases[r.Used].Breaking, r.Lot, Plain(100*(1-r.ConsumersRisk))), Columns: []Column{
		{Head: "plan"}, {Head: "read (n)", Number: true}, {Head: "accept up to (Ac)", Number: true}, {Head: "reject from (Re)", Number: true}, {Head: "breaking lot passes", Number: true}, {Head: fmt.Sprintf("lot with %d loose is refused", r.Acceptable), Number: true},
	}}
	for i, p := range r.Plans {
		name := ""
		if i == r.Chosen {
			name = "recommended"
		}
		t.AddRow(name, fmt.Sprint(p.Sample), fmt.Sprint(p.Accept), fmt.Sprint(p.Accept+1), percent(p.Missed), percent(p.Refused))
	}
	t.Notes = append(t.Notes, "Terms of ISO 2859-1: sample size n, acceptance number Ac, rejection number Re.")
	return t
}

// percent prints a probability of a plan, which is computed and not estimated.
func percent(p float64) string {
	value := 100 * p
	if value >= 10 {
		return fmt.Sprintf("%.3g %%", value)
	}
	return fmt.Sprintf("%.2g %%", value)
}

func (r Audit) lots() *Table {
	p := r.Plans[r.Chosen]
	t := &Table{Key: "operating_characteristic", Caption: fmt.Sprintf("Operating characteristic of n = %d, Ac %d, and what such lots do", p.Sample, p.Accept), Columns: []Column{
		{Head: "loose in the lot", Number: true}, {Head: "share", Number: true}, {Head: "lot is accepted", Number: true}, {Head: "exceedance per card", Number: true}, {Head: "low", Number: true}, {Head: "high", Number: true},
	}}
	for _, l := range r.Lots {
		t.AddRow(append([]string{fmt.Sprint(l.Loose), percent(l.Share), percent(l.Accepted)}, probabilityCells(l.PerCard)...)...)
	}
	return t
}
