package reports

// InputsSchema names the form of the JSON of a checked study.
const InputsSchema = "clampodds.inputs/1"

// Inputs is a study as understood.
type Inputs struct {
	Schema     string     `json:"schema"`
	Provenance Provenance `json:"provenance"`
	Inputs     []Input    `json:"inputs"`
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

// Table lists the inputs, those that scatter first.
func (r Inputs) Table() *Table {
	t := &Table{Key: "inputs", Caption: "Inputs as understood", Columns: []Column{
		{Head: "input"}, {Head: "nominal", Number: true}, {Head: "sd", Number: true}, {Head: "P1 … P99", Number: true}, {Head: "one draw per"}, {Head: "typed"}, {Head: "source"}}}
	for _, scatters := range []bool{true, false} {
		for _, in := range r.Inputs {
			if (in.Level != "") != scatters {
				continue
			}
			level := in.Level
			if in.Knowledge {
				level += " (lack of knowledge)"
			}
			t.AddRow(in.Key, in.NominalText, in.SpreadText, in.RangeText, level, in.Typed, in.Source)
		}
	}
	return t
}

// Document draws the inputs.
func (r Inputs) Document() Document {
	d := Document{Title: r.Provenance.Title}
	d.Add(r.Table(), r.Provenance.Table())
	return d
}
