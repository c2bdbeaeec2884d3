package figure

import (
	"math"

	"clampodds/sim/result"
)

// demo has every figure, with numbers of the size that the demonstration study
// gives; the curves are made up.
func demo() map[string]Drawing {
	cards := Basis{Samples: 100002, Of: "cards"}
	limit := &Mark{At: 85, Label: "limit", Value: "85 °C"}
	return map[string]Drawing{
		"distribution":  demoDistribution(cards, limit),
		"exceedance":    Curves{X: Axis{Label: "hotter edge [°C]"}, Y: Axis{"probability of exceeding", Probability}, Curves: []Curve{demoExceedance("per card", 77.3, 0)}, Limit: limit, Target: &Mark{At: 2e-3, Label: "target", Value: "2e-3"}, Basis: cards},
		"drivers":       demoDrivers(cards),
		"torque-window": demoTorque(cards),
		"change":        demoChange(cards, limit),
		"two-face": HeatSplit{ClampWidth: 6, ClampHeight: 8, FlangeThickness: 3, SlotWidth: 11.6, ScrewDiameter: 3, Paths: []HeatPath{
			{LowerRail, 0.752, "75.2 %", "direct face to the lower rail"}, {UpperRail, 0.248, "24.8 %", "pieces to the upper rail"},
		}},
		"four-face": HeatSplit{ClampWidth: 6, ClampHeight: 8, FlangeThickness: 3, SlotWidth: 11.6, ScrewDiameter: 3, Paths: []HeatPath{
			{LowerRail, 0.441, "44.1 %", "direct face to the lower rail"}, {UpperRail, 0.263, "26.3 %", "pieces to the upper rail"}, {SideWall, 0.297, "29.7 %", "pieces to the side wall"},
		}},
		"convergence": demoConvergence(cards),
		"knowledge": Curves{X: Axis{Label: "contact.factor"}, Y: Axis{"density", WithZero}, Height: 70, Basis: cards, Curves: []Curve{
			{Name: "before", X: []float64{0.4, 0.6, 0.8, 1, 1.2, 1.4, 1.6, 2}, Y: []float64{0.1, 0.7, 1.2, 1.1, 0.9, 0.6, 0.4, 0.1}},
			{Name: "after", X: []float64{0.4, 0.6, 0.8, 1, 1.2, 1.4, 1.6, 2}, Y: []float64{0, 0.4, 2.1, 1.4, 0.5, 0.1, 0, 0}},
		}},
		"readings": Curves{X: Axis{Label: "reading, in the order of the table"}, Y: Axis{Label: "left edge, mean [°C]"}, Basis: cards, Curves: []Curve{
			{Name: "read", X: []float64{1, 2, 3, 4}, Y: []float64{42.8, 35.4, 38.9, 44.1}},
			{Name: "expected before", X: []float64{1, 2, 3, 4}, Y: []float64{41, 34.2, 37.1, 42}, Low: []float64{36.4, 31.3, 33.6, 37.3}, High: []float64{45.9, 37.4, 41, 47.1}},
			{Name: "after", X: []float64{1, 2, 3, 4}, Y: []float64{41.5, 34.6, 37.6, 42.6}, Low: []float64{37.1, 31.7, 34.2, 38}, High: []float64{46.3, 37.7, 41.3, 47.5}},
		}},
		"clamp-length": ClampLength{Length: 121.9, Height: 8, FlangeHeight: 2.5, Gap: 0.4, ScrewDiameter: 3, Angle: math.Pi / 4, Axial: Force{1266, "1266 N"},
			Pieces: []Force{{639, "639 N"}, {1160, "1160 N"}, {944, "944 N"}, {768, "768 N"}, {625, "625 N"}, {509, "509 N"}, {228, "228 N"}}},
		"designs": Designs{Quantity: "hottest spot of the edges [°C]", Basis: cards, Limit: limit, Bar: "P5 to P95", Line: "P1 to P99.9", Rows: []DesignSpread{
			{"A: two faces", result.Interval{Low: 72, High: 86.2}, result.Interval{Low: 73.4, High: 81}, 76.1}, {"B: four faces", result.Interval{Low: 68, High: 77.5}, result.Interval{Low: 69, High: 74}, 71.2}, {"C: flatness 0.05 mm", result.Interval{Low: 72.5, High: 88}, result.Interval{Low: 74, High: 82.1}, 77}}},
		"along-clamp": Curves{X: Axis{Label: "position along the clamp [mm]"}, Y: Axis{Label: "flange edge [°C]"}, Height: 64, Curves: []Curve{
			{Name: "left edge", PointsOnly: true, X: []float64{9, 28, 46, 65, 84, 102, 121}, Y: []float64{76.1, 76.6, 76.4, 76.7, 76.9, 77.6, 79.1}},
			{Name: "right edge", PointsOnly: true, X: []float64{9, 28, 46, 65, 84, 102, 121}, Y: []float64{75.7, 76.3, 76.2, 76.6, 77.0, 77.9, 79.895}},
		}},
	}
}

func normalDensity(x, mean, sd float64) float64 { z := (x - mean) / sd; return math.Exp(-z*z/2) / sd }

func demoDistribution(b Basis, limit *Mark) Distribution {
	var middles, counts []float64
	for t := 70.0; t < 90; t += 0.01 {
		middles = append(middles, t+0.005)
		counts = append(counts, math.Round(400*(normalDensity(t, 77, 1.9)+0.15*normalDensity(t, 80, 2))))
	}
	return Distribution{
		Quantity: "hotter edge [°C]", Bins: Rebin(middles, counts, 80), Limit: limit, Basis: b,
		Marks: []Mark{{72.752, "P1", "72.75"}, {74.016, "P5", "74.02"}, {77.308, "P50", "77.31"}, {80.992, "P95", "80.99"}, {82.71, "P99", "82.71"}, {84.71, "P99.9", "84.7"}},
	}
}

