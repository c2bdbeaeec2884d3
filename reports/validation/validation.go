// Package validation holds the outside checks together: each package lists its
// cases with their sources in a test, and the table testdata/VALIDATION.md shows
// every one of them with what this build obtained.
//
// It is imported by tests only.
package validation

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite testdata/VALIDATION.md and golden files")

// Updating reports whether -update was given.
func Updating() bool { return *update }

// Standing says how firmly the expected value is known.
type Standing string

// The standings a case can have.
const (
	Published  Standing = "published"
	Computed   Standing = "computed from the stated equation"
	FromMemory Standing = "from memory"
	Practice   Standing = "common practice, no source"
)

// Case is one outside check.
type Case struct {
	Name     string // what is checked, with its inputs
	Source   string // document, table or equation, year; or program and version
	Standing Standing
	Unit     string // unit of Expected and Obtained; empty for a pure number
	Expected float64
	Obtained float64
	// Exactly one tolerance is set; Factor means within x/÷ Factor.
	Relative float64
	Absolute float64
	Factor   float64
	Reason   string // why the tolerance is what it is
}

// passes reports whether the obtained value is inside the tolerance.
func (c Case) passes() bool {
	switch {
	case c.Factor > 0:
		return c.Obtained >= c.Expected/c.Factor && c.Obtained <= c.Expected*c.Factor
	case c.Relative > 0:
		return math.Abs(c.Obtained-c.Expected) <= c.Relative*math.Abs(c.Expected)
	default:
		return math.Abs(c.Obtained-c.Expected) <= c.Absolute
	}
}

// tolerance is the tolerance in words.
func (c Case) tolerance() string {
	switch {
	case c.Factor > 0:
		return fmt.Sprintf("x/÷ %g", c.Factor)
	case c.Relative > 0:
		return fmt.Sprintf("%.2g relative", c.Relative)
	default:
		return fmt.Sprintf("%.2g", c.Absolute)
	}
}

// Check fails t for every case outside its tolerance and holds the cases
// against their section of testdata/VALIDATION.md, which -update rewrites
// (run the packages one at a time then: go test -p 1 ./... -update).
func Check(t *testing.T, section string, cases []Case) {
	t.Helper()
	for _, c := range cases {
		if !c.passes() {
			t.Errorf("%s: obtained %.10g %s, expected %.10g within %s (%s)",
				c.Name, c.Obtained, c.Unit, c.Expected, c.tolerance(), c.Source)
		}
	}
	path := tablePath()
	old, err := os.ReadFile(path)
	if err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	want := render(cases)
	if *update {
		if err := os.WriteFile(path, []byte(replaceSection(string(old), section, want)), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if !strings.Contains(string(old), wrap(section, want)) {
		t.Errorf("section %q of testdata/VALIDATION.md is out of date: look at the change, then run the test with -update", section)
	}
}

// tablePath finds the table from the root of the module, above the folder that a
// test runs in, so that every package's test writes the same one.
func tablePath() string {
	root := "."
	for range 10 {
		if _, err := os.Stat(filepath.Join(root, "go.mod")); err == nil {
			break
		}
		root = filepath.Join(root, "..")
	}
	return filepath.Join(root, "testdata", "VALIDATION.md")
}

const preamble = "# Validation\n\nEvery outside check of this build: the value a source gives and the value obtained.\nWritten by the tests (`make validation`), compared by them otherwise.\n"

func render(cases []Case) string {
	var b strings.Builder
	b.WriteString("| case | source | standing | expected | obtained | tolerance | why this tolerance |\n|---|---|---|---|---|---|---|\n")
	for _, c := range cases {
		// Six digits are shown: more would tie the table to one processor's rounding.
		fmt.Fprintf(&b, "| %s | %s | %s | %.6g %s | %.6g %s | %s | %s |\n", c.Name, c.Source, c.Standing,
			c.Expected, c.Unit, c.Obtained, c.Unit, c.tolerance(), c.Reason)
	}
	return b.String()
}

func wrap(section, body string) string {
	return "\n## " + section + "\n\n" + body
}

func replaceSection(old, section, body string) string {
	if old == "" {
		old = preamble
	}
	head := "\n## " + section + "\n"
	start := strings.Index(old, head)
	if start < 0 {
		return old + wrap(section, body)
	}
	end := strings.Index(old[start+1:], "\n## ")
	if end < 0 {
		return old[:start] + wrap(section, body)
	}
	return old[:start] + wrap(section, body) + old[start+1+end:]
}
