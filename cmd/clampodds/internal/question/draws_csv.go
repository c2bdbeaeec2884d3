package question

import (
	"bufio"
	"context"
	"io"
	"strconv"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

// WriteDraws does the run of a study and writes the inputs and outputs of every card, in SI units, as CSV or as
// Parquet. A card that could not be clamped has +Inf for a temperature. A run that is interrupted is an error.
func WriteDraws(ctx context.Context, w io.Writer, parquet bool, s *study.Study, run *sim.Run, do Doing) (*sim.Result, error) {
	form, err := newDrawForm(w, parquet, s, run)
	if err != nil {
		return nil, err
	}
	model, next := run.Scenarios[0].Model, int64(0)
	run.Draws = func(_ int64, _ int, x, y [][]float64) error { // blocks come in order
		x = asDrawn(model, x)
		first := next
		next += int64(len(y[0]))
		return form.rows(first, append(x[:len(x):len(x)], y...))
	}
	found, err := do(run, ctx)
	if err == nil && !found.Complete {
		err = Stopped(Interrupted)
	}
	if err != nil {
		return nil, err
	}
	return found, form.close()
}

// drawForm gets the columns of one block after another: inputs, then outputs.
type drawForm interface {
	rows(first int64, columns [][]float64) error
	close() error
}

func newDrawForm(w io.Writer, parquet bool, s *study.Study, run *sim.Run) (drawForm, error) {
	if parquet {
		return newParquet(w, Drawn(s, run))
	}
	return newCSVDraws(w, run.Scenarios[0]), nil
}

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
