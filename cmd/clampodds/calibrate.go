package main

import (
	"context"
	"fmt"
	"maps"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
)

func newCalibrate() *cobra.Command {
	var c calibration
	cmd := c.command("calibrate STUDY DATA", "Narrows the contact factor with thermal test readings", exactly(2), c.run)
	c.flags()
	return cmd
}

// calibration holds the flags of calibrate.
type calibration struct {
	shared
	question.Calibrate
	drawn   question.Sampling
	also    map[string]string
	figures string
	output
}

func (c *calibration) flags() {
	f := c.cmd.Flags()
	flags.Workbook(f, &c.Sheet, &c.DecimalComma)
	f.StringSliceVar(&c.Update, "update", []string{"contact.factor"}, "one to three `INPUTS` to narrow, separated by commas")
	f.StringVar(&c.Noise, "noise", "", "standard deviation of a reading's own error, a `QUANTITY` as in \"0.3 K\" (default: the column noise)")
	f.StringVar(&c.Condition, "condition", "", "`NAME` of the study's condition that the readings were taken in (default: the study as written)")
	f.StringToStringVar(&c.Columns, "column", nil, "`NAME=HEADER` of columns with other headers, as in left=TC1,right=TC2; nothing behind = leaves it out")
	f.StringToStringVar(&c.Units, "unit", nil, "`NAME=UNIT` of columns without a unit in the header, as in left=degC")
	flags.Count(f, &c.drawn.Samples, "samples", "number of draws of what scatters (default: 512, or four for each variable)")
	flags.Seed(f, &c.drawn.Seed)
	flags.Workers(f, &c.drawn.Workers)
	f.StringToStringVar(&c.also, "also", nil, "the same for `STUDY=FILE`, the other side of a change: what is known better is known of both")
	f.StringVar(&c.figures, "figures", "", "write figures into `FOLDER`, which must be there: what was known before and after, and the readings against what was expected")
	c.output.flags(c.cmd, "write a study to `FILE` that extends STUDY by the narrowed inputs", "replace an existing FILE of -o")
}

func (c *calibration) run(ctx context.Context, args []string) error {
	read, err := c.load(args[0])
	if err != nil {
		return err
	}
	c.read.Add(args[1])
	for _, file := range append(slices.Sorted(maps.Values(c.also)), c.name) {
		if err := c.read.Spare(file); err != nil {
			return err
		}
	}
	others, err := c.others(read)
	if err != nil {
		return err
	}
	done, err := c.Ask(ctx, read, c.drawn, args[1], c.name, c.progress)
	if err != nil {
		return err
	}
	for _, w := range done.Result.Warnings {
		c.warn(fmt.Sprintf("%s [%s]", w.Text, w.Code))
	}
	if err := c.write(done, others); err != nil {
		return err
	}
	return c.answer(done.Result, done.Verdict(), nil)
}

// others are the studies that are to know the same, by the file each is written to. A study with other faces is refused.
func (c *calibration) others(read *study.Study) (map[string]*study.Study, error) {
	others := map[string]*study.Study{}
	for _, name := range slices.Sorted(maps.Keys(c.also)) {
		other, err := c.load(name)
		if err != nil {
			return nil, err
		}
		if err := study.Carries(read.Averaged(), other.Averaged(), c.Update); err != nil {
			return nil, fmt.Errorf("--also %w", err)
		}
		others[c.also[name]] = other
	}
	return others, nil
}

func (c *calibration) write(done *question.Calibrated, others map[string]*study.Study) error {
	texts := map[string][]byte{}
	if c.name != "" {
		texts[c.name] = []byte(done.Result.Fragment)
	}
	for file, other := range others {
		texts[file] = []byte(done.Fragment(other, file))
	}
	if c.figures != "" { // a folder that is there
		for name, text := range done.Figures() {
			texts[filepath.Join(c.figures, name)] = text
		}
	}
	for _, file := range slices.Sorted(maps.Keys(texts)) {
		if err := c.read.WriteText(file, c.force, texts[file]); err != nil {
			return err
		}
	}
	return nil
}
