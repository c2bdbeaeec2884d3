package question

import (
	"clampodds/reports"
	"clampodds/reports/outside"
	"clampodds/testdata"
)

// OutsideChecks is the table of the outside checks that the program carries.
func OutsideChecks() (reports.Validation, error) {
	table, err := outside.Read(testdata.Validation)
	return reports.Validation{Table: table}, err
}
