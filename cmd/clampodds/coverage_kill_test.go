//go:build coverage

package main

import "testing"

// As TestKilledRunsGoOn, more often.
func TestKilledRunsGoOnManyTimes(t *testing.T) { killed(t, 40) }
