package question

import (
	"bufio"
	"context"
	"encoding/json"
	"io"
	"strconv"

	"github.com/parquet-go/parquet-go"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/joint/card"
	"clampodds/reports"
	"clampodds/sim"
)

// DrawnSchema is the form of DrawnAs in JSON.
const DrawnSchema = "clampodds.draws/1"

// DrawnAs says what a table of draws is: all that its cards do not tell themselves.
type DrawnAs struct {
	Schema     string             `json:"schema"`
	Provenance reports.Provenance `json:"provenance"`
	// CardsPerChassis cards in a row share a chassis.
	CardsPerChassis int `json:"cards_per_chassis"`
	// Layout is that of the card; Slots those of the slots of a chassis, whose columns begin with its name.
	Layout  *DrawnLayout  `json:"layout,omitempty"`
	Slots   []DrawnSlot   `json:"slots,omitempty"`
	Columns []DrawnColumn `json:"columns"`
	// Constants are the inputs that are the same for all cards.
	Constants []DrawnConstant `json:"constants"`
	Limits    []DrawnLimit    `json:"limits"`
}

// DrawnLayout is what does not scatter.
type DrawnLayout struct {
	Family     string   `json:"family"`
	Anchor     string   `json:"anchor"`
	Pieces     int      `json:"pieces"`
	Thread     string   `json:"thread"`
	Gas        string   `json:"gas"`
	Components []string `json:"components"`
}

// DrawnSlot is a slot of a chassis with its card.
type DrawnSlot struct {
	Name string `json:"name"`
	Card string `json:"card"`
	DrawnLayout
}

// What a column is of.
const (
	drawnCard   = "card" // a whole number
	drawnInput  = "input"
	drawnOutput = "output"
)

// DrawnColumn is a column with its SI unit, "1" for a plain number.
type DrawnColumn struct {
	Name  string `json:"name"`
	Of    string `json:"of"`
	Input string `json:"input,omitempty"` // the study's key
	Unit  string `json:"unit"`
}

// DrawnConstant is an input that is the same for all cards.
type DrawnConstant struct {
	Input string  `json:"input"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// DrawnLimit is a limit: a card exceeds it where the output is above Max, or has no value (+Inf).
type DrawnLimit struct {
	Name   string  `json:"name"`
	Output string  `json:"output"`
	Max    float64 `json:"max"`
	Unit   string  `json:"unit"`
	Target float64 `json:"target,omitempty"`
}

// Drawn describes the draws of a run of a study.
func Drawn(s *study.Study, run *sim.Run) DrawnAs {
	one := run.Scenarios[0]
	d := DrawnAs{
		Schema: DrawnSchema, Provenance: Provenance(s), CardsPerChassis: one.Inputs.RowsPerGroup(),
		Columns: []DrawnColumn{{Name: "card", Of: drawnCard, Unit: "1"}, {Name: "chassis", Of: drawnCard, Unit: "1"}},
	}
	layout := func(l *card.Layout) DrawnLayout {
		return DrawnLayout{l.Family.String(), l.Anchor.String(), l.Pieces, l.Thread.Designation, l.Gas.String(), l.Components}
	}
	if s.Chassis == nil {
		l := layout(&s.Layout)
		d.Layout = &l
	} else {
		for i := range s.Chassis.Slots {
			slot := &s.Chassis.Slots[i]
			d.Slots = append(d.Slots, DrawnSlot{slot.Name, slot.Card, layout(&slot.Layout)})
		}
	}
	d.Provenance.Seed, d.Provenance.Samples, d.Provenance.Plan, d.Provenance.Confidence = run.Seed, run.Samples, run.Sampler.Name(), run.Confidence
	for _, v := range one.Inputs.Variables() {
		c := DrawnColumn{Name: v.Name, Of: drawnInput, Input: v.Input, Unit: "1"}
		if in := s.Input(v.Input); in != nil {
			c.Unit = in.Parameter.Unit
		}
		d.Columns = append(d.Columns, c)
	}
	for _, o := range one.Model.Outputs() {
		d.Columns = append(d.Columns, DrawnColumn{Name: o.Name, Of: drawnOutput, Unit: o.Unit})
	}
	for i := range s.Inputs {
		if in := &s.Inputs[i]; in.Dist == nil {
			d.Constants = append(d.Constants, DrawnConstant{in.Key, in.Nominal, in.Parameter.Unit})
		}
	}
	for i := range s.Limits {
		l := &s.Limits[i]
		d.Limits = append(d.Limits, DrawnLimit{l.Name, l.Output, l.Max, string(l.Quantity), l.Target})
	}
	return d
}

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

// groupRows is about how many rows are kept in memory and written together.
const groupRows = 1 << 14

// parquetDraws is a Parquet file: the columns card and chassis, then one of type DOUBLE for each input and
// output by its name. What they are says the metadata, JSON under the key "clampodds".
type parquetDraws struct {
	*parquet.Writer
	columns []*parquet.ColumnWriter // as the columns of DrawnAs
	perRow  int64                   // cards per chassis
	values  []parquet.Value
	open    int // rows of the group so far
}

func newParquet(w io.Writer, about DrawnAs) (*parquetDraws, error) {
	text, err := json.Marshal(about)
	if err != nil {
		return nil, err
	}
	group := parquet.Group{}
	for _, c := range about.Columns {
		kind := parquet.Leaf(parquet.DoubleType)
		if c.Of == drawnCard {
			kind = parquet.Leaf(parquet.Int64Type)
		}
		group[c.Name] = parquet.Compressed(kind, &parquet.Snappy)
	}
	schema := parquet.NewSchema("draws", group)
	p := &parquetDraws{
		Writer: parquet.NewWriter(w, schema, parquet.KeyValueMetadata("clampodds", string(text))),
		perRow: int64(about.CardsPerChassis),
	}
	for _, c := range about.Columns {
		at, _ := schema.Lookup(c.Name) // it was made of them
		p.columns = append(p.columns, p.ColumnWriters()[at.ColumnIndex])
	}
	return p, nil
}

func (p *parquetDraws) rows(first int64, columns [][]float64) error {
	card := func(r int) parquet.Value { return parquet.Int64Value(first + int64(r)) }
	chassis := func(r int) parquet.Value { return parquet.Int64Value((first + int64(r)) / p.perRow) }
	n := len(columns[0])
	for i, w := range p.columns {
		value := func(r int) parquet.Value { return parquet.DoubleValue(columns[i-2][r]) }
		if i < 2 {
			value = []func(int) parquet.Value{card, chassis}[i]
		}
		p.values = p.values[:0]
		for r := range n {
			p.values = append(p.values, value(r))
		}
		if _, err := w.WriteRowValues(p.values); err != nil {
			return err
		}
	}
	if p.open += n; p.open < groupRows {
		return nil
	}
	p.open = 0
	return p.Flush()
}

func (p *parquetDraws) close() error { return p.Close() }
