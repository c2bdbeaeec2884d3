package reports

import (
	"fmt"
	"math"

	"clampodds/reports/figure"
	"clampodds/sim/result"
)

// appendix is a document like the qualification appendix: every kind of block,
// wide and long tables, every figure. The numbers are made up.
func appendix() Document {
	d := Document{Title: "Correlator card, two-face clamp: thermal qualification, appendix"}
	d.Add(Paragraph("This appendix says how likely an edge of the card runs above its limit when torque, friction, flatness and slot width scatter, and which torque goes on the drawing."))
	d.Add(Heading("Result"), requirementsTable(), percentilesTable())
	d.Add(Heading("Figures"))
	for _, f := range demoFigures() {
		d.Add(f)
	}
	d.Add(Heading("Contact faces"), facesTable(), Heading("Inputs"), inputsTable(45), Heading("Warnings"), List{"100000 samples asked, rounded up to 100002: whole chassis of 6 cards"})
	d.Add(Provenance{Tool: "clampodds", Version: "0.1.0", Study: "two-face.toml", Digest: "b502fb9e7fdd132f98ca820dc7fa149c4a4c2ec48331be3a8a68ab1e7dc23d34", Seed: 20240917, Samples: 100002, Chassis: 16667, CardsPerChassis: 6, Plan: "random", Confidence: 0.95}.Table())
	d.Add(Heading("Cautions"), Cautions)
	d.Number("A")
	return d
}

func requirementsTable() *Table {
	t := &Table{
		Key: "requirements", Caption: "Probability of exceeding each limit",
		Columns: []Column{{"requirement", false}, {"limit", true}, {"per", false}, {"probability", true}, {"low", true}, {"high", true}, {"target", true}, {"verdict", false}},
		Notes:   []string{"low, high: interval of the sampling (Clopper-Pearson), level 95 %. The verdict compares the interval per card with the target."},
	}
	t.AddRow("hotter edge", "85 °C", "card", "7.2e-4", "4.4e-4", "1.11e-3", "2e-3", "met")
	t.AddRow("", "", "chassis", "1.86e-3", "1.26e-3", "2.64e-3", "", "")
	t.AddRow("screw, combined stress", "1", "card", "none seen", "0", "≤ 1.80e-4", "1e-4", "undecided")
	t.AddRow("", "", "chassis", "none seen", "0", "≤ 1.80e-4", "", "")
	return t
}

func percentilesTable() *Table {
	t := &Table{Key: "temperatures", Caption: "Temperatures: percentiles over cards that could be clamped", Columns: []Column{{"quantity", false}}}
	for _, p := range []string{"P1", "P5", "P50", "P95", "P99", "P99.9"} {
		t.Columns = append(t.Columns, Column{p, true})
	}
	for _, q := range []string{"left edge [°C]", "right edge [°C]", "hottest spot of an edge [°C]", "correlator [°C]"} {
		t.AddRow(q, "72.601", "73.862", "77.155", "80.829", "82.53", "84.50")
		t.AddRow("", "72.523 … 72.679", "73.810 … 73.919", "77.122 … 77.189", "80.756 … 80.900", "82.42 … 82.68", "84.23 … 84.89")
	}
	t.Notes = []string{"Below each percentile: its interval (order statistics), level 95 %."}
	return t
}

func facesTable() *Table {
	t := &Table{Key: "faces_left", Caption: "Contact faces, left edge", Columns: []Column{
		{"face", false}, {"force [N]", true}, {"pressure [MPa]", true}, {"contact", true}, {"spots", true}, {"gas", true}, {"open gap", true}, {"in all [W/m²K]", true}, {"with bodies [W/K]", true}, {"heat [W]", true},
	}}
	for i := 1; i <= 7; i++ {
		t.AddRow(fmt.Sprintf("direct/%d", i), "639", "4.940", "21.9 %", "155172", "6291", "3168", "10856", "1.405", "7.619")
		t.AddRow(fmt.Sprintf("ramp/%d", i), "1052", "16.746", "100.0 %", "116779", "6155", "0", "61979", "0.707", "-2.498")
	}
	return t
}

