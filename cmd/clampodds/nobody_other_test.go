//go:build !linux

package main

import (
	"os"
	"testing"
)

// asNobody skips a test that the superuser cannot do.
func asNobody(t *testing.T, _ string) {
	t.Helper()
	if os.Geteuid() == 0 {
		t.Skip("the superuser may do all")
	}
}
