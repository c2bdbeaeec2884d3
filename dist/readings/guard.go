package readings

import (
	"bytes"
	"fmt"
	"io"
	"regexp"
)

// Bounds on what is read, so that a wrong file is refused and does not fill the
// memory. A row is everything up to a line end outside quotes.
const (
	maxRowBytes = 1 << 18
	maxColumns  = 1 << 14 // what a spreadsheet can have
	maxReadings = 20_000_000
	maxGroups   = 100_000
)

// guard passes a text file on and stops it with a Problem at a NUL byte or at a row
// that does not end.
type guard struct {
	source   io.Reader
	line     int // of the next byte, from 1
	start    int // line of the first byte of the row
	length   int // bytes of the row so far
	inQuotes bool
	comment  bool  // quotes in a comment line mean nothing
	failed   error // what ended the file; it is repeated, because a peek forgets it
	hidden   Problems
	mark     []byte // start of a comment line
}

// Read passes on what the source gives, up to the first problem.
func (g *guard) Read(p []byte) (int, error) {
	if g.failed != nil {
		return 0, g.failed
	}
	n, err := g.source.Read(p)
	g.failed = err
	defer func() {
		if err != nil { // the last line may have no end
			g.judgeComment()
		}
	}()
	for rest := p[:n]; len(rest) > 0; {
		end := bytes.IndexByte(rest, '\n') + 1
		piece := rest
		if end > 0 {
			piece = rest[:end]
		}
		if problem := g.check(piece); problem != nil {
			g.failed = *problem
			return 0, g.failed
		}
		rest = rest[len(piece):]
	}
	return n, err
}

func (g *guard) check(piece []byte) *Problem {
	if g.length == 0 {
		g.start, g.comment = g.line, piece[0] == commentMark
	}
	if bytes.IndexByte(piece, 0) >= 0 {
		return &Problem{
			Line: g.line, Message: "holds a NUL byte: this is no text file",
			Hint: "save it as CSV in UTF-8",
		}
	}
	if g.length += len(piece); g.length > maxRowBytes {
		return &Problem{
			Line: g.start, Message: fmt.Sprintf("the row that starts here is longer than %d bytes", maxRowBytes),
			Hint: "far too many columns, a quote that is not closed, or line ends that are neither LF nor CRLF?",
		}
	}
	if !g.comment && bytes.Count(piece, []byte{'"'})%2 == 1 {
		g.inQuotes = !g.inQuotes
	}
	if g.comment {
		g.mark = append(g.mark, piece[:min(len(piece), longestMark-len(g.mark))]...)
	}
	if piece[len(piece)-1] == '\n' {
		g.judgeComment()
		g.line++
		if !g.inQuotes {
			g.length = 0
		}
	}
	return nil
}

const longestMark = 24

// hiddenRow is the first cell of a row of a table, an error of a spreadsheet, a
// number or a header: "#REF!", "#N/A", "#12", "#".
var hiddenRow = regexp.MustCompile(`^#(?:[0-9\p{Lu}/!?]+(?:[,;|\t\r\n]|$)|[,;|])`)

// judgeComment looks at the start of a comment line: a row of the table is not to be
// lost because it starts with the mark.
func (g *guard) judgeComment() {
	if cell := hiddenRow.Find(g.mark); cell != nil {
		g.hidden.add(Problem{
			Line: g.line, Column: 1, Value: string(bytes.TrimRight(cell, ",;|\t\r\n")), Message: "an error of the spreadsheet, or a row taken for a comment",
			Hint: "a comment has a blank behind #; no other line starts with it",
		})
	}
	g.mark = g.mark[:0]
}