func demoExceedance(name string, mean, shift float64) Curve {
	c := Curve{Name: name}
	for t := 72.0; t <= 90; t += 0.25 {
		p := math.Erfc((t-mean-shift)/2.3/math.Sqrt2) / 2
		n := 100002.0
		half := 2 * math.Sqrt(p*(1-p)/n)
		c.X, c.Low, c.High = append(c.X, t), append(c.Low, p-half), append(c.High, p+half+3/n)
		if p*n < 0.5 {
			p = 0
		}
		c.Y = append(c.Y, p)
	}
	return c
}

func demoDrivers(b Basis) Drivers {
	return Drivers{Measure: "share of the variance [%]", Basis: b, Bars: []Bar{
		{"contact factor (lack of knowledge)", "41.2", 41.2, result.Interval{Low: 39.9, High: 42.5}},
		{"direct face crown", "22.4", 22.4, result.Interval{Low: 21.2, High: 23.6}},
		{"card power", "14.0", 14, result.Interval{Low: 13.1, High: 14.9}},
		{"wall temperature", "9.8", 9.8, result.Interval{Low: 8.9, High: 10.7}},
		{"thread friction", "4.1", 4.1, result.Interval{Low: 3.3, High: 4.9}},
		{"head friction", "3.9", 3.9, result.Interval{Low: 3.1, High: 4.7}},
		{"torque", "1.6", 1.6, result.Interval{Low: 0.8, High: 2.4}},
		{"hardness of the anodic film on flange and rail, knowledge", "0.4", 0.4, result.Interval{Low: -0.5, High: 1.3}},
		{"slot width", "0.1", 0.1, result.Interval{Low: -0.7, High: 0.9}},
	}}
}

func demoTorque(b Basis) Setting {
	edge, screw, bearing := Curve{Name: "hotter edge above 85 °C"}, Curve{Name: "screw, combined stress"}, Curve{Name: "bearing pressure"}
	for t := 0.40; t < 1.21; t += 0.05 {
		for k, p := range []float64{math.Pow(10, -1-5.5*(t-0.4)), math.Pow(10, -7+8*(t-0.6)), math.Pow(10, -9+7*(t-0.5))} {
			c := []*Curve{&edge, &screw, &bearing}[k]
			if p < 2e-6 { // none seen
				c.X, c.Y, c.Low, c.High = append(c.X, t), append(c.Y, 0), append(c.Low, 0), append(c.High, 3e-5)
				continue
			}
			c.X, c.Y, c.Low, c.High = append(c.X, t), append(c.Y, p), append(c.Low, p*0.6), append(c.High, p*1.7)
		}
	}
	return Setting{
		Axis: "nominal torque [N·m]", Curves: []Curve{edge, screw, bearing}, Interval: result.Interval{Low: 0.70, High: 0.97}, Window: "allowed window", Basis: b,
		Bounds: []Curve{{Name: "edge: at most, with 95 % confidence", Style: 1, X: []float64{0.75, 0.83, 0.91}, Y: []float64{1.9e-3, 1.2e-3, 8e-4}, Low: []float64{1.6e-3, 1e-3, 6e-4}, High: []float64{2.3e-3, 1.5e-3, 1.1e-3}}},
		Least:  0.66, Most: 0.94, NotAllowed: "not allowed by the clamp maker",
		OpenHigh: true, Spread: result.Interval{Low: 0.78, High: 0.88}, SpreadName: "study's torque, P1 to P99",
		Targets: []Mark{{2e-3, "edge", "2e-3"}, {1e-4, "screw", "1e-4"}, {1e-4, "bearing", "1e-4"}},
		Marks:   []Mark{{0.70, "lowest", "0.70 N·m"}, {0.83, "recommended", "0.83 N·m"}},
	}
}

func demoChange(b Basis, limit *Mark) Change {
	base, changed := demoExceedance("base: flatness 25 µm", 77.3, 0), demoExceedance("new: flatness 50 µm", 77.3, 0.6)
	d := Curve{Name: "new minus base"}
	for i := range base.X {
		v := changed.Y[i] - base.Y[i]
		d.X, d.Y, d.Low, d.High = append(d.X, base.X[i]), append(d.Y, v), append(d.Low, v-0.004), append(d.High, v+0.004)
	}
	return Change{Quantity: "hotter edge [°C]", Base: base, New: changed, Difference: d, Limit: limit, Margin: &Mark{0.05, "margin", "0.05"}, Basis: b}
}

func demoConvergence(b Basis) Curves {
	t := Curve{Name: "probability of exceeding the limit, per card"}
	for k := 1; k <= 98; k++ {
		n := float64(k) * 1020
		p := 7.2e-4 + 2.5e-3*math.Sin(float64(k)*1.3)/math.Sqrt(n)*8
		p = max(p, 0)
		t.X, t.Y, t.Low, t.High = append(t.X, n), append(t.Y, p), append(t.Low, max(0, p-2*math.Sqrt(p/n))), append(t.High, p+2*math.Sqrt(p/n)+3/n)
	}
	return Curves{X: Axis{"cards so far", Logarithmic}, Y: Axis{Label: "probability of exceeding"}, Height: 64, Curves: []Curve{t}, Target: &Mark{2e-3, "target", "2e-3"}, Basis: b}
}
