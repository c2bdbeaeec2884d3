//go:build readme

package main

import "testing"

// The same question from each command, on the examples that the README shows; some minutes each.
func TestAllOfTheSameQuestion(t *testing.T) {
	for _, study := range []string{demo, finish, "../../testdata/studies/inch.toml", "../../testdata/studies/chassis.toml"} {
		t.Run(study, func(t *testing.T) {
			assertTheSameQuestion(t, study)
			assertTheReportSays(t, study)
		})
	}
}
