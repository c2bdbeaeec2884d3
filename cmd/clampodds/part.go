package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/terminal"
	"clampodds/sim"
)

// parting holds the flags of run that count a part of a run, or with breaks.
type parting struct {
	part string
	output
	checkpoint question.Checkpoint
}

func (r *runFlags) partFlags() {
	f := r.cmd.Flags()
	r.checkpoint.Read = &r.read
	f.StringVar(&r.part, "part", "", "count part `N/M` of the run into the file of -o, for merge; /M takes N from the number of a Slurm array job, 1 to M")
	r.output.flags(r.cmd, "the `FILE` of the part; without --part it is that of a Slurm array job from 1 on, by its number and count", "replace an existing FILE of --draws or -o")
	f.StringVar(&r.checkpoint.File, "checkpoint", "", "keep what was counted in `FILE`, and go on from there if it exists")
	f.DurationVar(&r.checkpoint.Every, "checkpoint-every", 30*time.Second, "how often")
}

// isPart says that a part is asked for.
func (p *parting) isPart() bool { return p.part != "" || p.name != "" }

// check refuses flags that contradict one another.
func (r *runFlags) check() error {
	broken := r.isPart() || r.checkpoint.File != ""
	switch {
	case r.isPart() && r.name == "":
		return errors.New("--part: -o FILE is missing, the file of the part")
	case r.until != "" && broken:
		return errors.New("--until goes with neither --part nor --checkpoint: the number of cards has to be known")
	case r.draws != "" && broken:
		return errors.New("--draws goes with neither --part nor --checkpoint")
	case !(r.checkpoint.Every > 0):
		return fmt.Errorf("--checkpoint-every %v: must be above 0", r.checkpoint.Every)
	}
	return nil
}

// writePart counts a part of the run and writes it.
func (r *runFlags) writePart(ctx context.Context, s *study.Study) error {
	d, err := question.DivisionOf(r.part, os.Getenv)
	if err != nil {
		return err
	}
	if err := r.read.MayWrite(r.name, r.force); err != nil {
		return err
	}
	one, err := question.Scenario(s, s.Title)
	if err != nil {
		return err
	}
	run := r.Run(s, one)
	show, clear := r.progress("cards of " + d.String())
	run.Progress = show
	counted, part, err := r.countPart(ctx, s, run, d)
	clear()
	if err != nil {
		return err
	}
	if err := r.read.Write(r.name, r.force, part.Write); err != nil {
		return err
	}
	rows := int64(0)
	for _, portion := range counted {
		rows += portion.Rows(portion.First(), portion.End())
	}
	_, err = fmt.Fprintf(r.cmd.OutOrStdout(), "%s: %s, %d cards\n", terminal.Visible(r.name), d, rows)
	return err
}

// countPart counts a part of all cards that are shown.
func (r *runFlags) countPart(ctx context.Context, s *study.Study, run *sim.Run, d question.Division) ([]*sim.Portion, *question.Part, error) {
	cards, err := question.NewCards(s, run, r.showsConditions())
	if err != nil {
		return nil, nil, err
	}
	return cards.CountPart(ctx, d, r.checkpoint)
}
