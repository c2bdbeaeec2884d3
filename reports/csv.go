package reports

import (
	"cmp"
	"encoding/csv"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// WriteCSV writes the tables of d one below the other, the verdict first, each as its own block:
// a row with the table's key and caption, the table, a blank line.
// Running text is left out; it is for people.
func WriteCSV(w io.Writer, d Document) error {
	var tables []*Table
	if d.Verdict != nil {
		tables = append(tables, d.Verdict)
	}
	for _, b := range d.Blocks {
		if t, ok := b.(*Table); ok {
			tables = append(tables, t)
		}
	}
	for i, t := range tables {
		if i > 0 {
			if _, err := io.WriteString(w, "\n"); err != nil {
				return err
			}
		}
		if err := writeRecords(w, [][]string{{t.Key, t.Caption}}); err != nil {
			return err
		}
		if err := WriteTableCSV(w, t); err != nil {
			return err
		}
	}
	return nil
}

// WriteTableCSV writes one table, tidy: its columns of text, which say what a row is about,
// then one row for each number, with the columns quantity, value, low, high, flag and unit.
// The three numbers are numbers or empty; flag has what else the cell says: "none of 32768", "at
// most", "undecided". A table without numbers has its columns as they are.
func WriteTableCSV(w io.Writer, t *Table) error { return writeRecords(w, t.tidy()) }

func writeRecords(w io.Writer, records [][]string) error {
	c := csv.NewWriter(w)
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

const unitHead = "unit"

// tidyHeads are those of the numbers.
var tidyHeads = []string{"quantity", "value", "low", "high", "flag", unitHead}

// about are the columns that say what a row is about: the first, and those of text but one of
// units, which are those of the numbers.
func (t *Table) about() (places []int) {
	for i, c := range t.Columns {
		if i == 0 || !c.Number && c.Head != unitHead {
			places = append(places, i)
		}
	}
	return places
}

// tidy are the records of the table, the heads first.
func (t *Table) tidy() [][]string {
	about := t.about()
	unitColumn := slices.IndexFunc(t.Columns, func(c Column) bool { return c.Head == unitHead })
	if !slices.ContainsFunc(t.Columns[1:], func(c Column) bool { return c.Number }) {
		return append([][]string{t.heads()}, t.Rows...)
	}
	var heads []string
	for _, i := range about {
		head := t.Columns[i].Head
		if slices.Contains(tidyHeads, head) {
			head = "what" // no two columns of one name
		}
		heads = append(heads, head)
	}
	var records []*record
	above := map[int]*record{} // the last of each column, for an interval in the row below
	first := ""
	for _, row := range t.Rows {
		if row[0] != "" {
			first = row[0]
			clear(above)
		}
		subject, ofRow := []string{first}, ""
		for _, i := range about[1:] {
			subject = append(subject, row[i])
		}
		if unitColumn >= 0 {
			ofRow = row[unitColumn]
		}
		_, ofFirst := Column{Head: first}.parts()
		var last *record
		for i, c := range t.Columns {
			if slices.Contains(about, i) || i == unitColumn || row[i] == "" {
				continue
			}
			m := readCell(row[i])
			if of := above[i]; of != nil && row[0] == "" && strings.Contains(row[i], " … ") {
				of.low, of.high, of.flag = m.low, m.high, m.flag
				continue
			}
			head, unit := c.parts()
			if last != nil && (head == "low" || head == "high") {
				last.end(head, m)
				continue
			}
			m.unit = cmp.Or(m.unit, unit, ofRow, ofFirst)
			last = &record{subject, head, m}
			above[i], records = last, append(records, last)
		}
	}
	lines := [][]string{append(heads, tidyHeads...)}
	for _, r := range records {
		lines = append(lines, slices.Concat(r.about, []string{r.head, r.value, r.low, r.high, r.flag, r.unit}))
	}
	return lines
}

// record is a number of a table, with what it is about.
type record struct {
	about []string
	head  string
	measured
}

// end takes the value of a column of its own for the low end or the high one. An end that is no number, as an infinite
// one, is a flag.
func (r *record) end(which string, m measured) {
	if which == "low" {
		r.low = m.value
	} else {
		r.high = m.value
	}
	if m.value == "" {
		r.flag = strings.TrimPrefix(r.flag+"; "+which+" "+m.flag, "; ")
	}
}

// parts are the head and the unit in brackets behind it.
func (c Column) parts() (head, unit string) {
	head, unit, ok := strings.Cut(strings.TrimSuffix(c.Head, "]"), " [")
	if !ok {
		return c.Head, ""
	}
	return head, unit
}

// measured is what a cell says.
type measured struct{ value, low, high, flag, unit string }

const number = `([+-]?\d+(?:\.\d+)?(?:e[+-]?\d+)?)`

var (
	oneNumber = regexp.MustCompile(`^(≤ |≥ |< |> |± |at most |at least )?` + number + `(?: (.*))?$`)
	interval  = regexp.MustCompile(`^(?:` + number + `|-∞) … (?:` + number + `|∞)(?: (.*))?$`)
	bounded   = regexp.MustCompile(`^` + number + ` \(` + number + ` (?:…|to) ` + number + `\)$`)
)

// signs are flags in words.
var signs = map[string]string{"≤": "at most", "≥": "at least", "<": "below", ">": "above", "±": "plus or minus"}

// readCell takes a printed number apart.
func readCell(text string) measured {
	if m := bounded.FindStringSubmatch(text); m != nil {
		return measured{value: digits(m[1]), low: digits(m[2]), high: digits(m[3])}
	}
	if m := interval.FindStringSubmatch(text); m != nil {
		open := ""
		if m[2] == "" {
			open = "high ∞"
		}
		if m[1] == "" {
			open = strings.TrimSuffix("low -∞; "+open, "; ")
		}
		return measured{low: digits(m[1]), high: digits(m[2]), flag: open, unit: m[3]}
	}
	if m := oneNumber.FindStringSubmatch(text); m != nil {
		flag := strings.TrimSpace(m[1])
		if word, ok := signs[flag]; ok {
			flag = word
		}
		return measured{value: digits(m[2]), flag: flag, unit: m[3]}
	}
	if text == noneSeen || strings.HasPrefix(text, noneOfSome) {
		return measured{value: "0", flag: text}
	}
	return measured{flag: text}
}

func digits(number string) string { return strings.TrimPrefix(number, "+") }

// tablesWords say how the tables are to be read.
const tablesWords = `Each file is one table in UTF-8, comma separated, with one line of heads. First come the columns that say what a line is about, then one line for each number:

- quantity: the name of the number. value: the number, empty where there is none. low, high: the ends of its interval, where it has one; alone, a range.
- flag: what is no number: "none seen" or "none of 32768" (value 0, high its bound), "at most", "∞", a word of the table. unit: of value, low and high; empty for a plain number or a probability.

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
