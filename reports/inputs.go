package reports

import (
	"fmt"
	"path/filepath"
)

// InputsSchema names the form of the JSON of a checked study.
const InputsSchema = "clampodds.inputs/1"

// Inputs is a study as understood.
type Inputs struct {
	Schema     string     `json:"schema"`
	Provenance Provenance `json:"provenance"`
	Inputs     []Input    `json:"inputs"`
	// Together are the inputs drawn with a rank correlation, those of columns of one
	// file of readings among them.
	Together []InputPair `json:"correlations,omitempty"`
}

// InputPair is two inputs with the rank correlation they are drawn with.
type InputPair struct {
	Key  string `json:"input"`
	With string `json:"with"`
	Rank Real   `json:"rank"`
	File string `json:"file"`
	Line int    `json:"line"`
}

// Input is one input of the model.
type Input struct {
	Key     string `json:"key"`
	Meaning string `json:"meaning"`
	Typed   string `json:"typed,omitempty"`
	// Unit is that of Nominal and StdDev, SI.
	Unit        string `json:"unit"`
	Nominal     Real   `json:"nominal"`
	NominalText string `json:"-"`
	// StdDev is 0 and Level empty for a constant.
	StdDev     Real   `json:"sd"`
	SpreadText string `json:"-"`
	RangeText  string `json:"-"` // 1st to 99th percentile
	Level      string `json:"per,omitempty"`
	Knowledge  bool   `json:"knowledge,omitempty"`
	Source     string `json:"source,omitempty"`
	File       string `json:"file,omitempty"`
	Line       int    `json:"line,omitempty"`
}

// scattering lists the inputs that scatter.
func (r Inputs) scattering() *Table {
	t := &Table{Key: "inputs", Caption: "Inputs that scatter", Columns: []Column{
		{Head: "input"}, {Head: "nominal", Number: true}, {Head: "sd", Number: true}, {Head: "P1 … P99", Number: true}, {Head: "one draw per"}, {Head: "typed"},
	}, Notes: []string{"* lack of knowledge: the same unknown number for all cards of the design."}}
	for _, in := range r.Inputs {
		if in.Level == "" {
			continue
		}
		level := in.Level
		if in.Knowledge {
			level += " *"
		}
		t.AddRow(in.Key, in.NominalText, in.SpreadText, in.RangeText, level, in.Typed)
	}
	return t
}

// together lists the inputs that are not drawn on their own.
func (r Inputs) together() *Table {
	t := &Table{Key: "correlations", Caption: "Inputs drawn together", Columns: []Column{{Head: "input"}, {Head: "with"}, {Head: "rank correlation", Number: true}, {Head: "line"}}}
	for _, p := range r.Together {
		t.AddRow(p.Key, p.With, Number(float64(p.Rank), 3), fmt.Sprintf("%s:%d", filepath.Base(p.File), p.Line))
	}
	return t
}

// constants lists the inputs that do not scatter.
func (r Inputs) constants() *Table {
	t := &Table{Key: "constants", Caption: "Inputs taken as constant", Columns: []Column{{Head: "input"}, {Head: "value", Number: true}, {Head: "meaning"}}}
	for _, in := range r.Inputs {
		if in.Level == "" {
			t.AddRow(in.Key, in.NominalText, in.Meaning)
		}
	}
	return t
}

// sources says where each input comes from.
func (r Inputs) sources() *Table {
	t := &Table{Key: "sources", Caption: "Where the inputs come from", Columns: []Column{{Head: "input"}, {Head: "source"}}}
	for _, in := range r.Inputs {
		t.AddRow(in.Key, in.Source)
	}
	return t
}

// Tables lists the inputs: those that scatter, those that are drawn together, the
// constants, the sources.
func (r Inputs) Tables() []Block {
	tables := []Block{r.scattering()}
	if len(r.Together) > 0 {
		tables = append(tables, r.together())
	}
	return append(tables, r.constants(), r.sources())
}

// Document draws the inputs.
func (r Inputs) Document() Document {
	d := Document{Title: r.Provenance.Title}
	d.Add(r.Tables()...)
	d.Add(r.Provenance.Table())
	return d
}
