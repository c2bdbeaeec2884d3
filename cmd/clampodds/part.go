package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/terminal"
	"clampodds/sim"
)

// parting holds the flags of run that count a part of a run, or with breaks.
type parting struct {
	part, output, checkpoint string
	every                    time.Duration
}

func (p *parting) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&p.part, "part", "", "count part `N/M` of the run into the file of -o, for merge; /M takes N from the number of a Slurm array job, 1 to M")
	f.StringVarP(&p.output, "output", "o", "", "the `FILE` of the part; without --part it is that of a Slurm array job from 1 on, by its number and count")
	f.StringVar(&p.checkpoint, "checkpoint", "", "keep what was counted in `FILE`, and go on from there if it exists")
	f.DurationVar(&p.every, "checkpoint-every", 30*time.Second, "how often")
}

// check refuses flags that contradict one another.
func (p *parting) check(r *runFlags) error {
	parted := p.part != "" || p.output != ""
	switch {
	case parted && p.output == "":
		return errors.New("--part: -o FILE is missing, the file of the part")
	case r.until != "" && (parted || p.checkpoint != ""):
		return errors.New("--until goes with neither --part nor --checkpoint: the number of cards has to be known")
	case r.draws != "" && (parted || p.checkpoint != ""):
		return errors.New("--draws goes with neither --part nor --checkpoint")
	case !(p.every > 0):
		return fmt.Errorf("--checkpoint-every %v: must be above 0", p.every)
	}
	return nil
}

// keeping reads the checkpoint, if there is one, and holds it until release is called.
func (p *parting) keeping(read *files.Inputs) (k question.Keeping, release func(), err error) {
	if p.checkpoint == "" {
		return k, func() {}, nil
	}
	if err = read.MayWrite(p.checkpoint, true); err == nil {
		release, err = files.Hold(p.checkpoint)
	}
	if err != nil {
		return k, nil, err
	}
	k = question.Keeping{Every: p.every, Keep: func(part *question.Part) error {
		return read.Write(p.checkpoint, true, part.Write)
	}}
	if k.Kept, err = readPart(p.checkpoint); err != nil && !errors.Is(err, fs.ErrNotExist) {
		release()
		return k, nil, err
	}
	return k, release, nil
}

// ofCheckpoint names the checkpoint in what is wrong with it.
func (p *parting) ofCheckpoint(k question.Keeping, err error) error {
	if stopped := question.Stopped(""); errors.As(err, &stopped) {
		if k.Keep != nil {
			return failure(fmt.Errorf("%w: the same command goes on from %s", err, p.checkpoint))
		}
		return failure(err)
	}
	if k.Kept != nil && !errors.As(err, new(files.Failed)) && !errors.As(err, new(files.Refused)) {
		return fmt.Errorf("%s: %w", p.checkpoint, err)
	}
	return err
}

// writePart counts a part of the run and writes it.
func (r *runFlags) writePart(cmd *cobra.Command, s *study.Study, getenv func(string) string) error {
	d, err := question.DivisionOf(r.part, getenv)
	if err != nil {
		return err
	}
	if err := r.read.MayWrite(r.output, r.force); err != nil {
		return err
	}
	k, release, err := r.keeping(&r.read)
	if err != nil {
		return err
	}
	defer release()
	one, err := question.Scenario(s, s.Title)
	if err != nil {
		return err
	}
	run := r.asked().Run(s, one)
	show, clear := r.progress("cards of " + d.String())
	run.Progress = show
	counted, part, err := r.countPart(cmd.Context(), s, run, d, k)
	clear()
	if err != nil {
		return err
	}
	if err := r.read.Write(r.output, r.force, part.Write); err != nil {
		return err
	}
	rows := int64(0)
	for _, portion := range counted {
		rows += portion.Rows(portion.First(), portion.End())
	}
	_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s: %s, %d cards\n", terminal.Visible(r.output), d, rows)
	return err
}

// countPart counts a part of all cards that are shown.
func (r *runFlags) countPart(ctx context.Context, s *study.Study, run *sim.Run, d question.Division, k question.Keeping) ([]*sim.Portion, *question.Part, error) {
	cards, err := question.NewCards(s, run, r.showsConditions())
	if err != nil {
		return nil, nil, err
	}
	counted, part, err := cards.CountPart(ctx, d, k)
	if err != nil {
		return nil, nil, r.ofCheckpoint(k, err)
	}
	return counted, part, nil
}

// withBreaks counts all cards with a checkpoint.
func (r *runFlags) withBreaks(ctx context.Context, s *study.Study, run *sim.Run) ([]*sim.Portion, error) {
	k, release, err := r.keeping(&r.read)
	if err != nil {
		return nil, err
	}
	defer release()
	counted, _, err := r.countPart(ctx, s, run, question.Division{Number: 1, Parts: 1}, k)
	return counted, err
}

// mostOfPart bounds a file of a part, bytes.
const mostOfPart = 4 << 30

func readPart(name string) (*question.Part, error) {
	text, err := files.Read(context.Background(), name, mostOfPart)
	if err != nil {
		return nil, err
	}
	part, err := question.ReadPart(text)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return part, nil
}
