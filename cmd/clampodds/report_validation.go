package main

import (
	"fmt"
	"strings"

	"clampodds/reports"
	"clampodds/testdata"
)

// validationSummary counts the outside checks of each section of the validation
// table.
func validationSummary() *reports.Table {
	t := &reports.Table{Key: "validation", Caption: "Outside checks by part of the model", Columns: []reports.Column{{Head: "part"}, {Head: "checks, all within tolerance", Number: true}}}
	for _, section := range strings.Split(testdata.Validation, "\n## ")[1:] {
		name, rest, _ := strings.Cut(section, "\n")
		rows := strings.Count(rest, "\n|") - 2 // the heads and the line of dashes
		t.AddRow(name, fmt.Sprint(rows))
	}
	return t
}
