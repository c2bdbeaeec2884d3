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
	samples := fmt.Sprintf("%d cards in %d chassis of %d", p.Samples, p.Chassis, p.CardsPerChassis)
	if p.ofChassis() {
		samples = fmt.Sprintf("%d chassis of %d cards", p.Samples, p.CardsPerChassis)
	}
	t.AddRow("samples", samples)
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
