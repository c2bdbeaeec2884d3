package question

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

// PartSchema is the form of a Part in JSON.
const PartSchema = "clampodds.part/2"

// Part is what was counted in a part of a run's blocks: parts of one run add up to its result.
type Part struct {
	Schema string `json:"schema"`
	Run    RunID  `json:"run"`
	Division
	// What was counted are the blocks First up to End, End left out. A part that is not finished has
	// fewer than its own.
	First  int64 `json:"first_block"`
	End    int64 `json:"end_block"`
	packed       // the counts
}

// RunID tells a run: only what agrees in all of it adds up.
type RunID struct {
	Version    string  `json:"version"`
	Build      string  `json:"build"`
	Digest     string  `json:"digest_sha256"` // of the study with all that it reads
	Condition  string  `json:"condition"`
	Seed       uint64  `json:"seed"`
	Samples    int64   `json:"samples"`
	Plan       string  `json:"plan"`
	Confidence float64 `json:"confidence"`
	Blocks     int64   `json:"blocks"`
}

func idOf(s *study.Study, run *sim.Run, blocks int64) RunID {
	return RunID{
		Version: Version, Build: Build(), Digest: s.Digest, Condition: s.ConditionName,
		Seed: run.Seed, Samples: run.Samples, Plan: run.Sampler.Name(), Confidence: run.Confidence, Blocks: blocks,
	}
}

// differs says in what one run differs from the one that is expected; empty if in nothing.
func (id RunID) differs(expected RunID) string {
	for _, c := range []struct {
		what       string
		is, should any
	}{
		{"version", id.Version, expected.Version}, {"build", id.Build, expected.Build},
		{"study or its data (SHA-256)", id.Digest, expected.Digest}, {"condition", id.Condition, expected.Condition},
		{"seed", id.Seed, expected.Seed}, {"samples", id.Samples, expected.Samples}, {"plan", id.Plan, expected.Plan},
		{"confidence", id.Confidence, expected.Confidence}, {"blocks", id.Blocks, expected.Blocks},
	} {
		if c.is != c.should {
			return fmt.Sprintf("it is of another run: %s %q, not %q", c.what, fmt.Sprint(c.is), fmt.Sprint(c.should))
		}
	}
	return ""
}

// MostParts is the largest number of parts of a run.
const MostParts = 100_000

// Division is a part of a run by its number, from 1, and how many there are.
type Division struct {
	Number int `json:"part"`
	Parts  int `json:"parts"`
}

func (d Division) String() string { return fmt.Sprintf("part %d of %d", d.Number, d.Parts) }

// of returns the blocks of the part among all, first up to end.
func (d Division) of(all int64) (first, end int64) {
	part, parts := int64(d.Number), int64(d.Parts)
	return (part - 1) * all / parts, part * all / parts
}

// newPart is what was counted of a part.
func newPart(s *study.Study, run *sim.Run, d Division, counted *sim.Portion) (*Part, error) {
	text, err := counted.AppendBinary(nil)
	if err != nil {
		return nil, err
	}
	packed, err := pack(text)
	return &Part{
		Schema: PartSchema, Run: idOf(s, run, counted.Blocks()), Division: d, First: counted.First(), End: counted.End(), packed: packed,
	}, err
}

// Write writes the part as JSON.
func (p *Part) Write(w io.Writer) error {
	return writeIndented(w, p)
}

// ReadPart reads what Write has written. What it says of itself is checked, not yet its counts.
func ReadPart(text []byte) (*Part, error) {
	var p Part
	var form struct {
		Schema string `json:"schema"`
	}
	err := json.Unmarshal(text, &form)
	switch {
	case err != nil || form.Schema == "":
		return nil, errors.New("it is no part of a run")
	case form.Schema != PartSchema:
		return nil, fmt.Errorf("schema %q: must be %s", form.Schema, PartSchema)
	}
	if err := json.Unmarshal(text, &p); err != nil {
		return nil, fmt.Errorf("it is damaged: %w", err)
	}
	if err := p.intact(); err != nil {
		return nil, err
	}
	if !(p.Number >= 1 && p.Number <= p.Parts && p.Parts <= MostParts) {
		return nil, fmt.Errorf("%s: there is no such part", p.Division)
	}
	return &p, nil
}

// portion is the part as a portion of a run of a study, which has to be its own.
func (p *Part) portion(s *study.Study, run *sim.Run) (*sim.Portion, error) {
	empty, err := run.Portion(0)
	if err != nil {
		return nil, err
	}
	if how := p.Run.differs(idOf(s, run, empty.Blocks())); how != "" {
		return nil, errors.New(how)
	}
	if first, end := p.of(p.Run.Blocks); p.First != first || p.End < first || p.End > end {
		return nil, fmt.Errorf("it has blocks %d to %d, %s has %d to %d", p.First, p.End, p.Division, first, end)
	}
	text, err := p.unpack()
	if err != nil {
		return nil, err
	}
	return run.ReadPortion(p.First, p.End, text)
}
