package main

import (
	"bufio"
	"context"
	"errors"
	"io"
	"path/filepath"
	"strconv"
	"strings"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

// execute does a run, by (*sim.Run).Execute or another function of its kind; with
// --draws it also writes every draw there, whole or not at all.
func (r *runFlags) execute(ctx context.Context, run *sim.Run, do question.Doing) (*sim.Result, error) {
	if r.counted != nil {
		all, err := r.counted(ctx, run)
		if err != nil {
			return nil, err
		}
		if len(all) > 1 {
			r.underConditions = all[1].Result()
		}
		return all[0].Result(), nil
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
		d, err := newDraws(r.draws, w, r.studied, run)
		if err != nil {
			return err
		}
		run.Draws = d.block
		if found, err = do(run, ctx); err != nil {
			return usage(err)
		}
		if !found.Complete {
			return errors.New(question.Interrupted)
		}
		return d.close()
	})
	return found, err
}

// draws writes the inputs and outputs of every card, in SI units, in a form of its own.
type draws struct {
	model sim.Model
	next  int64 // card
	form  drawForm
}

// drawForm gets the columns of one block after another: inputs, then outputs.
type drawForm interface {
	rows(first int64, columns [][]float64) error
	close() error
}

// newDraws chooses the form by the ending of the name.
func newDraws(name string, w io.Writer, s *study.Study, run *sim.Run) (*draws, error) {
	one := run.Scenarios[0]
	d := &draws{model: one.Model}
	if strings.EqualFold(filepath.Ext(name), ".parquet") {
		var err error
		d.form, err = newParquet(w, question.Drawn(s, run))
		return d, err
	}
	d.form = newCSVDraws(w, one)
	return d, nil
}

// block writes one block of rows; blocks come in order. A card that could not be clamped has +Inf for a
// temperature.
func (d *draws) block(_ int64, _ int, x, y [][]float64) error {
	x = question.AsDrawn(d.model, x)
	first := d.next
	d.next += int64(len(y[0]))
	return d.form.rows(first, append(x[:len(x):len(x)], y...))
}

func (d *draws) close() error { return d.form.close() }

// csvDraws is a table with a line for each card.
type csvDraws struct {
	out  *bufio.Writer
	line []byte
}

// newCSVDraws writes the names of the columns; outputs have their unit. Names hold no
// comma and no quote.
func newCSVDraws(w io.Writer, s sim.Scenario) *csvDraws {
	d := &csvDraws{out: bufio.NewWriterSize(w, 1<<20)}
	d.line = append(d.line, "card"...)
	for _, v := range s.Inputs.Variables() {
		d.line = append(append(d.line, ','), v.Name...)
	}
	for _, o := range s.Model.Outputs() {
		d.line = append(append(d.line, ','), o.Name+" ["+o.Unit+"]"...)
	}
	d.flush()
	return d
}

func (d *csvDraws) rows(first int64, columns [][]float64) error {
	for r := range columns[0] {
		d.line = strconv.AppendInt(d.line, first+int64(r), 10)
		for _, column := range columns {
			d.line = strconv.AppendFloat(append(d.line, ','), column[r], 'g', -1, 64)
		}
		d.flush()
	}
	return nil
}

func (d *csvDraws) flush() {
	_, _ = d.out.Write(append(d.line, '\n')) // the writer keeps its first error for Flush
	d.line = d.line[:0]
}

func (d *csvDraws) close() error { return d.out.Flush() }
