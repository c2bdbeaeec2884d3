package main

import (
	"slices"
	"strings"
	"testing"

	"clampodds/reports/validation"
)

// The story of a supplier's request: all but the change and the report, which take minutes and run in the coverage suite.
func TestStoryOfARequest(t *testing.T) {
	long(t)
	readmeIn(t, "testdata/studies", func(command string) bool {
		return validation.Updating() || !slices.Contains([]string{"change", "report"}, strings.Fields(command)[1])
	})
}
