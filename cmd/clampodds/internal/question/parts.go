package question

import (
	"context"
	"fmt"
	"time"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

// Keeping says where a count that takes long is kept, so that it can go on after a break.
type Keeping struct {
	// Kept is what was counted before; nil for nothing.
	Kept *Part
	// Keep gets all that was counted so far, about Every so often, and at the end or when an interrupt came.
	// nil: never.
	Keep  func(*Part) error
	Every time.Duration
}

// Cards are the runs that count the cards of a study, each of which divides into parts: of the study as it is
// written and, where they are shown, under its conditions.
type Cards struct {
	study *study.Study
	runs  []*sim.Run
}

// NewCards are those of a run of a study as it is written, with its conditions or without.
func NewCards(s *study.Study, written *sim.Run, conditions bool) (*Cards, error) {
	c := &Cards{s, []*sim.Run{written}}
	if !conditions {
		return c, nil
	}
	all, err := written.Portion(0)
	if err != nil {
		return nil, err
	}
	under, err := NewConditions(s, written, all.Rows(0, all.Blocks()))
	if under != nil {
		c.runs = append(c.runs, &under.run)
	}
	return c, err
}

// CountPart counts a part of the cards, run by run: all are part 1 of 1. An interrupt ends it early; the error
// is a Stopped then.
func (c *Cards) CountPart(ctx context.Context, d Division, k Keeping) ([]*sim.Portion, *Part, error) {
	show, before, rows := c.runs[0].Progress, int64(0), int64(0)
	if show != nil {
		c = c.showing(func(done, _ int64) { show(before+done, rows) })
	}
	counted, err := c.begin(d, k)
	if err != nil {
		return nil, nil, err
	}
	for _, portion := range counted {
		rows += portion.Rows(d.of(portion.Blocks()))
	}
	keep := func() error { return nil }
	if k.Keep != nil {
		keep = func() error {
			part, err := c.newPart(d, counted)
			if err != nil {
				return err
			}
			return k.Keep(part)
		}
	}
	for _, portion := range counted {
		first, end := d.of(portion.Blocks())
		if err := k.count(ctx, portion, end, keep); err != nil {
			return nil, nil, err
		}
		before += portion.Rows(first, portion.End())
		if portion.End() < end {
			return nil, nil, Stopped(fmt.Sprintf("stopped after %d of %d cards", before, rows))
		}
	}
	part, err := c.newPart(d, counted)
	return counted, part, err
}

// showing are the same cards with another Progress.
func (c *Cards) showing(show func(done, _ int64)) *Cards {
	shown := &Cards{study: c.study}
	for _, run := range c.runs {
		own := *run
		own.Progress = show
		shown.runs = append(shown.runs, &own)
	}
	return shown
}

// begin is what was counted before, or nothing yet.
func (c *Cards) begin(d Division, k Keeping) (all []*sim.Portion, err error) {
	if k.Kept != nil {
		all, err = c.portions(k.Kept)
		if err == nil && k.Kept.Division != d {
			err = fmt.Errorf("it is %s, not %s", k.Kept.Division, d)
		}
		return all, err
	}
	for _, run := range c.runs {
		empty, err := run.Portion(0)
		if err != nil {
			return nil, err
		}
		first, _ := d.of(empty.Blocks())
		portion, err := run.Portion(first)
		if err != nil {
			return nil, err
		}
		all = append(all, portion)
	}
	return all, nil
}

// count counts blocks up to end, and keeps them every so often.
func (k Keeping) count(ctx context.Context, portion *sim.Portion, end int64, keep func() error) error {
	step := end - portion.End()
	if k.Keep != nil {
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
		step = blocksFor(portion.End()-before, time.Since(begun), k.Every)
	}
	return nil
}

// blocksFor is how many blocks to do next, when some took so long and are to take another time: at most
// ten times as many.
func blocksFor(done int64, took, wanted time.Duration) int64 {
	ratio := min(float64(wanted)/float64(max(took, time.Microsecond)), 10)
	return max(int64(float64(done)*ratio), 1)
}

// NamedPart is a part with the name of its file.
type NamedPart struct {
	Name string
	*Part
}

// Merge adds up the parts of the cards, in any order, run by run. A part that is missing, doubled
// or of another run is refused by name.
func (c *Cards) Merge(parts []NamedPart) ([]*sim.Portion, error) {
	byPart, err := inOrder(parts)
	if err != nil {
		return nil, err
	}
	whole, err := c.begin(Division{1, 1}, Keeping{})
	if err != nil {
		return nil, err
	}
	for _, p := range byPart {
		if err := c.add(whole, p.Part); err != nil {
			return nil, fmt.Errorf("%s: %w", p.Name, err)
		}
	}
	return whole, nil
}

// add adds a part that has to be finished.
func (c *Cards) add(whole []*sim.Portion, p *Part) error {
	counted, err := c.portions(p)
	if err != nil {
		return err
	}
	for i, portion := range counted {
		if first, end := p.of(portion.Blocks()); portion.End() != end {
			return fmt.Errorf("it is not finished: %d of %d blocks", portion.End()-first, end-first)
		}
		if err := whole[i].Add(portion); err != nil {
			return err
		}
	}
	return nil
}

// inOrder sorts the parts by their numbers.
func inOrder(parts []NamedPart) ([]*NamedPart, error) {
	byPart := make([]*NamedPart, parts[0].Parts)
	for i := range parts {
		p := &parts[i]
		if p.Parts != len(byPart) {
			return nil, fmt.Errorf("%s is %s, %s one of %d", p.Name, p.Division, parts[0].Name, len(byPart))
		}
		if other := byPart[p.Number-1]; other != nil {
			return nil, fmt.Errorf("%s and %s are both %s", other.Name, p.Name, p.Division)
		}
		byPart[p.Number-1] = p
	}
	if missing := missingParts(byPart); missing != "" {
		return nil, fmt.Errorf("missing of %d parts: %s", len(byPart), missing)
	}
	return byPart, nil
}

// missingParts lists the numbers of parts that are not there, the first of many.
func missingParts(byPart []*NamedPart) (list string) {
	const most = 20
	n := 0
	for i, p := range byPart {
		switch {
		case p != nil:
			continue
		case n == most:
			return list + ", ..."
		case n > 0:
			list += ", "
		}
		list += fmt.Sprint(i + 1)
		n++
	}
	return list
}
