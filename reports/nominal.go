package reports

import (
	"math"
	"strings"

	"clampodds/joint/card"
)

// NominalSchema names the form of the JSON of a nominal evaluation.
const NominalSchema = "clampodds.nominal/1"

// Nominal is one evaluation with every intermediate result, so that an outsider
// can recompute the chain. Units are in the keys or beside the values.
type Nominal struct {
	Schema     string     `json:"schema"`
	Provenance Provenance `json:"provenance"`
	// Warnings are of what is implausible or beyond what the model knows.
	Warnings []Warning `json:"warnings,omitempty"`
	// NotClamped says, edge by edge, why the card has no temperatures.
	NotClamped []string         `json:"not_clamped"`
	Inputs     []NamedValue     `json:"inputs"`
	Joint      []NamedValue     `json:"joint"`
	Edges      []NominalEdge    `json:"edges"`
	Nodes      []NamedValue     `json:"nodes"`
	Links      []card.LinkValue `json:"links"`
	Outputs    []NamedValue     `json:"outputs"`
	Limits     []NominalLimit   `json:"limits"`
	Balance    []NamedValue     `json:"energy_balance"`
	Paths      []NominalBudget  `json:"heat_paths"`
}

// NamedValue is a number with its name and SI unit.
type NamedValue struct {
	Name  string  `json:"name"`
	Unit  string  `json:"unit"`
	Value float64 `json:"value"`
	Shown Unit    `json:"-"`
	// Known is the half-width of what is known of a number from readings: its table has the digits that this
	// bears. 0 for one that is exact, as a count.
	Known float64 `json:"-"`
}

// NominalEdge is one clamped edge.
type NominalEdge struct {
	Name  string        `json:"name"`
	Fit   string        `json:"fit"`
	Clamp []NamedValue  `json:"clamp"`
	Ramps []NominalRamp `json:"ramps"`
	// Pieces has the force of each piece square to the screw and its parts.
	Pieces []NominalPiece   `json:"pieces"`
	Faces  []card.FaceTrace `json:"faces"`
	// Force and Pressure are the units of the tables.
	Force    Unit `json:"-"`
	Pressure Unit `json:"-"`
}

// NominalRamp is what passes through one ramp.
type NominalRamp struct {
	Axial      float64 `json:"axial_N"`
	Transverse float64 `json:"transverse_N"`
	Normal     float64 `json:"normal_N"`
}

// NominalPiece is what one piece bears with.
type NominalPiece struct {
	Normal   float64 `json:"normal_N"`
	Outward  float64 `json:"outward_N"`
	Sideways float64 `json:"sideways_N"`
}

// NominalLimit is a limit with the nominal value and the margin to it.
type NominalLimit struct {
	Name   string  `json:"name"`
	Label  string  `json:"label"`
	Output string  `json:"output"`
	Unit   string  `json:"unit"`
	Value  float64 `json:"value"`
	Limit  float64 `json:"limit"`
	Margin float64 `json:"margin"`
	Shown  Unit    `json:"-"`
	// MarginText is the margin in the unit for people, a difference.
	MarginText string `json:"-"`
	Verdict    string `json:"verdict"`
}

// NominalBudget is one way of the heat from an edge to the cold wall.
type NominalBudget struct {
	Edge       string  `json:"edge"`
	Path       string  `json:"path"`
	Heat       float64 `json:"heat_W"`
	Share      float64 `json:"share_of_edge"`
	Resistance float64 `json:"resistance_K_W"`
}

// Document draws what a person looks for: limits, heat paths, forces, contact faces. Edges that are the same are shown once.
func (n Nominal) Document() Document {
	d := Document{Title: n.Provenance.Title}
	d.AddFilled(Paragraph(n.Cause()))
	for _, w := range n.Warnings {
		d.Add(Paragraph("LOOK FIRST AT THIS: " + w.Text))
	}
	d.Add(n.limits(), n.outputs())
	d.AddFilled(n.budget())
	for _, e := range onceIfAlike(n.Edges) {
		for _, t := range e.tables() {
			d.AddFilled(t)
		}
	}
	d.AddFilled(named("joint", "Gas and joint", n.Joint), named("energy_balance", "Energy balance", n.Balance))
	d.addEnd(nil, n.Provenance.Table())
	return d
}

// Cause says why the card has no temperatures; empty where it has.
func (n Nominal) Cause() string {
	if len(n.NotClamped) == 0 {
		return ""
	}
	return "NOT CLAMPED at nominal values: " + strings.Join(n.NotClamped, "; ") + ". Such a card counts as exceeding every temperature limit."
}

