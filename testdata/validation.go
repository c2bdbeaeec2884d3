// Package testdata carries the outside checks into the program.
package testdata

import _ "embed"

// Validation is the table of the outside checks (clampodds/reports/outside).
//
//go:embed validation.json
var Validation []byte