func inputsTable(rows int) *Table {
	t := &Table{Key: "inputs", Caption: "Inputs as understood", Columns: []Column{
		{"input", false}, {"nominal", true}, {"sd", true}, {"P1 … P99", true}, {"one draw per", false}, {"typed", false}, {"source", false},
	}}
	for i := range rows {
		t.AddRow(fmt.Sprintf("face.direct.crown_%d", i+1), "10 µm", "5.1 µm", "0.06 … 13.1 µm", "face (lack of knowledge)", `half-normal, p95 = "10 um"`, "two fifths of the flatness, over a twentieth of the length, invented; limits taken as three sigma, common practice")
	}
	return t
}

func demoFigures() []*Figure {
	cards := figure.Basis{Samples: 100002, Of: "cards"}
	limit := &figure.Mark{At: 85, Label: "limit", Value: "85 °C"}
	var middles, counts []float64
	base, changed, difference := figure.Curve{Name: "base"}, figure.Curve{Name: "new"}, figure.Curve{Name: "new minus base"}
	for t := 70.0; t < 88; t += 0.25 {
		middles, counts = append(middles, t), append(counts, math.Round(1e4*math.Exp(-(t-77)*(t-77)/7)))
		p, q := math.Erfc((t-77)/2.7)/2, math.Erfc((t-77.5)/2.7)/2
		for c, y := range map[*figure.Curve]float64{&base: p, &changed: q, &difference: q - p} {
			c.X, c.Y, c.Low, c.High = append(c.X, t), append(c.Y, y), append(c.Low, y*0.8-1e-5), append(c.High, y*1.2+3e-5)
		}
	}
	edge, screw := figure.Curve{Name: "hotter edge"}, figure.Curve{Name: "screw, combined stress"}
	for t := 0.4; t < 1.21; t += 0.1 {
		for c, y := range map[*figure.Curve]float64{&edge: math.Pow(10, -1-5*(t-0.4)), &screw: math.Pow(10, -7+8*(t-0.6))} {
			c.X, c.Y, c.Low, c.High = append(c.X, t), append(c.Y, y), append(c.Low, y/2), append(c.High, y*2)
		}
	}
	left := figure.Curve{Name: "left edge", PointsOnly: true, X: []float64{9, 28, 46, 65, 84, 102, 121}, Y: []float64{76.1, 76.6, 76.4, 76.7, 76.9, 77.6, 79.1}}
	right := figure.Curve{Name: "right edge", PointsOnly: true, X: left.X, Y: []float64{75.7, 76.3, 76.2, 76.6, 77, 77.9, 79.9}}
	return []*Figure{
		{Key: "hotter_edge", Caption: "Distribution of the hotter edge", Alt: "Histogram from 70 to 88 °C, most cards at 77 °C, few above the limit of 85 °C.", Drawing: figure.Distribution{Quantity: "hotter edge [°C]", Bins: figure.Rebin(middles, counts, 60), Limit: limit, Basis: cards, Marks: []figure.Mark{{At: 74, Label: "P5", Value: "74.0"}, {At: 77, Label: "P50", Value: "77.0"}, {At: 80, Label: "P95", Value: "80.0"}}}},
		{Key: "exceedance", Caption: "Probability of exceeding a temperature", Alt: "Falling curve that passes 7e-4 at 85 °C.", Drawing: figure.Curves{X: figure.Axis{Label: "hotter edge [°C]"}, Y: figure.Axis{Label: "probability of exceeding", Scale: figure.Probability}, Curves: []figure.Curve{base}, Limit: limit, Target: &figure.Mark{At: 2e-3, Label: "target", Value: "2e-3"}, Basis: cards}},
		{Key: "drivers", Caption: "What makes the spread", Alt: "Bars: contact factor 41 %, crown 22 %, power 14 %.", Drawing: figure.Drivers{Measure: "share of the variance [%]", Basis: cards, Bars: []figure.Bar{{Name: "contact factor", Text: "41", Value: 41, Interval: result.Interval{Low: 39, High: 43}}, {Name: "direct face crown", Text: "22", Value: 22, Interval: result.Interval{Low: 20, High: 24}}, {Name: "card power", Text: "14", Value: 14, Interval: result.Interval{Low: 12, High: 16}}}}},
		{Key: "torque", Caption: "Torque window", Alt: "The edge's curve falls, the screw's rises with the torque; 0.7 to 0.95 N·m is allowed.", Drawing: figure.Setting{Axis: "nominal torque [N·m]", Curves: []figure.Curve{edge, screw}, Interval: result.Interval{Low: 0.7, High: 0.95}, Window: "allowed window", Basis: cards, Targets: []figure.Mark{{At: 2e-3, Label: "edge", Value: "2e-3"}, {At: 1e-4, Label: "screw", Value: "1e-4"}}, Marks: []figure.Mark{{At: 0.7, Label: "lowest", Value: "0.70 N·m"}, {At: 0.95, Label: "highest", Value: "0.95 N·m"}}}},
		{Key: "change", Caption: "Base against new flatness", Alt: "The new curve lies to the right of the base.", Drawing: figure.Change{Quantity: "hotter edge [°C]", Base: base, New: changed, Difference: difference, Limit: limit, Basis: cards}},
		{Key: "two-face", Caption: "Heat by path, two-face clamp", Alt: "75 % to the lower rail, 25 % to the upper rail.", Drawing: figure.HeatSplit{ClampWidth: 6, ClampHeight: 8, FlangeThickness: 3, SlotWidth: 11.6, ScrewDiameter: 3, Paths: []figure.HeatPath{{To: figure.LowerRail, Share: 0.752, Value: "75.2 %", Label: "direct face to the lower rail"}, {To: figure.UpperRail, Share: 0.248, Value: "24.8 %", Label: "pieces to the upper rail"}}}},
		{Key: "four-face", Caption: "Heat by path, four-face clamp", Alt: "44 % to the lower rail, 26 % to the upper rail, 30 % to the side wall.", Drawing: figure.HeatSplit{ClampWidth: 6, ClampHeight: 8, FlangeThickness: 3, SlotWidth: 11.6, ScrewDiameter: 3, Paths: []figure.HeatPath{{To: figure.LowerRail, Share: 0.441, Value: "44.1 %", Label: "direct face to the lower rail"}, {To: figure.UpperRail, Share: 0.263, Value: "26.3 %", Label: "pieces to the upper rail"}, {To: figure.SideWall, Share: 0.296, Value: "29.6 %", Label: "pieces to the side wall"}}}},
		{Key: "convergence", Caption: "How the estimate settled", Alt: "The estimate stays near 7e-4, its interval narrows.", Drawing: figure.Curves{X: figure.Axis{Label: "cards so far", Scale: figure.Logarithmic}, Y: figure.Axis{Label: "probability of exceeding"}, Height: 64, Curves: []figure.Curve{{Name: "per card", X: []float64{1000, 3000, 10000, 30000, 100002}, Y: []float64{1e-3, 3e-4, 8e-4, 7e-4, 7.2e-4}, Low: []float64{2e-5, 1e-5, 4e-4, 4e-4, 5e-4}, High: []float64{6e-3, 2e-3, 2e-3, 1.2e-3, 9e-4}}}, Basis: cards}},
		{Key: "along", Caption: "Edge temperature along the clamp", Alt: "Both edges rise from 76 to 79 °C toward the thread end.", Drawing: figure.Curves{X: figure.Axis{Label: "position along the clamp [mm]"}, Y: figure.Axis{Label: "flange edge [°C]"}, Height: 64, Curves: []figure.Curve{left, right}}},
	}
}
