package reports

import (
	"encoding/csv"
	"io"
	"strconv"
)

// WriteCSV writes the tables of d one below the other, each as its own block:
// a row with the table's key and caption, the heads, the rows, a blank line.
// Running text is left out; it is for people.
func WriteCSV(w io.Writer, d Document) error {
	first := true
	for _, b := range d.Blocks {
		t, ok := b.(*Table)
		if !ok {
			continue
		}
		if !first {
			if _, err := io.WriteString(w, "\n"); err != nil {
				return err
			}
		}
		first = false
		if err := WriteTableCSV(w, t); err != nil {
			return err
		}
	}
	return nil
}

// WriteTableCSV writes one table: key and caption, heads, rows.
func WriteTableCSV(w io.Writer, t *Table) error {
	c := csv.NewWriter(w)
	records := append([][]string{{t.Key, t.Caption}, t.heads()}, t.Rows...)
	for _, r := range records {
		if err := c.Write(escapeAll(r, csvCell)); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

func isNumber(s string) bool {
	_, err := strconv.ParseFloat(s, 64)
	return err == nil
}
