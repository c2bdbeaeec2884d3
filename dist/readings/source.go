package readings

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"clampodds/dist/sheet"
)

// rowSource gives one row of cells after another, io.EOF after the last. Cells are valid up to the next call.
type rowSource interface {
	Read() ([]string, error)
	// line is that of the row read last, from 1.
	line() int
}

// maxWorkbook is the largest workbook that is read, bytes.
const maxWorkbook = 64 << 20

// open finds out what kind of file it is, and how its cells are separated.
func (r *reader) open(source io.Reader) error {
	file := bufio.NewReader(source)
	head, err := file.Peek(8)
	if err != nil && (len(head) == 0 || !errors.Is(err, io.EOF)) { // bufio would forget it
		return r.stop(err)
	}
	switch {
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		return r.openWorkbook(file)
	case bytes.HasPrefix(head, []byte("\xd0\xcf\x11\xe0")):
		return r.stop(Problem{Message: "an old workbook (.xls), or one with a password", Hint: "save it as .xlsx without a password, or as CSV"})
	case r.Sheet != "":
		return r.stop(Problem{Message: fmt.Sprintf("no workbook, so there is no sheet %q", r.Sheet)})
	}
	return r.openText(wide(file, head))
}

func (r *reader) openWorkbook(file io.Reader) error {
	text, err := io.ReadAll(io.LimitReader(file, maxWorkbook+1))
	if err != nil {
		return err
	}
	if len(text) > maxWorkbook {
		return r.stop(Problem{Message: fmt.Sprintf("a workbook of more than %d MiB", maxWorkbook>>20), Hint: "save the sheet as CSV"})
	}
	s, err := sheet.Read(text, r.Sheet)
	if err != nil {
		return r.stop(Problem{Message: err.Error()})
	}
	r.sheet = &sheetRows{Sheet: s}
	r.source, r.problems.sheet = r.sheet, true
	return nil
}

type sheetRows struct {
	*sheet.Sheet
	next int
}

func (s *sheetRows) Read() ([]string, error) {
	if s.next == len(s.Rows) {
		return nil, io.EOF
	}
	s.next++
	return s.Rows[s.next-1].Cells, nil
}

func (s *sheetRows) line() int { return s.row().Number }

func (s *sheetRows) row() *sheet.Row { return &s.Rows[s.next-1] }

// judge says what is wrong with the cell of a reading that no text file can have, or
// hands its comment on.
func (s *sheetRows) judge(column int) (note, complaint, hint string) {
	row := s.row()
	switch {
	case row.Merged[column]:
		return "", "part of a merged cell", "one reading or several? Split the cell"
	case row.Hidden:
		return "", "the row is hidden", "show it, or delete it"
	}
	return row.Notes[column], "", ""
}

// csvRows are the rows of a text file.
type csvRows struct {
	*csv.Reader
	skipped int // lines taken off before
}

func (c csvRows) line() int {
	line, _ := c.FieldPos(0)
	return line + c.skipped
}

func (r *reader) openText(source io.Reader) error {
	r.guard = &guard{source: source, line: 1, start: 1}
	text := bufio.NewReaderSize(r.guard, chunk)
	head, err := text.Peek(4)
	if len(head) == 0 && err != nil {
		return r.stop(err)
	}
	if bytes.HasPrefix(head, []byte("\ufeff")) {
		_, _ = text.Discard(3) // they have been peeked at
	}
	rows := csvRows{}
	first := firstLine(text)
	if mark, found := bytes.CutPrefix(first, []byte("sep=")); found && len(mark) == 1 {
		if r.Separator == 0 {
			r.Separator = rune(mark[0])
		}
		if _, err := text.ReadSlice('\n'); err != nil {
			return r.stop(err)
		}
		rows.skipped = 1
	}
	r.Separator = r.separator(first)
	rows.Reader = csv.NewReader(text)
	rows.Comma = r.Separator
	rows.Comment, rows.FieldsPerRecord, rows.ReuseRecord = commentMark, -1, true
	r.source = rows
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

// failed deals with what came instead of a row. A row that is not CSV is one
// problem more, anything else is the end.
func (r *reader) failed(err error, header bool) (done bool, failure error) {
	var syntax *csv.ParseError
	switch rows, isText := r.source.(csvRows); {
	case errors.As(err, &syntax) && isText:
		r.problems.add(Problem{Line: syntax.Line + rows.skipped, Message: strings.TrimPrefix(syntax.Err.Error(), "parse error: ")})
		return false, nil
	case errors.Is(err, io.EOF) && !header:
		return true, nil
	}
	return true, r.stop(err)
}

// wide returns the text in UTF-8 of a file in UTF-16, which is known by its byte order mark or by a NUL
// beside its first letter; other files pass.
func wide(file *bufio.Reader, head []byte) io.Reader {
	if len(head) < 2 {
		return file
	}
	switch {
	case head[0] == 0xff && head[1] == 0xfe, head[0] != 0 && head[1] == 0 && len(head) >= 4 && head[3] == 0:
		return &wideReader{file: file, order: binary.LittleEndian}
	case head[0] == 0xfe && head[1] == 0xff, head[0] == 0 && head[1] != 0 && len(head) >= 4 && head[2] == 0:
		return &wideReader{file: file, order: binary.BigEndian}
	}
	return file
}

// wideReader turns UTF-16 into UTF-8.
type wideReader struct {
	file  *bufio.Reader
	order binary.ByteOrder
	ready []byte   // text not yet handed on
	units []uint16 // the first of a surrogate pair, if that came last
	ended error
}

func (w *wideReader) Read(p []byte) (int, error) {
	for len(w.ready) == 0 {
		if w.ended != nil {
			return 0, w.ended
		}
		w.fill()
	}
	n := copy(p, w.ready)
	w.ready = w.ready[n:]
	return n, nil
}

// fill decodes some units; half of one, or of a pair, at the end becomes a replacement character.
func (w *wideReader) fill() {
	var raw [4096]byte
	n, err := io.ReadFull(w.file, raw[:])
	if w.ended = err; err == io.ErrUnexpectedEOF {
		w.ended = io.EOF
	}
	for i := 0; i+1 < n; i += 2 {
		w.units = append(w.units, w.order.Uint16(raw[i:]))
	}
	whole := len(w.units)
	half := whole > 0 && w.units[whole-1]&0xfc00 == 0xd800
	if half && w.ended == nil {
		whole-- // the other half may follow
	}
	text := utf16.Decode(w.units[:whole])
	if n%2 == 1 && !half {
		text = append(text, utf8.RuneError)
	}
	w.ready = []byte(string(text))
	w.units = append(w.units[:0], w.units[whole:]...)
}
