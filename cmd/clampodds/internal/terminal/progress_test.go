package terminal

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// One line, whatever is shown on it: counts, that work goes on, and nothing when the phase is
// over.
func TestProgressKeepsToOneLine(t *testing.T) {
	var out bytes.Buffer
	l := &progressLine{to: &out, what: "cards", ended: make(chan struct{})}
	l.goesOn(300 * time.Millisecond)
	assert.Empty(t, out.String(), "a short silence says nothing")
	l.goesOn(3 * time.Second)
	assert.Contains(t, out.String(), "cards: working, 3 s")
	l.show(10, 100)
	l.goesOn(2 * time.Second)
	l.show(50, 100)
	l.clear()
	assert.NotContains(t, out.String(), "\n")
	at := strings.LastIndex(strings.TrimRight(out.String(), "\r"), "\r")
	assert.Empty(t, strings.TrimSpace(strings.ReplaceAll(out.String()[at:], "\x1b[K", "")), "the line is left empty")
	before := out.Len()
	l.show(60, 100)
	l.goesOn(5 * time.Second)
	l.clear()
	assert.Empty(t, strings.Trim(out.String()[before:], "\r "), "nothing after the end")
}
