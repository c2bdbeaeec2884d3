// Package outside holds the outside checks as data: what a source says, what this
// build obtained, and what to make of it. Tests write the table
// (reports/validation), the program carries and shows it.
package outside

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
)

// Schema names the form of the JSON of the outside checks.
const Schema = "clampodds.validation/1"

// Standing says how firmly the expected value is known.
type Standing string

// The standings a check can have.
const (
	Published  Standing = "published"
	Computed   Standing = "computed from the stated equation"
	FromMemory Standing = "from memory"
	Practice   Standing = "common practice, no source"
)

// Agreement is what a check came to.
type Agreement string

// The verdicts. A check that differs is a miss that is known and shown.
const (
	Agrees      Agreement = "agrees"
	Differs     Agreement = "differs"
	NotComputed Agreement = "not computed"
)

// Check is one outside check, its numbers rounded to six digits: more would tie
// them to one processor's rounding.
type Check struct {
	Name     string   `json:"name"`   // what is checked, with its inputs
	Source   string   `json:"source"` // document, table or equation, year; or program and version
	Standing Standing `json:"standing"`
	Unit     string   `json:"unit"` // of the expected and the obtained value; empty for a pure number
	// Low and High are the source's range, alike where it gives one number.
	Low      float64  `json:"expected_low"`
	High     float64  `json:"expected_high"`
	Obtained *float64 `json:"obtained"` // nil where the tool cannot compute it
	// Tolerance is what the source, or the sampling, leaves open, in words.
	Tolerance string    `json:"tolerance,omitempty"`
	Agreement Agreement `json:"verdict"`
	// Why is the reason of the tolerance, of the miss, or of what is not computed.
	Why string `json:"why"`
	// NoWorse is the factor that the tests hold a miss to.
	NoWorse float64 `json:"no_worse_than,omitempty"`
}

// Nearest is the expected value that the obtained one is compared with: itself
// inside a range, else the nearer end.
func (c Check) Nearest() float64 { return min(max(*c.Obtained, c.Low), c.High) }

// Ratio is the obtained value over the expected one (Nearest), 1 inside a range.
// It is NaN where there is no ratio: not computed, or no two numbers of one sign.
func (c Check) Ratio() float64 {
	if c.Obtained == nil {
		return math.NaN()
	}
	if expected := c.Nearest(); *c.Obtained*expected > 0 {
		return *c.Obtained / expected
	}
	return math.NaN()
}

// Miss is how far off the obtained value is, as a factor of 1 or more; infinite
// where there is no ratio.
func (c Check) Miss() float64 {
	r := c.Ratio()
	if math.IsNaN(r) {
		return math.Inf(1)
	}
	return max(r, 1/r)
}

// Section is the checks of one part of the model.
type Section struct {
	Name   string  `json:"name"`
	Checks []Check `json:"checks"`
}

// Count is how many checks of the section came to v.
func (s Section) Count(v Agreement) (n int) {
	for _, c := range s.Checks {
		if c.Agreement == v {
			n++
		}
	}
	return n
}

// Table is every outside check.
type Table struct {
	Schema   string    `json:"schema"`
	Sections []Section `json:"sections"`
}

// Read reads what Encode wrote.
func Read(text []byte) (Table, error) {
	var t Table
	if err := json.Unmarshal(text, &t); err != nil {
		return Table{}, fmt.Errorf("outside checks: %w", err)
	}
	if t.Schema != Schema {
		return Table{}, fmt.Errorf("outside checks: schema %q, want %q", t.Schema, Schema)
	}
	return t, nil
}

// Encode writes the table as JSON.
func (t Table) Encode() ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	err := e.Encode(t)
	return b.Bytes(), err
}

// Section returns the section of that name, nil where there is none.
func (t Table) Section(name string) *Section {
	for i := range t.Sections {
		if t.Sections[i].Name == name {
			return &t.Sections[i]
		}
	}
	return nil
}

// Put replaces the section of that name, or appends it.
func (t *Table) Put(s Section) {
	if old := t.Section(s.Name); old != nil {
		*old = s
		return
	}
	t.Sections = append(t.Sections, s)
}
