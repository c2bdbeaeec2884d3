package question

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strconv"
	"strings"
	"time"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/sim"
)

// PartSchema is the form of a Part in JSON.
const PartSchema = "clampodds.part/3"

// Part is what was counted in a part of the blocks of a study's cards: parts of one run add up to its result.
type Part struct {
	Schema string `json:"schema"`
	Run    RunID  `json:"run"`
	Division
	Counted []CountedBlocks `json:"counted"` // as the runs of Cards
}

// CountedBlocks are the blocks First up to End, End left out, of all that a run has. A part that is not
// finished has fewer than its own.
type CountedBlocks struct {
	Blocks int64 `json:"blocks"`
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
	Conditions bool    `json:"conditions"` // the cards under the study's conditions are counted too
}

func (c *Cards) id() RunID {
	run := c.runs[0]
	return RunID{
		Version: Version, Build: Build(), Digest: c.study.Digest, Condition: c.study.ConditionName,
		Seed: run.Seed, Samples: run.Samples, Plan: run.Sampler.Name(), Confidence: run.Confidence, Conditions: len(c.runs) > 1,
	}
}

// underConditions says whether the cards under the study's conditions are counted.
var underConditions = map[bool]string{false: "left out (--no-conditions)", true: "counted"}

// differs says in what one run differs from the one that is expected; empty if in nothing.
func (id RunID) differs(expected RunID) string {
	for _, c := range []struct {
		what       string
		is, should any
	}{
		{"version", id.Version, expected.Version}, {"build", id.Build, expected.Build},
		{"study or its data (SHA-256)", id.Digest, expected.Digest}, {"condition", id.Condition, expected.Condition},
		{"seed", id.Seed, expected.Seed}, {"samples", id.Samples, expected.Samples}, {"plan", id.Plan, expected.Plan},
		{"confidence", id.Confidence, expected.Confidence}, {"cards under conditions", underConditions[id.Conditions], underConditions[expected.Conditions]},
	} {
		if c.is != c.should {
			return fmt.Sprintf("it is of another run: %s %q, not %q", c.what, fmt.Sprint(c.is), fmt.Sprint(c.should))
		}
	}
	return ""
}

// mostParts is the largest number of parts of a run.
const mostParts = 100_000

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

func (c *Cards) newPart(d Division, counted []*sim.Portion) (*Part, error) {
	p := &Part{Schema: PartSchema, Run: c.id(), Division: d}
	for _, portion := range counted {
		text, err := portion.AppendBinary(nil)
		if err != nil {
			return nil, err
		}
		packed, err := pack(text)
		if err != nil {
			return nil, err
		}
		p.Counted = append(p.Counted, CountedBlocks{portion.Blocks(), portion.First(), portion.End(), packed})
	}
	return p, nil
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
	for _, counted := range p.Counted {
		if err := counted.intact(); err != nil {
			return nil, err
		}
	}
	if !(p.Number >= 1 && p.Number <= p.Parts && p.Parts <= mostParts) {
		return nil, fmt.Errorf("%s: there is no such part", p.Division)
	}
	return &p, nil
}

// mostOfPart bounds a file of a part, bytes.
const mostOfPart = 4 << 30

// PartIn reads the part in a file.
func PartIn(path string) (*Part, error) {
	text, err := files.Read(context.Background(), path, mostOfPart)
	if err != nil {
		return nil, err
	}
	part, err := ReadPart(text)
	return part, about(path, err)
}

// portions are what a part has counted of each run; the part has to be one of these cards.
func (c *Cards) portions(p *Part) ([]*sim.Portion, error) {
	if how := p.Run.differs(c.id()); how != "" {
		return nil, errors.New(how)
	}
	if len(p.Counted) != len(c.runs) {
		return nil, fmt.Errorf("it is damaged: counts of %d runs, not %d", len(p.Counted), len(c.runs))
	}
	var all []*sim.Portion
	for i, counted := range p.Counted {
		portion, err := counted.portion(c.runs[i], p.Division)
		if err != nil {
			return nil, err
		}
		all = append(all, portion)
	}
	return all, nil
}

