package question

import (
	"encoding/json"
	"io"

	"github.com/parquet-go/parquet-go"
)

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
		if c.Of == DrawnCard {
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
