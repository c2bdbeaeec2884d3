//go:build coverage

package main

import "testing"

func TestReadmeDecisionsAreWhatItShows(t *testing.T) { readme(t, decides) }

// All of the story, from incoming inspection to the record.
func TestStoryOfARequestToItsEnd(t *testing.T) {
	readmeIn(t, "testdata/studies", func(string) bool { return true })
}
