package reports

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTidyTableHasNumbersOnlyInItsNumbers(t *testing.T) {
	table := &Table{Key: "k", Caption: "c", Columns: []Column{{Head: "requirement"}, {Head: "limit", Number: true}, {Head: "per"}, {Head: "probability", Number: true}, {Head: "low", Number: true}, {Head: "high", Number: true}, {Head: "P50 [°C]", Number: true}, {Head: "verdict"}}}
	table.AddRow("edge, hot", "85 °C", "card", "7.2e-4", "4.4e-4", "1.11e-3", "71.2", "met")
	table.AddRow("", "", "chassis", "none seen", "0", "≤ 1.5e-4", "70.1 … 72.3", "")
	table.AddRow("screw", "1", "card", "1.1e-3 (1e-3 … 1.3e-3)", "", "", "∞", "undecided")
	assert.Equal(t, [][]string{
		{"requirement", "per", "verdict", "quantity", "value", "low", "high", "flag", "unit"},
		{"edge, hot", "card", "met", "limit", "85", "", "", "", "°C"},
		{"edge, hot", "card", "met", "probability", "7.2e-4", "4.4e-4", "1.11e-3", "", ""},
		{"edge, hot", "card", "met", "P50", "71.2", "70.1", "72.3", "", "°C"},
		{"edge, hot", "chassis", "", "probability", "0", "0", "1.5e-4", "none seen", ""},
		{"screw", "card", "undecided", "limit", "1", "", "", "", ""},
		{"screw", "card", "undecided", "probability", "1.1e-3", "1e-3", "1.3e-3", "", ""},
		{"screw", "card", "undecided", "P50", "", "", "", "∞", "°C"},
	}, table.tidy())
	assert.Equal(t, measured{value: "0.12", flag: "at most", unit: "in 1000"}, readCell("at most 0.12 in 1000"))
	assert.Equal(t, measured{low: "40.5", high: "47.5", unit: "W"}, readCell("40.5 … 47.5 W"))
	assert.Equal(t, measured{low: "75.69", flag: "high ∞"}, readCell("75.69 … ∞"), "no end is no number")
	assert.Equal(t, measured{value: "1.82"}, readCell("+1.82"))
	assert.Equal(t, measured{value: "80.3", unit: "%"}, readCell("80.3 %"))
	assert.Equal(t, measured{flag: "holds throughout"}, readCell("holds throughout"))

	for _, b := range appendix().Blocks {
		table, ok := b.(*Table)
		if !ok {
			continue
		}
		var text bytes.Buffer
		require.NoError(t, WriteTableCSV(&text, table))
		records, err := csv.NewReader(strings.NewReader(text.String())).ReadAll()
		require.NoError(t, err, "%s: as many fields in each record", table.Key)
		heads := records[0]
		for i, head := range heads {
			if head != "value" && head != "low" && head != "high" || heads[len(heads)-1] != "unit" {
				continue
			}
			for _, r := range records[1:] {
				assert.True(t, r[i] == "" || isNumber(r[i]), "%s: %q", table.Key, r[i])
			}
		}
	}
}

// The answer comes first in CSV, what it rests on behind it; without a limit of a temperature it comes with a caution.
func TestVerdictComesFirstInCSV(t *testing.T) {
	d := Decision{Verdict: "met", Requirement: "screw_stress", Label: "screw stress above 1", Condition: "aged", Target: 1e-3, PerCard: Estimate{Interval: Interval{Low: 1e-5, High: 3e-5}, Value: 2e-5}, NoTemperature: true}
	first := func(of *Decision) string {
		doc := Document{}
		doc.addDecision(of)
		doc.Add(newTable("requirements", "", texts("requirement")))
		var b strings.Builder
		require.NoError(t, WriteCSV(&b, doc))
		return b.String()
	}
	assert.Contains(t, first(&d), "alone,caution,requirement,condition,quantity,value,low,high,flag,unit\nmet,,yes,screw stress above 1,aged,probability,2.0e-5,1.0e-5,3.0e-5,,\nmet,,yes,screw stress above 1,aged,target,1e-3,,,,\n\nrequirements,")
	assert.Contains(t, d.Sentence(), "MET, with a caution")
	assert.Contains(t, d.caution(), "no temperature has a target")
	assert.Contains(t, first(&Decision{Verdict: "no target"}), "judged\nverdict\nno target\n\nrequirements")
}
