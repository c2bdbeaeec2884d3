package reports

import (
	"fmt"
	"slices"
)

// AuditVariables are plans by variables: the torque is normal, and a lot is off as a whole.
type AuditVariables struct {
	// Side is loose or over-tight: the end of the band that the plans are for.
	Side   string `json:"side"`
	Upper  bool   `json:"-"`
	Answer string `json:"answer"`
	// Mean and SD are the study's torque, Good the share beyond the band that is to pass.
	Mean      float64 `json:"mean_Nm"`
	SD        float64 `json:"sd_Nm"`
	Good      float64 `json:"good_share"`
	Shown     Unit    `json:"-"`
	LimitText string  `json:"-"`

	Ways  []AuditWay           `json:"ways"`
	Plans []AuditVariablesPlan `json:"plans,omitempty"`
	Lots  []AuditVariablesLot  `json:"operating_characteristic,omitempty"`
}

// AuditWay is how the torque of a lot goes off.
type AuditWay struct {
	Name string `json:"way"`
	// Harmless is the last position shown to meet every target: how far the mean has moved, N*m, or the
	// factor of the spread; Mean, SD and Share beyond the band are those of the torque there.
	Harmless Position `json:"harmless_to"`
	Mean     float64  `json:"mean_Nm"`
	SD       float64  `json:"sd_Nm"`
	Share    float64  `json:"share"`
	// First and Condition are the limit that stands in the way beyond, Beyond its verdict there; or AboveMost, or BelowLeast:
	// one screw of the lot is expected above, or below, what the clamp maker allows.
	First      string `json:"first_missed,omitempty"`
	Condition  string `json:"condition,omitempty"`
	Beyond     string `json:"beyond,omitempty"`
	AboveMost  bool   `json:"above_makers_most,omitempty"`
	BelowLeast bool   `json:"below_makers_least,omitempty"`
}

// AuditVariablesPlan is a single sampling plan in the terms of ISO 3951.
type AuditVariablesPlan struct {
	Method   string  `json:"method"` // s or σ
	Sample   int64   `json:"sample_size"`
	Constant float64 `json:"acceptability_constant"`
	Missed   float64 `json:"consumers_risk"`
	Refused  float64 `json:"producers_risk"`
}

// AuditVariablesLot is a torque on the operating characteristic. Accepted has a chance for
// each of the plans.
type AuditVariablesLot struct {
	Mean     float64   `json:"mean_Nm"`
	SD       float64   `json:"sd_Nm"`
	Share    float64   `json:"share"`
	Accepted []float64 `json:"accepted"`
	PerCard  Estimate  `json:"per_card"`
}

func (v AuditVariables) blocks() []Block {
	blocks := []Block{Heading("By variables: " + v.Side + " screws"), Paragraph(v.Answer)}
	switch {
	case len(v.Plans) == 0 && slices.ContainsFunc(v.Ways, func(w AuditWay) bool { return w.Harmless.State == "found" }):
		return append(blocks, v.ways())
	case len(v.Plans) == 0:
		return blocks
	}
	return append(blocks, v.plans(), v.ways(), v.lots(), List{
		"A plan by variables rests on the normal torque: it finds a lot that is off as a whole with fewer readings, and no single loose screw. Each way is looked at by itself.",
		"Readings count as they are, without a guard band: n and k allow for their error.",
		"The s method takes the standard deviation of the readings, the σ method that of the study, " + v.torque(v.SD) + ": it does not see a spread that grows.",
	})
}

// key is the side in the name of a table.
func (v AuditVariables) key(table string) string {
	return AuditSide{Upper: v.Upper}.key("variables_" + table)
}

func (v AuditVariables) torque(x float64) string {
	return Number(v.Shown.Of(x), Digits(0, 0, v.Shown.Of(v.SD))+1) + " " + v.Shown.Label
}

func (v AuditVariables) plans() *Table {
	t := newTable(v.key("plans"), "Smallest plans by variables for the end of the band at "+v.LimitText,
		texts("method"), numbers("read (n)", "constant (k)", "breaking lot passes", "good lot is refused"))
	t.note("Terms of ISO 3951: accept where the mean of the readings is k standard deviations or more inside the limit. With plans for both ends the larger number of readings serves both.",
		"good lot: "+Percent(v.Good)+" of the screws beyond the band. breaking lot: at an end of the next table.")
	for _, p := range v.Plans {
		t.AddRow(p.Method, fmt.Sprint(p.Sample), Number(p.Constant, 3), Percent(p.Missed), Percent(p.Refused))
	}
	return t
}

func (v AuditVariables) ways() *Table {
	t := newTable(v.key("ways"), "How far the torque of a lot may go off before a limit is not shown to be met",
		texts("way"), numbers("mean", "sd", "share beyond the band"), texts("beyond that"))
	for _, w := range v.Ways {
		if w.Harmless.State != "found" {
			t.AddRow(w.Name, "harmless as far as looked", "", "", "")
			continue
		}
		beyond := fmt.Sprintf("%s %s, %s", limitName(w.First), w.Beyond, w.Condition)
		switch {
		case w.AboveMost:
			beyond = "one screw of the lot above the clamp maker's most"
		case w.BelowLeast:
			beyond = "one screw of the lot below the clamp maker's least"
		}
		t.AddRow(w.Name, v.torque(w.Mean), v.torque(w.SD), Percent(w.Share), beyond)
	}
	return t
}

func (v AuditVariables) lots() *Table {
	t := newTable(v.key("operating_characteristic"), "Operating characteristic of the plans by variables, and what such lots do", numbers("mean", "sd", "share beyond"))
	for _, p := range v.Plans {
		t.Columns = append(t.Columns, numbers(p.Method+" accepts")...)
	}
	t.Columns = append(t.Columns, numbers("exceedance per card", "low", "high")...)
	for _, l := range v.Lots {
		cells := []string{v.torque(l.Mean), v.torque(l.SD), Percent(l.Share)}
		for _, a := range l.Accepted {
			cells = append(cells, Percent(a))
		}
		t.AddRow(append(cells, probabilityCells(l.PerCard)...)...)
	}
	return t
}
