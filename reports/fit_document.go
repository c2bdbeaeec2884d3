package reports

import (
	"fmt"
	"strings"
)

// Document draws the fit: what to paste first.
func (f Fit) Document() Document {
	d := Document{Title: fmt.Sprintf("Readings of %s in %s", f.Column, f.Data)}
	d.AddFilled(f.verdict())
	f.entries(&d)
	if f.Gauge != nil {
		of := "repeatability, operators and their interaction with the parts"
		if f.Gauge.OneOperator {
			of = "repeatability and interaction, of one operator"
		}
		d.Add(Paragraph(fmt.Sprintf("Taken out of the fitted spread: the gauge's standard deviation of %s (%s) by %s. Lots, capability and run chart are of the readings as they are.",
			strings.TrimSpace(threeDigits(f.Gauge.SD)+" "+f.Unit), of, f.Gauge.Study)))
	}
	refused := newTable("refused", "Families that cannot be fitted to these readings", texts("family", "reason"))
	for _, r := range f.Refused {
		refused.AddRow(r.Family, r.Reason)
	}
	d.AddFilled(f.beyond(), f.families(), refused)
	d.Add(f.values("description", f.head("The readings"), f.Description))
	if len(f.Lots) > 0 {
		d.Add(f.values("lots", f.head("Between and within lots"), f.Lots), f.perLot())
	}
	d.AddFilled(f.capability())
	f.flags(&d)
	d.Add(warningBlocks(f.Warnings)...)
	return d
}

// entries are what to paste: for new lots first, and all readings together after it.
func (f Fit) entries(d *Document) {
	d.Add(Heading("Entry for a study"))
	if f.NewLot != "" {
		d.Add(Paragraph("Units of new lots, each its own draw beside what its lot has in common:"), Code(f.NewLot))
	}
	if f.NoNewLot != "" {
		d.Add(Paragraph("None for units of new lots: " + f.NoNewLot + "."))
	}
	if len(f.Lots) > 0 {
		d.Add(Paragraph("More units of the lots read here, all readings together:"))
	}
	d.Add(Code(f.Entry))
}

// flags are the run chart and the outliers, or the reason why there are none.
func (f Fit) flags(d *Document) {
	if f.Flags.Reason != "" {
		d.Add(Paragraph("No outliers and no run chart: " + f.Flags.Reason + "."))
		return
	}
	rate := Plain(100 * f.Flags.Rate)
	chart := f.values("run_chart", f.head("Run chart, limits from the "+f.Flags.Family+" family"), f.Chart)
	chart.Notes = []string{"Readings outside the limits, or too few or too many runs, call the process not stable: of stable ones " + rate + " in 100 at most."}
	d.Add(chart)
	if len(f.OutsideChart) > 0 {
		t := newTable("outside_chart", "Readings outside the limits of the run chart; none is dropped", numbers("line", f.head("reading")))
		for _, o := range f.OutsideChart {
			t.AddRow(fmt.Sprint(o.Line), Plain(o.Reading))
		}
		d.Add(t)
	}
	if len(f.Outliers) == 0 {
		d.Add(Paragraph(fmt.Sprintf("No outliers under the %s family, up to %d looked for; of columns without any %s in 100 at most have one flagged.", f.Flags.Family, f.Flags.Most, rate)))
		return
	}
	t := newTable("outliers", "Outliers under the "+f.Flags.Family+" family; none is dropped", numbers("line", f.head("reading"), "statistic", "critical"))
	t.note(fmt.Sprintf("Up to %d are looked for, the farthest first (Rosner 1983; one alone: Grubbs 1969). Of columns without outliers %s in 100 at most have one flagged; critical values: %s.", f.Flags.Most, rate, f.Flags.Method))
	for _, o := range f.Outliers {
		t.AddRow(fmt.Sprint(o.Line), Plain(o.Reading), Plain(o.Statistic), Plain(o.Critical))
	}
	d.Add(t)
}

// perLot has a line for each lot with its readings' range drawn to one scale.
func (f Fit) perLot() *Table {
	t := newTable("per_lot", f.head("Lots"), texts("lot"), numbers("readings", "mean", "standard deviation"), texts("smallest to largest, mean o"))
	low, high := f.PerLot[0].Smallest, f.PerLot[0].Largest
	for _, l := range f.PerLot {
		low, high = min(low, l.Smallest), max(high, l.Largest)
	}
	const width = 30
	column := func(x float64) int { return int((x - low) / (high - low) * (width - 1)) }
	for _, l := range f.PerLot {
		from, to := column(l.Smallest), column(l.Largest)
		bar := []byte(strings.Repeat(".", from) + strings.Repeat("=", to-from+1) + strings.Repeat(".", width-1-to))
		bar[column(l.Mean)] = 'o'
		t.AddRow(l.Lot, fmt.Sprint(l.Readings), Plain(l.Mean), Plain(l.SD), string(bar))
	}
	return t
}
