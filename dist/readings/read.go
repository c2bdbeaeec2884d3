package readings

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
)

const commentMark = '#'

// Read reads the column of readings that the options ask for.
//
// An empty cell in a row that is not empty is a problem, as is anything else
// that is not a bare number, an unknown column or unit, a row with more cells
// than the header, a cell that is a formula, more than 20 million readings, a
// row of more than 256 KiB and a column without readings. The error then is a
// *Problems with all of them; it is the source's own error where reading fails.
func Read(source io.Reader, o Options) (*Table, error) {
	return (&reader{Options: o, groups: map[string]int32{}, most: maxReadings}).read(source)
}

func (r *reader) read(source io.Reader) (*Table, error) {
	if err := r.open(source); err != nil {
		return nil, err
	}
	if err := r.rows(); err != nil && err != error(&r.problems) {
		return nil, err
	}
	r.problems.merge(r.guard.hidden)
	if len(r.problems.Listed) == 0 && r.count == 0 {
		r.problems.add(Problem{Message: "there are no readings"})
	}
	if err := r.problems.err(); err != nil {
		return nil, err
	}
	r.table.Values = r.joined()
	return &r.table, nil
}

// chunk is how many readings are stored together, so that growing does not copy.
const chunk = 1 << 16

type reader struct {
	Options
	guard    *guard
	csv      *csv.Reader
	skipped  int // lines taken off before csv saw them
	columns  []headed
	at       int // index of the column of readings
	groupAt  int // of the grouping column, -1 without
	unit     string
	convert  func(float64) float64
	groups   map[string]int32
	table    Table
	chunks   [][]float64
	count    int
	most     int // readings
	problems Problems
}

// open finds out how the cells are separated.
func (r *reader) open(source io.Reader) error {
	r.guard = newGuard(source)
	text := bufio.NewReaderSize(r.guard, chunk)
	head, err := text.Peek(4)
	if len(head) == 0 && err != nil {
		return r.stop(err)
	}
	if bytes.HasPrefix(head, []byte("\ufeff")) {
		_, _ = text.Discard(3) // they have been peeked at
	}
	first := firstLine(text)
	if mark, found := bytes.CutPrefix(first, []byte("sep=")); found && len(mark) == 1 {
		if r.Separator == 0 {
			r.Separator = rune(mark[0])
		}
		if _, err := text.ReadSlice('\n'); err != nil {
			return r.stop(err)
		}
		r.skipped = 1
	}
	r.csv = csv.NewReader(text)
	r.csv.Comma = r.separator(first)
	r.csv.Comment, r.csv.FieldsPerRecord, r.csv.ReuseRecord = commentMark, -1, true
	return nil
}

// firstLine is the first line that is not a comment, among the first 64 KiB.
func firstLine(text *bufio.Reader) []byte {
	buffered, _ := text.Peek(chunk) // less at the end of the file
	for len(buffered) > 0 {
		line, rest, _ := bytes.Cut(buffered, []byte{'\n'})
		line = bytes.TrimRight(line, "\r")
		if len(line) > 0 && line[0] != commentMark {
			return line
		}
		buffered = rest
	}
	return nil
}

// separator is the one given, or the most frequent candidate outside quotes.
func (r *reader) separator(line []byte) rune {
	if r.Separator != 0 {
		return r.Separator
	}
	candidates := "\t;,|"
	if r.DecimalComma {
		candidates = "\t;|"
	}
	best, most := rune(';'), 0
	if !r.DecimalComma {
		best = ','
	}
	for _, c := range candidates {
		count := 0
		for i, piece := range bytes.Split(line, []byte{'"'}) {
			if i%2 == 0 {
				count += bytes.Count(piece, []byte(string(c)))
			}
		}
		if count > most {
			best, most = c, count
		}
	}
	return best
}

// stop turns what ended the reading into the error of Read.
func (r *reader) stop(err error) error {
	var problem Problem
	switch {
	case errors.Is(err, io.EOF):
		r.problems.add(Problem{Message: "the file is empty"})
	case errors.As(err, &problem):
		r.problems.add(problem)
	default:
		return err
	}
	return r.problems.err()
}

// rows reads the header and then every row.
func (r *reader) rows() error {
	for header := true; ; {
		cells, err := r.csv.Read()
		if err != nil {
			done, failure := r.failed(err, header)
			if done {
				return failure
			}
			continue
		}
		if empty(cells) {
			continue
		}
		if header {
			header = false
			if done := r.header(cells); done {
				continue
			}
			if r.problems.err() != nil {
				return r.problems.err()
			}
		}
		r.row(cells)
		if r.count > r.most {
			return r.stop(Problem{Line: r.line(), Message: fmt.Sprintf("more than %d readings", r.most)})
		}
	}
}

// failed deals with what came instead of a row. A row that is not CSV is one
// problem more, anything else is the end.
func (r *reader) failed(err error, header bool) (done bool, failure error) {
	var syntax *csv.ParseError
	switch {
	case errors.As(err, &syntax):
		r.problems.add(Problem{Line: syntax.Line + r.skipped, Message: strings.TrimPrefix(syntax.Err.Error(), "parse error: ")})
		return false, nil
	case errors.Is(err, io.EOF) && !header:
		return true, nil
	}
	return true, r.stop(err)
}

func empty(cells []string) bool {
	for _, cell := range cells {
		if strings.TrimSpace(cell) != "" {
			return false
		}
	}
	return true
}

func (r *reader) line() int {
	line, _ := r.csv.FieldPos(0)
	return line + r.skipped
}
