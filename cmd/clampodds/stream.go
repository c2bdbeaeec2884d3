package main

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

// stream is standard output, which remembers that something was not written: not every line that
// the program or the parser of the command line prints is asked for its error. A reader that
// went early, such as head, has what it wanted: that is no failure.
type stream struct {
	io.Writer
	failed error
}

func (s *stream) Write(p []byte) (int, error) {
	n, err := s.Writer.Write(p)
	if errors.Is(err, syscall.EPIPE) {
		return len(p), nil
	}
	if err != nil && s.failed == nil {
		s.failed = err
	}
	return n, err
}

// messages is standard error. A terminal obeys control characters, and file names may hold them:
// they are shown as "\x1b".
type messages struct{ io.Writer }

func (m messages) Write(p []byte) (int, error) {
	if _, err := io.WriteString(m.Writer, visible(string(p))); err != nil {
		return 0, err
	}
	return len(p), nil
}

// visible shows the control characters of a text, line ends aside.
func visible(text string) string {
	return escaped(text, func(r rune) string { return strings.Trim(strconv.QuoteRuneToASCII(r), "'") })
}

// escaped replaces the characters of a text that a terminal obeys, line ends aside.
func escaped(text string, as func(rune) string) string {
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
	case *stream:
		return file(w.Writer)
	case messages:
		return file(w.Writer)
	case *os.File:
		return w
	}
	return nil
}

// width is the terminal's width in columns, or 100 where there is none, so
// that piped text has readable lines.
func width(w io.Writer) int {
	if f := file(w); f != nil {
		if columns, _, err := term.GetSize(int(f.Fd())); err == nil && columns >= 40 {
			return columns
		}
	}
	return 100
}

// isTerminal reports whether w is a terminal.
func isTerminal(w io.Writer) bool {
	f := file(w)
	return f != nil && term.IsTerminal(int(f.Fd()))
}