// portion is that of the run whose blocks they are.
func (b *CountedBlocks) portion(run *sim.Run, d Division) (*sim.Portion, error) {
	empty, err := run.Portion(0)
	if err != nil {
		return nil, err
	}
	if all := empty.Blocks(); b.Blocks != all {
		return nil, fmt.Errorf("it is of another run: blocks %d, not %d", b.Blocks, all)
	}
	if first, end := d.of(b.Blocks); b.First != first || b.End < first || b.End > end {
		return nil, fmt.Errorf("it has blocks %d to %d, %s has %d to %d", b.First, b.End, d, first, end)
	}
	text, err := b.unpack()
	if err != nil {
		return nil, err
	}
	return run.ReadPortion(b.First, b.End, text)
}

// DivisionOf reads a part as typed, N/M, or takes it from the variables that Slurm sets in an array job.
func DivisionOf(typed string, getenv func(string) string) (Division, error) {
	wrong := func(format string, values ...any) (Division, error) {
		return Division{}, fmt.Errorf(format, values...)
	}
	number := func(text string) (int, bool) {
		n, err := strconv.Atoi(text)
		return n, err == nil && n >= 1 && n <= mostParts
	}
	part, parts, ok := strings.Cut(typed, "/")
	if typed != "" && !ok {
		return wrong("--part %q: N/M expected, 3/16", typed)
	}
	if part == "" {
		part = getenv("SLURM_ARRAY_TASK_ID")
	}
	if typed == "" {
		// An array of some of the tasks, to repeat them, has another count: it has to name M.
		parts = getenv("SLURM_ARRAY_TASK_COUNT")
		if getenv("SLURM_ARRAY_TASK_MIN") != "1" || getenv("SLURM_ARRAY_TASK_MAX") != parts {
			return wrong("-o: which part? Give --part N/M, or --part /M in a Slurm array job; without it that has to be from 1 to M")
		}
	}
	n, okN := number(part)
	m, okM := number(parts)
	switch {
	case part == "":
		return wrong("--part %s: no SLURM_ARRAY_TASK_ID tells which; give N/M", typed)
	case !okN || !okM || n > m:
		return wrong("part %s/%s: N/M expected, N from 1 to M, M up to %d", part, parts, mostParts)
	}
	return Division{Number: n, Parts: m}, nil
}

// Checkpoint is a file in which a count that takes long is kept, so that it can go on after a break. The zero value
// keeps nothing.
type Checkpoint struct {
	File  string
	Every time.Duration // about; and at the end or when an interrupt came
	Read  *files.Inputs // what is not written over
}

// hold takes the file until release is called, and reads what was counted before: nil for nothing.
func (at Checkpoint) hold() (kept *Part, release func(), err error) {
	if at.File == "" {
		return nil, func() {}, nil
	}
	if err = at.Read.MayWrite(at.File, true); err == nil {
		release, err = files.Hold(at.File)
	}
	if err != nil {
		return nil, nil, err
	}
	if kept, err = PartIn(at.File); err != nil && !errors.Is(err, fs.ErrNotExist) {
		release()
		return nil, nil, err
	}
	return kept, release, nil
}

// about names the file in what is wrong with what it kept, and after an interrupt.
func (at Checkpoint) about(kept *Part, err error) error {
	switch {
	case at.File == "":
		return err
	case errors.As(err, new(Stopped)):
		return fmt.Errorf("%w: the same command goes on from %s", err, at.File)
	case kept != nil && err != nil && !errors.As(err, new(files.Failed)) && !errors.As(err, new(files.Refused)):
		return fmt.Errorf("%s: %w", at.File, err)
	}
	return err
}

// count counts blocks up to end, and keeps them every so often.
func (at Checkpoint) count(ctx context.Context, portion *sim.Portion, end int64, keep func() error) error {
	step := end - portion.End()
	if at.File != "" {
		step = 1
	}
	for portion.End() < end && ctx.Err() == nil {
		before, begun := portion.End(), time.Now()
		if err := portion.Count(ctx, min(before+step, end)); err != nil {
			return err
		}
		if err := keep(); err != nil {
			return err
		}
		step = blocksFor(portion.End()-before, time.Since(begun), at.Every)
	}
	return nil
}

// blocksFor is how many blocks to do next, when some took so long and are to take another time: at most
// ten times as many.
func blocksFor(done int64, took, wanted time.Duration) int64 {
	ratio := min(float64(wanted)/float64(max(took, time.Microsecond)), 10)
	return max(int64(float64(done)*ratio), 1)
}
