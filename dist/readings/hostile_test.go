package readings

import (
	"bytes"
	"io"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// endless gives a start and then the same piece again and again, and counts.
type endless struct {
	start, piece string
	given        int
}

func (e *endless) Read(p []byte) (int, error) {
	n := copy(p, e.start)
	e.start = e.start[n:]
	for n < len(p) {
		n += copy(p[n:], e.piece)
	}
	e.given += n
	return n, nil
}

// A file that never ends a row is given up after 256 KiB, whatever it is made of.
func TestEndlessRowIsRefused(t *testing.T) {
	const want = "the row that starts here is longer than 262144 bytes (far too many columns, a quote that is not closed, or line ends that are neither LF nor CRLF?)"
	for name, c := range map[string]struct {
		source endless
		line   string
	}{
		"one line":              {endless{piece: "1"}, "line 1: "},
		"columns without end":   {endless{piece: ","}, "line 1: "},
		"a quote without end":   {endless{start: "a\n1\n\"", piece: "x\n"}, "line 3: "},
		"a comment without end": {endless{start: "#", piece: "x"}, "line 1: "},
		"old line ends":         {endless{start: "a\r", piece: "1\r"}, "line 1: "},
	} {
		t.Run(name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			_, err := Read(&c.source, Options{})
			runtime.ReadMemStats(&after)
			assert.EqualError(t, err, c.line+want)
			assert.Less(t, c.source.given, 1<<20, "bytes read before giving up")
			// A row of nothing but separators is the worst: 256 Ki cells, and the copies
			// made while their tables grew.
			assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(64<<20), "bytes allocated")
		})
	}
}

func TestTooManyColumnsAreRefused(t *testing.T) {
	_, err := Read(strings.NewReader(strings.Repeat("a,", 20_000)+"\n"), Options{Column: "a"})
	assert.EqualError(t, err, "line 1: 20001 columns, at most 16384 are read")
}

func TestTooManyReadingsAreRefused(t *testing.T) {
	source := io.MultiReader(strings.NewReader("a\n"), &endless{piece: "1\n"})
	_, err := (&reader{most: chunk + 5}).read(source)
	assert.EqualError(t, err, "line 65543: more than 65541 readings")
}

func TestTooManyGroupsAreRefused(t *testing.T) {
	var b bytes.Buffer
	b.WriteString("a,g\n")
	for i := range maxGroups + 1 {
		b.WriteString("1,")
		for n := i; ; n /= 26 {
			b.WriteByte(byte('a' + n%26))
			if n < 26 {
				break
			}
		}
		b.WriteByte('\n')
	}
	_, err := Read(&b, Options{Column: "a", Group: "g"})
	assert.ErrorContains(t, err, "more than 100000 groups")
}

// A quote in a comment opens nothing, however much follows.
func TestQuoteInACommentOfALongFile(t *testing.T) {
	text := "# a 5\" tool\na\n" + strings.Repeat("1\n", maxRowBytes)
	table, err := Read(strings.NewReader(text), Options{})
	assert.NoError(t, err)
	assert.Len(t, table.Values, maxRowBytes)
}
