package reports

import "fmt"

// Provenance is what reproduces a result, and how far it may be trusted.
type Provenance struct {
	Tool    string `json:"tool"`
	Version string `json:"version"`
	// Build says what the tool was built from: revision, Go's version.
	Build string `json:"build,omitempty"`
	// Study is the file as it was named, Digest the SHA-256 of everything it is
	// made of: the file, those it extends, measured data.
	Study string `json:"study"`
	Title string `json:"title"`
	// Condition is the one looked at; empty for the study as written.
	Condition       string  `json:"condition,omitempty"`
	Digest          string  `json:"digest_sha256"`
	Seed            uint64  `json:"seed"`
	Samples         int64   `json:"samples"`
	Chassis         int64   `json:"chassis"`
	CardsPerChassis int     `json:"cards_per_chassis"`
	Plan            string  `json:"plan"`
	Confidence      float64 `json:"confidence"`
	Complete        bool    `json:"complete"`
	// StudyWarnings are what looks wrong in the study though it is allowed.
	StudyWarnings []Warning `json:"study_warnings,omitempty"`
}

// ofChassis reports whether a sample is a chassis of cards, each in a slot of its own.
func (p Provenance) ofChassis() bool {
	return p.Chassis > 0 && p.Chassis == p.Samples && p.CardsPerChassis > 1
}

// counted is what a sample is: where a chassis is one, an event counts that happens in any of its slots.
func (p Provenance) counted() string {
	if p.ofChassis() {
		return "chassis"
	}
	return "cards"
}

// sampled is how many were drawn.
func (p Provenance) sampled() string {
	if p.ofChassis() {
		return fmt.Sprintf("%d chassis of %d cards", p.Samples, p.CardsPerChassis)
	}
	if p.CardsPerChassis == 1 {
		return fmt.Sprintf("%d cards", p.Samples)
	}
	return fmt.Sprintf("%d cards in %d chassis of %d", p.Samples, p.Chassis, p.CardsPerChassis)
}

// Table lists the provenance.
func (p Provenance) Table() *Table {
	t := newTable("provenance", "How to reproduce this", texts("item", "value"))
	t.AddRow("tool", p.Tool+" "+p.Version)
	t.addGiven("built from", p.Build)
	t.AddRow("study", p.Study)
	t.addGiven("condition", p.Condition)
	t.AddRow("digest (SHA-256)", p.Digest)
	for _, w := range p.StudyWarnings {
		t.AddRow("warning", w.Text)
	}
	if p.Samples == 0 {
		return t // nothing was sampled
	}
	t.AddRow("seed", fmt.Sprint(p.Seed))
	t.AddRow("samples", p.sampled())
	t.AddRow("sampling plan", p.Plan)
	t.AddRow("interval level", Plain(100*p.Confidence)+" %")
	return t
}

// Cautions go with every result.
var Cautions = List{
	"This is an estimate from a model. It does not replace a test.",
	"The clamp maker's torque limit and the authority that accepts the hardware come first.",
	"Surfaces can be hot; loose or over-tightened hardware can fail in service.",
	"Work on the hardware is for qualified people under the local rules.",
}

// Terms explains the words and signs of a report.
func Terms() *Table {
	t := newTable("terms", "Symbols and terms", texts("term", "meaning"))
	for _, row := range [][]string{
		{"probability per card, per chassis", "share of cards that exceed the limit; of chassis with at least one such card"},
		{"number of record", "the probability that decides: a function of study, condition, requirement and seed, the same in every command"},
		{"low, high; a … b; (a to b)", "ends of the interval of the sampling, at the level stated; more cards narrow it"},
		{"none of 32768, ≤", "so many cards, none of which exceeded, though others may; the probability is below the bound, at the level stated"},
		{"7.2e-4", "7.2 times ten to the power of -4: 0.72 in 1000"},
		{"lack of knowledge, *", "one number for the whole design that is not known; readings or a test narrow it, cards do not"},
		{"met, not met, undecided", "upper ends, of the sampling and over what is not known, at or below the target; lower end of the average above it, whatever that over what is not known; neither"},
		{"P1 … P99.9", "percentiles: P99 is exceeded by one card in a hundred"},
		{"sd", "standard deviation"},
		{"spot, edge", "hottest node of the flange edges; mean of an edge"},
		{"contact factor", "measured over computed conductance of the faces: the error of the correlations, median 1"},
	} {
		t.AddRow(row...)
	}
	return t
}
