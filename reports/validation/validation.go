// Package validation holds the outside checks together: each package lists its
// cases with their sources in a test, and the table testdata/validation.json keeps
// every one of them with what this build obtained.
//
// A case is held twice. Its verdict is in the test's source: inside what the source
// leaves open it agrees; outside it must say why it differs and how far it may.
// And the value obtained must be the one in the table, see held.
//
// It is imported by tests only.
package validation

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"clampodds/reports/outside"
)

var update = flag.Bool("update", false, "rewrite testdata/validation.json and golden files")

// Updating reports whether -update was given.
func Updating() bool { return *update }

// Standing says how firmly the expected value is known.
type Standing = outside.Standing

// The standings a case can have.
const (
	Published  = outside.Published
	Computed   = outside.Computed
	FromMemory = outside.FromMemory
	Practice   = outside.Practice
)

// Case is one outside check.
type Case struct {
	Name     string // what is checked, with its inputs
	Source   string // document, table or equation, year; or program and version
	Standing Standing
	Unit     string // unit of the expected and the obtained value; empty for a pure number
	Expected float64
	// Low and High are the source's range, in place of Expected and a tolerance.
	Low, High float64
	Obtained  float64
	// What the source, or the sampling, leaves open; exactly one is set where there
	// is no range. Factor means within x/÷ Factor.
	Relative float64
	Absolute float64
	Factor   float64
	Reason   string // why the tolerance is what it is; what to know of a range

	// Differs says why a value outside the tolerance is left as it is.
	Differs string
	// NoWorse is the factor by which such a value may be off at most.
	NoWorse float64

	// Absent says why the tool cannot compute a row of a table that is used.
	Absent string
}

const (
	// widest is the widest Factor: two sources of one quantity that is known to 25 %.
	// A wider one would pass what a reader calls a miss.
	widest = 1.25
	// slack is how far NoWorse may lie above the miss. Closer, it would break on
	// every change of an input's data; further, it would let the miss grow unseen.
	slack = 1.25
	// held is how far an obtained value may be off the table's, relative to it or to
	// the expected value: inputs and seeds are fixed, so what is left is the table's six
	// digits and the rounding of another processor.
	held = 1e-5
)

// ranged reports whether the source gives a range.
func (c Case) ranged() bool { return c.High != 0 }

// passes reports whether the obtained value is inside what the source leaves open.
func (c Case) passes() bool {
	switch {
	case c.ranged():
		return c.Obtained >= c.Low && c.Obtained <= c.High
	case c.Factor > 0:
		return c.Obtained >= c.Expected/c.Factor && c.Obtained <= c.Expected*c.Factor
	case c.Relative > 0:
		return math.Abs(c.Obtained-c.Expected) <= c.Relative*math.Abs(c.Expected)
	default:
		return math.Abs(c.Obtained-c.Expected) <= c.Absolute
	}
}

func (c Case) tolerance() string {
	switch {
	case c.Absent != "":
		return ""
	case c.ranged():
		return "the range"
	case c.Factor > 0:
		return fmt.Sprintf("x/÷ %g", c.Factor)
	case c.Relative > 0:
		return fmt.Sprintf("%.2g relative", c.Relative)
	default:
		return fmt.Sprintf("%.2g", c.Absolute)
	}
}

// check is the case as the table keeps it.
func (c Case) check() outside.Check {
	out := outside.Check{
		Name: c.Name, Source: c.Source, Standing: c.Standing, Unit: c.Unit, Low: rounded(c.Expected), High: rounded(c.Expected),
		Tolerance: c.tolerance(), Agreement: outside.Agrees, Why: c.Reason, NoWorse: c.NoWorse,
	}
	if c.ranged() {
		out.Low, out.High = rounded(c.Low), rounded(c.High)
	}
	switch {
	case c.Absent != "":
		out.Agreement, out.Why = outside.NotComputed, c.Absent
		return out
	case c.Differs != "":
		out.Agreement, out.Why = outside.Differs, c.Differs
	}
	obtained := rounded(c.Obtained)
	out.Obtained = &obtained
	return out
}

