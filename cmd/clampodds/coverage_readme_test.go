//go:build coverage

package main

import (
	"strings"
	"testing"
)

// The commands of the README that judge a mission; those that judge several take minutes: make readme.
// The study of one's own is written first.
func TestReadmeDecisionsAreWhatItShows(t *testing.T) {
	readme(t, func(command string) bool {
		return strings.HasPrefix(command, "clampodds run ") || strings.HasPrefix(command, "clampodds new ")
	})
}
