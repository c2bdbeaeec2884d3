package main

import (
	"testing"

	"clampodds/reports/validation"
)

// The story of a supplier's request: all but the change, which takes a minute: make readme.
func TestStoryOfARequest(t *testing.T) {
	long(t)
	readmeIn(t, "testdata/studies", func(command string) bool { return validation.Updating() || !decides(command) })
}
