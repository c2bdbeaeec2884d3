//go:build coverage

package main

import (
	"strings"
	"testing"
)

// The study of one's own is written first: later commands judge it.
func TestReadmeDecisionsAreWhatItShows(t *testing.T) {
	readme(t, func(command string) bool { return decides(command) || strings.HasPrefix(command, "clampodds new ") })
}

// All of the story, from incoming inspection to the record.
func TestStoryOfARequestToItsEnd(t *testing.T) {
	readmeIn(t, "testdata/studies", func(string) bool { return true })
}
