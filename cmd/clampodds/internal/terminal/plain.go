package terminal

import (
	"fmt"
	"io"
	"sync"
	"time"
)

// The first line of a log comes after some seconds, the others at twice the time of the one before, and not later than some
// minutes after it: a log stays short, and who watches it for life sees some.
const (
	firstLine  = 10 * time.Second
	latestLine = 5 * time.Minute
)

// pace says when lines are due; all phases of the program have one, so that short ones that follow one another are told too.
type pace struct {
	mu    sync.Mutex
	began time.Time
	next  time.Duration // since then
}

var lines = pace{began: time.Now(), next: firstLine}

// due is how long it is until a line is wanted, and the time since the beginning.
func (p *pace) due(now time.Time) (in, since time.Duration) {
	p.mu.Lock()
	defer p.mu.Unlock()
	since = now.Sub(p.began)
	return p.next - since, since
}

// told notes a line.
func (p *pace) told(since time.Duration) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.next = since + min(since, latestLine)
}

// plain shows the progress in lines, for logs and pipes. Commands that are done in some seconds have none.
func plain(to io.Writer, what string) (show func(done, total int64), clear func()) {
	var mu sync.Mutex
	var done, total int64
	ended, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		for {
			in, _ := lines.due(time.Now())
			select {
			case <-ended:
				return
			case <-time.After(in):
			}
			in, since := lines.due(time.Now())
			if in > 0 {
				continue // another phase has told
			}
			mu.Lock()
			text := told(what, done, total, since)
			mu.Unlock()
			fmt.Fprintln(to, text)
			lines.told(since)
		}
	}()
	show = func(d, t int64) {
		mu.Lock()
		defer mu.Unlock()
		done, total = d, t
	}
	return show, sync.OnceFunc(func() { close(ended); <-stopped })
}

// told is one line: what is at work, how far it is, and for how long the program runs.
func told(what string, done, total int64, since time.Duration) string {
	at := "working"
	if total > 0 {
		at = fmt.Sprintf("%d of %d", done, total)
	}
	return fmt.Sprintf("%s: %s, %s", what, at, since.Round(time.Second))
}
