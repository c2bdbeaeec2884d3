package main

import (
	"bufio"
	"context"
	"errors"
	"io"
	"strconv"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/sim"
)

// execute does a run, by (*sim.Run).Execute or another function of its kind; with
// --draws it also writes every draw there, whole or not at all.
func (r *runFlags) execute(ctx context.Context, run *sim.Run, do question.Doing) (*sim.Result, error) {
	if r.counted != nil {
		return r.counted(ctx, run)
	}
	if r.draws == "" {
		found, err := do(run, ctx)
		if err != nil {
			return nil, usage(err)
		}
		return found, nil
	}
	var found *sim.Result
	err := r.read.writeFile(r.draws, r.force, func(w io.Writer) error {
		d := drawWriter{out: bufio.NewWriterSize(w, 1<<20), model: run.Scenarios[0].Model}
		d.heads(run.Scenarios[0])
		run.Draws = d.block
		var err error
		if found, err = do(run, ctx); err != nil {
			return usage(err)
		}
		if !found.Complete {
			return errors.New("stopped before the end")
		}
		return d.out.Flush()
	})
	return found, err
}

// drawWriter writes inputs and outputs of every row as CSV, in SI units.
type drawWriter struct {
	out   *bufio.Writer
	line  []byte
	model sim.Model
}

// heads writes the names of the columns; outputs have their unit. Names hold no
// comma and no quote.
func (d *drawWriter) heads(s sim.Scenario) {
	d.line = append(d.line, "card"...)
	for _, v := range s.Plan.Variables() {
		d.line = append(append(d.line, ','), v.Name...)
	}
	for _, o := range s.Model.Outputs() {
		d.line = append(append(d.line, ','), o.Name+" ["+o.Unit+"]"...)
	}
	d.flush()
}

// block writes one block of rows. A card that could not be clamped has "+Inf"
// for a temperature.
func (d *drawWriter) block(block int64, _ int, x, y [][]float64) error {
	rows := len(y[0])
	x = question.AsDrawn(d.model, x)
	for r := range rows {
		d.line = strconv.AppendInt(d.line, block*int64(rows)+int64(r), 10)
		for _, columns := range [2][][]float64{x, y} {
			for _, column := range columns {
				d.line = strconv.AppendFloat(append(d.line, ','), column[r], 'g', -1, 64)
			}
		}
		d.flush()
	}
	return nil
}

func (d *drawWriter) flush() {
	_, _ = d.out.Write(append(d.line, '\n')) // the writer keeps its first error for Flush
	d.line = d.line[:0]
}
