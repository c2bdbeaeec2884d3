package terminal

import (
	"fmt"
	"io"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
)

// Progress returns a function that shows how far a run is, for sim's Progress
// hook, and one that clears the line. A command may run several times; each run
// starts the bar anew, on the same line. While nothing is counted for longer than a second the
// line says so, with the time since. Where stderr is no terminal a plain line comes now and then. Nothing is shown
// where the user has asked for quiet.
func Progress(stderr io.Writer, quiet bool, what string) (show func(done, total int64), clear func()) {
	switch {
	case quiet || file(stderr) == nil:
		return nil, func() {}
	case !Is(stderr):
		return plain(stderr, what)
	}
	l := &progressLine{to: file(stderr), what: what, last: time.Now(), ended: make(chan struct{})}
	go l.watch()
	return l.show, l.clear
}

// quietFor is how long nothing is counted before the line says that work goes on.
const quietFor = time.Second

// progressLine is the line of one phase.
type progressLine struct {
	to    io.Writer
	what  string
	ended chan struct{}
	once  sync.Once

	mu    sync.Mutex
	bar   *progressbar.ProgressBar // nil while nothing is counted
	shown int64
	total int64     // 0 while nothing is counted
	last  time.Time // when something was counted
	over  bool
	wide  int // characters that stand on the line without a bar
}

// show is told what was counted.
func (l *progressLine) show(done, total int64) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.over {
		return
	}
	if l.bar == nil || done < l.shown {
		l.wipe()
		l.bar = progressbar.NewOptions64(total,
			progressbar.OptionSetWriter(l.to),
			progressbar.OptionSetDescription(l.what),
			progressbar.OptionShowCount(),
			progressbar.OptionThrottle(100*time.Millisecond),
			progressbar.OptionClearOnFinish())
	}
	l.shown, l.total, l.last = done, total, time.Now()
	_ = l.bar.Set64(done) // a bar that cannot be drawn is no reason to stop
}

// watch says from time to time that work goes on.
func (l *progressLine) watch() {
	tick := time.NewTicker(quietFor)
	defer tick.Stop()
	for {
		select {
		case <-l.ended:
			return
		case <-tick.C:
			l.goesOn(time.Since(l.start()))
		}
	}
}

func (l *progressLine) start() time.Time {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.last
}

// goesOn says how long nothing was counted.
func (l *progressLine) goesOn(since time.Duration) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.over || since < quietFor {
		return
	}
	l.wipe()
	text := l.what
	if l.total > 0 {
		text += fmt.Sprintf(" %d/%d", l.shown, l.total)
	}
	text += fmt.Sprintf(": working, %d s", int(since.Seconds()))
	l.wide = len(text)
	fmt.Fprint(l.to, "\r"+text)
}

// wipe leaves the line empty; the lock is held.
func (l *progressLine) wipe() {
	if l.bar != nil {
		_ = l.bar.Clear()
		l.bar = nil
	}
	if l.wide > 0 {
		fmt.Fprintf(l.to, "\r%*s\r", l.wide, "")
		l.wide = 0
	}
}

func (l *progressLine) clear() {
	l.once.Do(func() { close(l.ended) })
	l.mu.Lock()
	defer l.mu.Unlock()
	l.over = true
	l.wipe()
}