// problem says what is wrong with the case, nil where nothing is.
func (c Case) problem() error {
	if c.Absent != "" {
		return nil
	}
	off := c.check().Miss()
	switch inside := c.passes(); {
	case c.Factor > widest:
		return fmt.Errorf("a tolerance of x/÷ %g says nothing: give the source's range, or what the source leaves open, %g at most, and say that it differs", c.Factor, widest)
	case inside && c.Differs != "":
		return fmt.Errorf("obtained %.10g %s agrees now: take Differs and NoWorse out", c.Obtained, c.Unit)
	case !inside && c.Differs == "":
		return fmt.Errorf("obtained %.10g %s, expected %s within %s", c.Obtained, c.Unit, c.expected(), c.tolerance())
	case !inside && !(off <= c.NoWorse): // not a number is worse
		return fmt.Errorf("obtained %.10g %s is off by a factor of %.3g, more than the %g it is held to", c.Obtained, c.Unit, off, c.NoWorse)
	case !inside && c.NoWorse > slack*off:
		return fmt.Errorf("obtained %.10g %s is off by a factor of %.3g only: hold it to less than %g", c.Obtained, c.Unit, off, c.NoWorse)
	}
	return nil
}

func (c Case) expected() string {
	if c.ranged() {
		return fmt.Sprintf("%g to %g", c.Low, c.High)
	}
	return fmt.Sprintf("%.10g", c.Expected)
}

// Check fails t for every case whose verdict is not the one its test states, and
// holds the cases against their section of testdata/validation.json, which -update
// rewrites (`make validation`).
func Check(t *testing.T, section string, cases []Case) {
	t.Helper()
	now := outside.Section{Name: section}
	for _, c := range cases {
		if err := c.problem(); err != nil {
			t.Errorf("%s (%s): %v", c.Name, c.Source, err)
		}
		now.Checks = append(now.Checks, c.check())
	}
	path := tablePath(t)
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	table, err := outside.Read(text)
	if err != nil {
		t.Fatal(err)
	}
	if !*update {
		for _, problem := range moved(table.Section(section), now) {
			t.Errorf("section %q of testdata/validation.json: %s; look at the change, then run make validation", section, problem)
		}
		return
	}
	table.Put(now)
	if text, err = table.Encode(); err == nil {
		err = os.WriteFile(path, text, 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// moved lists the checks that are not as the table has them.
func moved(before *outside.Section, now outside.Section) (problems []string) {
	if before == nil {
		return []string{"it is not there"}
	}
	if len(before.Checks) != len(now.Checks) {
		return []string{fmt.Sprintf("it has %d checks, now %d", len(before.Checks), len(now.Checks))}
	}
	for i, c := range now.Checks {
		old := before.Checks[i]
		if old.Obtained != nil && c.Obtained != nil {
			room := held * max(math.Abs(*old.Obtained), math.Abs(c.Nearest()))
			if math.Abs(*c.Obtained-*old.Obtained) > room {
				problems = append(problems, fmt.Sprintf("%s: %.6g before, %.6g now", c.Name, *old.Obtained, *c.Obtained))
				continue
			}
			c.Obtained = old.Obtained // the same number; what else changed?
		}
		if c != old {
			problems = append(problems, c.Name+": its words or its expected value changed")
		}
	}
	return problems
}

// tablePath finds the table from the folder the test runs in, that of its package.
// (The path of this source file will not do: -trimpath cuts it.)
func tablePath(t *testing.T) string {
	t.Helper()
	folder, err := os.Getwd()
	for ; err == nil; folder = filepath.Dir(folder) {
		if _, err := os.Stat(filepath.Join(folder, "go.mod")); err == nil {
			return filepath.Join(folder, "testdata", "validation.json")
		}
		if folder == filepath.Dir(folder) {
			break
		}
	}
	t.Fatal("the folder of go.mod is not above the test's")
	return ""
}

// rounded is x to the six digits that the table keeps.
func rounded(x float64) float64 {
	y, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 6, 64), 64)
	if err != nil {
		return x // infinite or no number
	}
	return y
}
