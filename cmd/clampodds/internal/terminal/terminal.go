// Package terminal is what stands between the program and a terminal: lines as wide as it is,
// control characters shown and not obeyed, and how far the work is.
package terminal

import (
	"errors"
	"io"
	"os"
	"strconv"
	"strings"
	"syscall"
	"unicode"

	"golang.org/x/term"
)

// Output is standard output, which remembers that something was not written: not every line that
// the program or the parser of the command line prints is asked for its error. A reader that
// went early, such as head, has what it wanted: that is no failure.
type Output struct {
	io.Writer
	Failed error
}

func (s *Output) Write(p []byte) (int, error) {
	n, err := s.Writer.Write(p)
	if errors.Is(err, syscall.EPIPE) {
		return len(p), nil
	}
	if err != nil && s.Failed == nil {
		s.Failed = err
	}
	return n, err
}

// Messages is standard error. A terminal obeys control characters, and file names may hold them:
// they are shown as "\x1b".
type Messages struct{ io.Writer }

func (m Messages) Write(p []byte) (int, error) {
	if _, err := io.WriteString(m.Writer, Visible(string(p))); err != nil {
		return 0, err
	}
	return len(p), nil
}

// Visible shows the control characters of a text, line ends aside.
func Visible(text string) string {
	return Escaped(text, func(r rune) string { return strings.Trim(strconv.QuoteRuneToASCII(r), "'") })
}

// Escaped replaces the characters of a text that a terminal obeys, line ends aside.
func Escaped(text string, as func(rune) string) string {
	obeyed := func(r rune) bool {
		return r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r))
	}
	if strings.IndexFunc(text, obeyed) < 0 {
		return text
	}
	var b strings.Builder
	for _, r := range text {
		if obeyed(r) {
			b.WriteString(as(r))
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// file is the file that a stream ends in; nil where tests catch it.
func file(w io.Writer) *os.File {
	switch w := w.(type) {
	case *Output:
		return file(w.Writer)
	case Messages:
		return file(w.Writer)
	case *os.File:
		return w
	}
	return nil
}

// Width is the terminal's width in columns, or 100 where there is none, so
// that piped text has readable lines.
func Width(w io.Writer) int {
	if f := file(w); f != nil {
		if columns, _, err := term.GetSize(int(f.Fd())); err == nil && columns >= 40 {
			return columns
		}
	}
	return 100
}

// Is reports whether w ends in a terminal.
func Is(w io.Writer) bool {
	f := file(w)
	return f != nil && term.IsTerminal(int(f.Fd()))
}
