package terminal

import (
	"bytes"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Lines of a log: the first after ten seconds, then rarer, at last every five minutes.
func TestPlainLinesBecomeRare(t *testing.T) {
	var now time.Time
	p := pace{began: now, next: firstLine}
	var at []int
	for range 8 {
		in, _ := p.due(now)
		now = now.Add(in)
		in, since := p.due(now)
		assert.Zero(t, in)
		p.told(since)
		at = append(at, int(since.Seconds()))
	}
	assert.Equal(t, []int{10, 20, 40, 80, 160, 320, 620, 920}, at)
	assert.Equal(t, "cards: 12000 of 60000, 1m20s", told("cards", 12000, 60000, 80*time.Second))
	assert.Equal(t, "drivers: working, 10s", told("drivers", 0, 0, 10*time.Second))
}

// A line is written once it is due, whatever phase is at work; quiet, and a stream that is no file, have none.
func TestPlainProgress(t *testing.T) {
	show, clear := Progress(&bytes.Buffer{}, false, "cards")
	assert.Nil(t, show)
	clear()
	read, write, err := os.Pipe()
	require.NoError(t, err)
	defer read.Close()
	show, clear = Progress(write, true, "cards")
	assert.Nil(t, show)
	clear()

	before := lines.began
	defer func() { lines.began, lines.next = before, firstLine }()
	lines.began = time.Now().Add(-2 * firstLine)
	show, clear = Progress(Messages{write}, false, "cards")
	show(3, 7)
	text := make([]byte, 100)
	n, err := read.Read(text) // waits for the line
	require.NoError(t, err)
	assert.Regexp(t, `^cards: (working|3 of 7), \d+`, string(text[:n]))
	clear()
	clear()
}
