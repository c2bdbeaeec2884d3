package question

import (
	"context"
	"fmt"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

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
	under, err := newConditions(s, written, all.Rows(0, all.Blocks()))
	if under != nil {
		c.runs = append(c.runs, &under.run)
	}
	return c, err
}

// CountPart counts a part of the cards, run by run: all are part 1 of 1. It goes on from the checkpoint, if that is
// there. An interrupt ends it early; the error is a Stopped then.
func (c *Cards) CountPart(ctx context.Context, d Division, at Checkpoint) ([]*sim.Portion, *Part, error) {
	kept, release, err := at.hold()
	if err != nil {
		return nil, nil, err
	}
	defer release()
	counted, part, err := c.countPart(ctx, d, at, kept)
	return counted, part, at.about(kept, err)
}

func (c *Cards) countPart(ctx context.Context, d Division, at Checkpoint, kept *Part) ([]*sim.Portion, *Part, error) {
	show, before, rows := c.runs[0].Progress, int64(0), int64(0)
	if show != nil {
		c = c.showing(func(done, _ int64) { show(before+done, rows) })
	}
	counted, err := c.begin(d, kept)
	if err != nil {
		return nil, nil, err
	}
	for _, portion := range counted {
		rows += portion.Rows(d.of(portion.Blocks()))
	}
	keep := func() error { return nil }
	if at.File != "" {
		keep = func() error {
			part, err := c.newPart(d, counted)
			if err != nil {
				return err
			}
			return at.Read.Write(at.File, true, part.Write)
		}
	}
	for _, portion := range counted {
		first, end := d.of(portion.Blocks())
		if err := at.count(ctx, portion, end, keep); err != nil {
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
func (c *Cards) begin(d Division, kept *Part) (all []*sim.Portion, err error) {
	if kept != nil {
		all, err = c.portions(kept)
		if err == nil && kept.Division != d {
			err = fmt.Errorf("it is %s, not %s", kept.Division, d)
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
	whole, err := c.begin(Division{1, 1}, nil)
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
