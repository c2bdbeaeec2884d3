package main

import (
	"clampodds/reports"
	"clampodds/reports/outside"
	"clampodds/testdata"
)

// outsideChecks is the table of the outside checks that the program carries.
func outsideChecks() (reports.Validation, error) {
	table, err := outside.Read(testdata.Validation)
	return reports.Validation{Table: table}, err
}
