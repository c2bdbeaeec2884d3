package main

import (
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
)

func newCalibrate() *cobra.Command {
	var s shared
	var c calibration
	cmd := &cobra.Command{
		Use:   "calibrate STUDY DATA",
		Short: "Narrows the contact factor with thermal test readings",
		Args:  exactly(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			read, err := s.load(args[0])
			if err != nil {
				return err
			}
			s.read.Add(args[1])
			for _, file := range append(slices.Sorted(maps.Values(c.also)), c.output) {
				if err := s.read.Spare(file); err != nil {
					return err
				}
			}
			others, err := c.others(&s, read)
			if err != nil {
				return err
			}
			text, _, err := question.ReadData(args[1])
			if err != nil {
				return err
			}
			done, err := c.Ask(cmd.Context(), read, c.asked(), args[1], text, c.output, s.progress)
			if err != nil {
				return err
			}
			if !s.quiet {
				for _, w := range done.Result.Warnings {
					fmt.Fprintf(cmd.ErrOrStderr(), "warning: %s [%s]\n", w.Text, w.Code)
				}
			}
			if err := c.write(done, others, &s.read); err != nil {
				return err
			}
			return s.emit(done.Result)
		},
	}
	s.flags(cmd)
	c.flags(cmd)
	return cmd
}

// calibration holds the flags of calibrate.
type calibration struct {
	question.Calibrate
	samples flags.Count
	seed    uint64
	workers int
	output  string
	also    map[string]string
	figures string
	force   bool
	cmd     *cobra.Command
}

func (c *calibration) flags(cmd *cobra.Command) {
	c.cmd = cmd
	f := cmd.Flags()
	f.StringSliceVar(&c.Update, "update", []string{"contact.factor"}, "one to three `INPUTS` to narrow, separated by commas")
	f.StringVar(&c.Noise, "noise", "", "standard deviation of a reading's own error, a `QUANTITY` as in \"0.3 K\" (default: the column noise)")
	f.StringVar(&c.Condition, "condition", "", "`NAME` of the study's condition that the readings were taken in (default: the study as written)")
	f.StringToStringVar(&c.Columns, "column", nil, "`NAME=HEADER` of columns with other headers, as in left=TC1,right=TC2; nothing behind = leaves it out")
	f.StringToStringVar(&c.Units, "unit", nil, "`NAME=UNIT` of columns without a unit in the header, as in left=degC")
	f.StringVar(&c.Sheet, "sheet", "", "`NAME` of the sheet of a workbook (default: the only one with cells)")
	f.BoolVar(&c.DecimalComma, "decimal-comma", false, "2,48 is two and 48 hundredths")
	f.Var(&c.samples, "samples", "number of draws of what scatters (default: 512, or four for each variable)")
	f.Uint64Var(&c.seed, "seed", 0, "seed of the random numbers, 0 included (default: the study's)")
	f.IntVar(&c.workers, "workers", 0, "goroutines; the result does not depend on it (default: one per processor)")
	f.StringVarP(&c.output, "output", "o", "", "write a study to `FILE` that extends STUDY by the narrowed inputs")
	f.StringToStringVar(&c.also, "also", nil, "the same for `STUDY=FILE`, the other side of a change: what is known better is known of both")
	f.StringVar(&c.figures, "figures", "", "write figures into `FOLDER`, which must be there: what was known before and after, and the readings against what was expected")
	f.BoolVar(&c.force, "force", false, "replace an existing FILE of -o")
}

// asked is how the draws are made.
func (c *calibration) asked() question.Sampling {
	m := question.Sampling{Samples: int64(c.samples), Workers: c.workers}
	if c.cmd.Flags().Changed("seed") {
		m.Seed = &c.seed
	}
	return m
}

// others are the studies that are to know the same, by the file each is written to. A study with other faces is refused.
func (c *calibration) others(s *shared, read *study.Study) (map[string]*study.Study, error) {
	others := map[string]*study.Study{}
	for _, name := range slices.Sorted(maps.Keys(c.also)) {
		other, err := s.load(name)
		if err != nil {
			return nil, err
		}
		if err := c.MayCarry(read, other); err != nil {
			return nil, fmt.Errorf("--also %w", err)
		}
		others[c.also[name]] = other
	}
	return others, nil
}

// write writes the studies and figures that were asked for.
func (c *calibration) write(done *question.Calibrated, others map[string]*study.Study, read *files.Inputs) error {
	files := map[string]string{}
	if c.output != "" {
		files[c.output] = done.Result.Fragment
	}
	for file, other := range others {
		files[file] = done.Fragment(other, file)
	}
	if c.figures != "" { // a folder that is there
		for name, text := range done.Figures() {
			files[filepath.Join(c.figures, name)] = string(text)
		}
	}
	for _, file := range slices.Sorted(maps.Keys(files)) {
		err := read.Write(file, c.force, func(w io.Writer) error {
			_, err := io.WriteString(w, files[file])
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}
