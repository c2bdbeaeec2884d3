//go:build coverage

package main

import "testing"

func TestReadmeDecisionsAreWhatItShows(t *testing.T) { readme(t, decides) }
