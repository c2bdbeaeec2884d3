package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/rig"
	"clampodds/cmd/clampodds/internal/study"
)

func newCalibrate() *cobra.Command {
	var s shared
	var c calibration
	cmd := &cobra.Command{
		Use:   "calibrate STUDY DATA",
		Short: "Narrows the contact factor with thermal test readings",
		Long: `calibrate updates inputs of a study that are not known, the contact factor above
all, by readings of a test rig or of cards in service.

DATA, a workbook (.xlsx) or a CSV file, has a row for each state in which temperatures were read and a header
line with units: torque [N*m], power [W], wall [degC], altitude [m], left edge
[degC] and right edge [degC] (or hotter edge, hottest spot, or left resistance [K/W] and right
resistance), noise [K], card. Torque is as set: the tool's scatter stays the
study's. Power is the heat of the whole card. Rows of one card share its
flatness and clamps; without that column all are of one card. Rows that follow one
another with the same card and torque are one tightening. What the table does
not have is taken from the study, its scatter included.`,
		Args: exactly(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			read, err := s.load(args[0], cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			read = read.Averaged() // each card by itself
			s.read.add(args[1])
			if err := s.read.spare(c.output); err != nil {
				return err
			}
			show, clear := progress(cmd.ErrOrStderr(), s.quiet, "responses")
			done, err := c.run(cmd.Context(), read, args[1], show)
			clear()
			if err != nil {
				return err
			}
			result := done.report()
			if !s.quiet {
				for _, w := range result.Warnings {
					fmt.Fprintf(cmd.ErrOrStderr(), "warning: %s [%s]\n", w.Text, w.Code)
				}
			}
			if err := c.write(done, &s.read); err != nil {
				return err
			}
			return emit(cmd.OutOrStdout(), s.form, result)
		},
	}
	s.flags(cmd)
	c.flags(cmd)
	return cmd
}

// calibration holds the flags of calibrate.
type calibration struct {
	rig.Options
	update    []string
	condition string
	samples   count
	seed      uint64
	workers   int
	output    string
	force     bool
	cmd       *cobra.Command
}

func (c *calibration) flags(cmd *cobra.Command) {
	c.cmd = cmd
	f := cmd.Flags()
	f.StringSliceVar(&c.update, "update", []string{"contact.factor"}, "one to three `INPUTS` to narrow, separated by commas")
	f.StringVar(&c.Noise, "noise", "", "standard deviation of a reading's own error, a `QUANTITY` as in \"0.3 K\" (default: the column noise)")
	f.StringVar(&c.condition, "condition", "", "`NAME` of the study's condition that the readings were taken in (default: the study as written)")
	f.StringToStringVar(&c.Columns, "column", nil, "`NAME=HEADER` of columns with other headers, as in left=TC1,right=TC2; nothing behind = leaves it out")
	f.StringToStringVar(&c.Units, "unit", nil, "`NAME=UNIT` of columns without a unit in the header, as in left=degC")
	f.StringVar(&c.Sheet, "sheet", "", "`NAME` of the sheet of a workbook (default: the only one with cells)")
	f.BoolVar(&c.DecimalComma, "decimal-comma", false, "2,48 is two and 48 hundredths")
	f.Var(&c.samples, "samples", "number of draws of what scatters (default: 512, or four for each variable)")
	f.Uint64Var(&c.seed, "seed", 0, "seed of the random numbers, 0 included (default: the study's)")
	f.IntVar(&c.workers, "workers", 0, "goroutines; the result does not depend on it (default: one per processor)")
	f.StringVarP(&c.output, "output", "o", "", "write a study to `FILE` that extends STUDY by the narrowed inputs")
	f.BoolVar(&c.force, "force", false, "replace an existing FILE of -o")
}

// run reads the table and solves.
func (c *calibration) run(ctx context.Context, read *study.Study, path string, show func(done, total int64)) (*calibrated, error) {
	text, err := os.ReadFile(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil, usage(err)
	}
	if err != nil {
		return nil, failure(err)
	}
	table, err := rig.Read(path, text, c.Options)
	if err != nil {
		return nil, usage(err)
	}
	used := read
	if c.condition != "" {
		if used, err = read.Condition(c.condition); err != nil {
			return nil, usage(err)
		}
	}
	wired, err := table.Calibrate(used, c.update)
	if err != nil {
		return nil, usage(err)
	}
	p := &wired.Problem
	p.Confidence, p.Seed, p.Workers, p.Draws, p.Progress = read.Run.Confidence, read.Run.Seed, c.workers, int(c.samples), show
	if c.cmd.Flags().Changed("seed") {
		p.Seed = c.seed
	}
	result, err := p.Solve(ctx)
	switch {
	case ctx.Err() != nil:
		return nil, failure(errors.New("stopped before the end"))
	case err != nil:
		return nil, usage(err)
	}
	return newCalibrated(read, used, table, wired, result, c.output), nil
}

// write writes the fragment, if asked for.
func (c *calibration) write(done *calibrated, read *inputFiles) error {
	if c.output == "" {
		return nil
	}
	return read.writeFile(c.output, c.force, func(w io.Writer) error {
		_, err := io.WriteString(w, done.fragment)
		return err
	})
}
