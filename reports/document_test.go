package reports

import (
	"bytes"
	"encoding/csv"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func sample() Document {
	t := &Table{Key: "temperatures", Caption: "Edge temperatures [°C]", Columns: []Column{{"edge", false}, {"T_case [°C]", true}}}
	t.AddRow("left", "71.2")
	t.AddRow("right", "-0.4")
	t.Notes = []string{"Level 95 %."}
	d := Document{Title: "Study"}
	d.Add(Heading("Result"), Paragraph("Two edges."), t, List{"one", "two"})
	return d
}

func TestTerminalKeepsHeadsAndAlignsNumbers(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Terminal{Width: 80}.Write(&b, sample()))
	assert.Contains(t, b.String(), "T_case [°C]")
	assert.Contains(t, b.String(), "left          71.2")
	for _, l := range strings.Split(b.String(), "\n") {
		assert.Equal(t, strings.TrimRight(l, " "), l, "no trailing blanks")
	}
}

func TestMarkdownTable(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, WriteMarkdown(&b, sample()))
	assert.Contains(t, b.String(), "| left")
	assert.Contains(t, b.String(), "# Study\n\n## Result")
}

func TestCSVReadsBack(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, WriteCSV(&b, sample()))
	r := csv.NewReader(&b)
	r.FieldsPerRecord = -1 // the first has key and caption
	rows, err := r.ReadAll()
	require.NoError(t, err)
	assert.Equal(t, [][]string{{"temperatures", "Edge temperatures [°C]"}, {"edge", "quantity", "value", "low", "high", "flag", "unit"}, {"left", "T_case", "71.2", "", "", "", "°C"}, {"right", "T_case", "-0.4", "", "", "", "°C"}}, rows)
}

func TestDigitsFollowTheInterval(t *testing.T) {
	assert.Equal(t, 2, Digits(71.234, 71.1, 71.3))           // half-width 0.1 K: shown to 0.01
	assert.Equal(t, 0, Digits(71.234, 20, 120))              // half-width 50
	assert.Equal(t, 4, Digits(71.23456, 71.23456, 71.23456)) // no width: six significant digits
	assert.Equal(t, 2, Digits(71.23456, 71, math.Inf(1)))    // half-width 0.2 as far as is known
	assert.Equal(t, 4, Digits(71.23456, math.Inf(-1), math.Inf(1)))
	assert.Equal(t, 0, Digits(math.Inf(1), 0, 0))
}

func TestAnEstimateShowsWhatItsIntervalKnows(t *testing.T) {
	// The rule's own examples, Phys. Rev. D 98 (2018) 030001, Introduction 5.3 (the numbers from memory): 0.827 ± 0.119 is 0.83 ± 0.12, 0.827 ± 0.367 is 0.8 ± 0.4.
	assert.Equal(t, 2, estimateDigits(0.827, 0.827-0.119, 0.827+0.119))
	assert.Equal(t, 1, estimateDigits(0.827, 0.827-0.367, 0.827+0.367))
	assert.Equal(t, []string{"76.83", "76.73", "76.92"}, estimateCells(Estimate{Value: 76.827, Interval: Interval{Low: 76.734, High: 76.916}}, Unit{Of: func(x float64) float64 { return x }}))
	assert.Equal(t, 0, estimateDigits(71, 20, 120), "no fewer than none")
	assert.Equal(t, []int{2, 1}, []int{Digits(65.47, math.Inf(-1), 66.10), estimateDigits(65.47, math.Inf(-1), 66.10)}, "as far as is known")
}

func TestNumberAndProbabilityWords(t *testing.T) {
	assert.Equal(t, "0.00", Number(-0.001, 2))
	assert.Equal(t, "n/a", Number(math.NaN(), 2))
	assert.Equal(t, "∞", Number(math.Inf(1), 2))
	assert.Equal(t, "2.30e-5", Probability(2.3e-5, 2.0e-5, 2.6e-5))
	assert.Equal(t, "1.23e-3", Probability(1.234e-3, 1.13e-3, 1.33e-3), "no other notation above a thousandth")
	assert.Equal(t, []string{"0", "1.3e-6"}, []string{probabilityLike(5e-5, 4.6e-14, 4.6e-14, 1.2e-3), probabilityLike(5e-5, 1.27e-6, 1.27e-6, 2.8e-4)}, "a low end a thousand times below says no more than 0")
	assert.Equal(t, "0.0123", Probability(0.01234, 0.0113, 0.0133))
	assert.Equal(t, []string{"0.0100", "0.0080", "0.0125"}, probabilityCells(Estimate{Value: 0.01, Interval: Interval{Low: 0.008, High: 0.0125}}), "zeros that the interval knows are there")
	assert.Equal(t, "1", probabilityLike(6e-13, 1, 0, 1), "all is not 1.00e+00, whatever it bounds")
	assert.Equal(t, []string{"2e-3", "1e-4", "0.05", "1.25e-5"}, []string{ExactProbability(2e-3), ExactProbability(1e-4), ExactProbability(0.05), ExactProbability(1.25e-5)})
	assert.Equal(t, []string{"9.4e-3", "8.3e-3", "1.12e-2"}, probabilityCells(Estimate{Value: 9.4e-3, Interval: Interval{Low: 8.3e-3, High: 0.0112}}), "the ends read like the value")
}

func TestNumberRoundedToASide(t *testing.T) {
	for want, got := range map[string]string{
		"4.93": NumberDown(4.938, 2), "4.94": NumberUp(4.932, 2), "0.65": NumberDown(0.65, 2), "1.2": NumberUp(1.2, 1), "-0.05": NumberDown(-0.042, 2), "∞": NumberUp(math.Inf(1), 2),
	} {
		assert.Equal(t, want, got)
	}
}
