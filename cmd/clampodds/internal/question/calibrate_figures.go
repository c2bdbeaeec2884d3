package question

import (
	"slices"
	"strings"

	"clampodds/reports"
	"clampodds/reports/figure"
)

// Figures draws a calibration, by the name of the file: what was known of each input before and after, and the readings of each
// place against what was expected.
func (c *Calibrated) Figures() map[string][]byte {
	r := &c.Result
	all := map[string][]byte{}
	basis := figure.Basis{Samples: int64(r.Draws), Of: "draws of what scatters"}
	add := func(name, title, text string, d figure.Drawing) {
		all[strings.NewReplacer(".", "-", " ", "-").Replace(name)+".svg"] = figure.SVG(d, figure.Description{ID: name, Title: title, Text: text})
	}
	for _, p := range r.Parameters {
		before, after := figure.Curve{Name: "before the readings"}, figure.Curve{Name: "after"}
		for _, at := range p.Curve {
			x := p.Shown.Of(at.Value)
			before.Add(x, at.Before)
			after.Add(x, at.After)
		}
		add("known-"+p.Key, p.Key+", known before and after the readings", "Two densities over the value of "+p.Key+".",
			figure.Curves{X: figure.Axis{Label: p.Shown.Head(p.Key)}, Y: figure.Axis{Label: "density", Scale: figure.WithZero}, Height: 70, Curves: []figure.Curve{before, after}, Basis: basis})
	}
	for _, place := range placesRead(r) {
		read, before, after := figure.Curve{Name: "read"}, figure.Curve{Name: "expected before"}, figure.Curve{Name: "expected after"}
		head := ""
		for _, q := range r.Readings {
			if q.Quantity != place {
				continue
			}
			head = q.Shown.Head(q.Label)
			x := float64(len(read.X) + 1)
			of := q.Shown.Of
			read.Add(x, of(q.Value))
			before.AddBand(x, of(q.Before.Median), of(q.Before.Low), of(q.Before.High))
			after.AddBand(x, of(q.After.Median), of(q.After.Low), of(q.After.High))
		}
		add("read-"+place, "Readings against what was expected", "Each reading of "+place+" beside the intervals it was expected in before and after the readings.",
			figure.Curves{X: figure.Axis{Label: "reading, in the order of the table"}, Y: figure.Axis{Label: head}, Curves: []figure.Curve{read, before, after}, Basis: basis})
	}
	return all
}

// placesRead lists the quantities that were read, each once.
func placesRead(r *reports.Calibration) (list []string) {
	for _, q := range r.Readings {
		if !slices.Contains(list, q.Quantity) {
			list = append(list, q.Quantity)
		}
	}
	return list
}
