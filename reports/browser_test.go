package reports

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// program finds one of the programs. Without any it skips the test; where changes
// are judged, with CI set, it fails.
func program(t *testing.T, names ...string) string {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("CI") != "" {
		require.Fail(t, "missing program", "none of %v is installed", names)
	}
	t.Skipf("none of %v is installed: the page is not looked at in a browser", names)
	return ""
}

// shared is the browser of all tests, started by the first that needs it: a start
// costs as much as ten pages. TestMain stops it.
var shared struct {
	once sync.Once
	ctx  context.Context
	stop func()
	err  error
}

func TestMain(m *testing.M) {
	code := m.Run()
	if shared.stop != nil {
		shared.stop()
	}
	os.Exit(code)
}

// sharedBrowser is a browser without window, network services or a profile of
// its own; tabs open in it.
func sharedBrowser(t *testing.T) context.Context {
	t.Helper()
	path := program(t, "chromium", "chromium-browser", "google-chrome")
	shared.once.Do(func() {
		options := append(chromedp.DefaultExecAllocatorOptions[:],
			chromedp.ExecPath(path),
			chromedp.NoSandbox, // a container's root has no other way
			chromedp.DisableGPU,
			chromedp.Flag("disable-component-update", true),
			chromedp.Flag("disable-quic", true),
			chromedp.WindowSize(1300, 900),
		)
		allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
		browser, closeBrowser := chromedp.NewContext(allocator)
		shared.ctx, shared.stop = browser, func() { closeBrowser(); stop() }
		shared.err = chromedp.Do(browser)
	})
	require.NoError(t, shared.err)
	return shared.ctx
}

// tab is a page under the eyes of the test.
type tab struct {
	t   *testing.T
	ctx context.Context

	mu       sync.Mutex
	requests []string // addresses asked for
	problems []string // what the console says
}

// open shows a page from a file, after the given preparations.
func open(t *testing.T, page string, before ...chromedp.Action[chromedp.Void]) *tab {
	t.Helper()
	ctx, closeTab := chromedp.NewContext(sharedBrowser(t))
	t.Cleanup(closeTab)
	v := &tab{t: t, ctx: ctx}
	require.NoError(t, chromedp.Listen(ctx, v.note))
	require.NoError(t, chromedp.Do(ctx, append(before, chromedp.Navigate("file://"+page))...))
	return v
}

// note keeps what the page asks for and complains of.
func (v *tab) note(event any) {
	v.mu.Lock()
	defer v.mu.Unlock()
	switch e := event.(type) {
	case *network.EventRequestWillBeSent:
		v.requests = append(v.requests, e.Request.URL)
	case *runtime.EventConsoleAPICalled:
		v.problems = append(v.problems, fmt.Sprint(e.Type))
	case *runtime.EventExceptionThrown:
		v.problems = append(v.problems, e.ExceptionDetails.Text)
	case *log.EventEntryAdded:
		v.problems = append(v.problems, e.Entry.Text)
	}
}

// seen is what was noted so far.
func (v *tab) seen() (requests, problems []string) {
	v.mu.Lock()
	defer v.mu.Unlock()
	return v.requests, v.problems
}

// ask evaluates an expression in the page.
func ask[T any](v *tab, expression string) T {
	v.t.Helper()
	answer, err := chromedp.Run(v.ctx, chromedp.Evaluate[T](expression))
	require.NoError(v.t, err)
	return answer
}

// sheets prints the page and returns the text of each sheet.
func (v *tab) sheets(paper chromedp.PaperSize) []string {
	v.t.Helper()
	reader := program(v.t, "pdftotext")
	pdf, err := chromedp.Run(v.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(paper)))
	require.NoError(v.t, err)
	command := exec.CommandContext(v.t.Context(), reader, "-layout", "-", "-")
	command.Stdin = bytes.NewReader(pdf)
	text, err := command.Output()
	require.NoError(v.t, err)
	sheets := strings.Split(string(text), "\f")
	return sheets[:len(sheets)-1]
}

// pageFile writes a document as a page into a folder of the test.
func pageFile(t *testing.T, d Document) string {
	t.Helper()
	var html bytes.Buffer
	require.NoError(t, WriteHTML(&html, d))
	return textFile(t, html.String())
}

func textFile(t *testing.T, text string) string {
	t.Helper()
	page := filepath.Join(t.TempDir(), "index.html")
	require.NoError(t, os.WriteFile(page, []byte(text), 0o644))
	return page
}

// The test sees what it looks for: a request to elsewhere, a message, an error.
func TestBrowserSeesRequestsAndErrors(t *testing.T) {
	page := textFile(t, `<title>x</title><img src="file:///nowhere/a.png"><script>console.log("hello"); missing()</script>`)
	requests, problems := open(t, page).seen()
	assert.Equal(t, []string{"file://" + page, "file:///nowhere/a.png"}, requests)
	assert.GreaterOrEqual(t, len(problems), 3, "%v", problems)
}
