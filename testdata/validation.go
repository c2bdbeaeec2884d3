// Package testdata carries the validation table into the program, for the
// reports.
package testdata

import _ "embed"

// Validation is VALIDATION.md.
//
//go:embed VALIDATION.md
var Validation string
