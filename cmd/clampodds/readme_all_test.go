//go:build readme

package main

import "testing"

func TestAllOfTheReadme(t *testing.T) {
	readme(t, func(string) bool { return true })
}

// From incoming inspection to the record.
func TestAllOfTheStory(t *testing.T) {
	readmeIn(t, "testdata/studies", func(string) bool { return true })
}