func named(key, caption string, values []NamedValue) *Table {
	t := newTable(key, caption, texts("quantity"), numbers("value"), texts("unit"))
	for _, v := range values {
		t.AddRow(v.Name, fourDigits(v.Shown.Of(v.Value)), v.Shown.Label)
	}
	return t
}

func (n Nominal) limits() *Table {
	t := newTable("limits", "Limits at nominal values, without scatter", texts("requirement"), numbers("nominal", "limit", "margin"), texts("verdict"))
	for _, l := range n.Limits {
		t.AddRow(l.Label, strings.TrimSpace(fourDigits(l.Shown.Of(l.Value))+" "+l.Shown.Label), l.Shown.Text(l.Limit), l.MarginText, l.Verdict)
	}
	return t
}

func (n Nominal) outputs() *Table {
	return named("temperatures", "Temperatures and other results", n.Outputs).foldSides()
}

func (n Nominal) budget() *Table {
	t := newTable("heat_paths", "Heat by path", texts("edge", "path"), numbers("heat [W]", "share of the edge", "edge to cold wall [K/W]"))
	t.note("The last column is the edge's temperature rise over the heat of this path alone.")
	for _, p := range n.Paths {
		t.AddRow(p.Edge, p.Path, Number(p.Heat, 3), Number(100*p.Share, 1)+" %", fourDigits(p.Resistance))
	}
	return t.foldSides()
}

// tables are those of an edge, the empty ones included.
func (e NominalEdge) tables() []*Table {
	return []*Table{named("clamp_"+e.Name, "Clamp, "+e.Name+" edge ("+e.Fit+")", e.Clamp), e.pieces(), e.faces(), e.coats()}
}

func (e NominalEdge) pieces() *Table {
	t := newTable("pieces_"+e.Name, "Forces along the wedge train, "+e.Name+" edge",
		numbers("piece", e.Force.Head("outward"), e.Force.Head("sideways"), e.Force.Head("next ramp: axial"), e.Force.Head("ramp normal")))
	force := func(x float64) string { return Number(e.Force.Of(x), 1) }
	for i, p := range e.Pieces {
		axial, normal := "", ""
		if i < len(e.Ramps) {
			axial, normal = force(e.Ramps[i].Axial), force(e.Ramps[i].Normal)
		}
		t.AddRow(Number(float64(i+1), 0), force(p.Outward), force(p.Sideways), axial, normal)
	}
	return t
}

func (e NominalEdge) faces() *Table {
	t := newTable("faces_"+e.Name, "Contact faces, "+e.Name+" edge",
		texts("face"), numbers(e.Force.Head("force"), e.Pressure.Head("pressure"), "contact", "spots", "gas", "open gap", "in all [W/m²K]", "with bodies [W/K]", "heat [W]"))
	t.note("spots, gas: W/m²K of the strips in contact; open gap, in all: W/m²K of the whole face. In all counts constriction and film too, so the columns do not add up.")
	digits := 3 - int(math.Log10(e.Pressure.Of(1e6))) // a kilopascal shows
	for _, f := range e.Faces {
		t.AddRow(f.Name, Number(e.Force.Of(f.Force), 0), Number(e.Pressure.Of(f.Pressure), digits), Number(100*f.ContactFraction, 1)+" %",
			fourDigits(f.SpotCoefficient), fourDigits(f.GasCoefficient), fourDigits(f.OpenCoefficient), fourDigits(f.Coefficient), Number(f.Joined, 3), Number(f.Heat, 3))
	}
	return t
}

// coats shows what coats do to the spots of the loaded faces.
func (e NominalEdge) coats() *Table {
	t := newTable("coats_"+e.Name, "Spots under coats, "+e.Name+" edge",
		texts("face"), numbers("spot radius [µm]", "spots without coats [W/m²K]", "coat factor", "spots [W/m²K]"))
	t.note("Heat gathers to a spot inside the coat. The coat factor divides the spots' coefficient; the coat's own thickness over conductivity comes on top, as a film.")
	for _, f := range e.Faces {
		if factor := f.CoatFactor; factor > 0 {
			t.AddRow(f.Name, fourDigits(1e6*f.SpotRadius), fourDigits(f.SpotCoefficient*factor), fourDigits(factor), fourDigits(f.SpotCoefficient))
		}
	}
	return t
}
