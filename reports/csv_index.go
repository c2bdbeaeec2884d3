package reports

import (
	"io"
	"slices"
	"strings"
)

// tablesWords say how the tables are to be read.
const tablesWords = `Each file is one table in UTF-8, comma separated, with one line of heads. First come the columns that say what a line is about, then one line for each number:

- quantity: the name of the number. value: the number, empty where there is none. low, high: the ends of its interval, where it has one; alone, a range.
- flag: what is no number: "none seen" (value 0, high its bound), "at most", "∞", a word of the table. unit: of value, low and high; empty for a plain number or a probability.

Numbers are rounded as in the report, by their intervals; report.json has all digits. A table of texts only has its columns as they are.`

// writeTablesIndex says what the files of tables/ hold.
func writeTablesIndex(w io.Writer, d Document) error {
	p := &printer{w: w}
	p.line("# Tables\n\n" + tablesWords + "\n")
	p.line("| file | table | a line is about | quantities |\n|---|---|---|---|")
	names := fileNames(d)
	for _, b := range slices.Concat(d.Blocks, d.Attached) {
		t, ok := b.(*Table)
		if !ok {
			continue
		}
		var about, quantities []string
		for i, c := range t.Columns {
			switch {
			case slices.Contains(t.about(), i):
				about = append(about, c.Head)
			case c.Head != "low" && c.Head != "high":
				quantities = append(quantities, c.Head)
			}
		}
		p.line("| " + strings.Join(escapeAll([]string{names[b] + ".csv", titled(t.label(), t.Caption), strings.Join(about, ", "), strings.Join(quantities, "; ")}, markdown), " | ") + " |")
	}
	return p.err
}
