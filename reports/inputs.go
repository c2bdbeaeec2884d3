package reports

import (
	"fmt"
	"path/filepath"
	"strings"
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
	Together []InputPair  `json:"correlations,omitempty"`
	Limits   []InputLimit `json:"limits"`
	// Maker has the clamp maker's limits of the torque, which the study's own and the recommended one are held to.
	Maker      []InputLimit     `json:"-"`
	Rule       Rule             `json:"rule"`
	Conditions []InputCondition `json:"conditions"`
	// Offers are the options and the tolerances on offer.
	Offers []InputOpen `json:"open,omitempty"`
	// Slots are those of a chassis, in the order in which the coolant passes them.
	Slots []InputSlot `json:"slots,omitempty"`
	// Capitals are the names of components, as typed, that are taken in lower case.
	Capitals []string `json:"taken_in_lower_case,omitempty"`
}

// InputSlot is a slot with its card: the file of its study and its nominal heat.
type InputSlot struct {
	Name  string  `json:"name"`
	Card  string  `json:"card"`
	Title string  `json:"title"`
	Heat  float64 `json:"heat_W"`
}

// InputLimit is a limit of the study.
type InputLimit struct {
	Output string  `json:"quantity"`
	Label  string  `json:"-"`
	Limit  float64 `json:"limit"`
	Unit   string  `json:"unit"`
	Shown  string  `json:"-"`
	// Target is the accepted probability of exceeding, null when the study sets none.
	Target *float64 `json:"target"`
	Source string   `json:"source,omitempty"`
	File   string   `json:"file"`
	Line   int      `json:"line"`
}

// InputCondition is a condition of the mission.
type InputCondition struct {
	Name string `json:"name"`
	// Informative conditions are shown and not judged.
	Informative bool `json:"informative,omitempty"`
	// Share of the mission time, null when the study gives none.
	Share   *float64      `json:"share"`
	Changes []InputChange `json:"changes"`
	File    string        `json:"file"`
	Line    int           `json:"line"`
}

// InputChange is what a condition puts in place of something.
type InputChange struct {
	Key    string `json:"key"`
	Before string `json:"study"`
	After  string `json:"condition"`
}

// InputOpen is what is open of the design, with what may be chosen.
type InputOpen struct {
	Name    string        `json:"name"`
	Choices []InputChoice `json:"choices"`
}

// InputChoice is a choice with its cost and what it puts in place of something; of a tolerance, how
// many times the study's spread it is.
type InputChoice struct {
	Offered
	Changes []InputChange `json:"changes"`
	Spread  *float64      `json:"spread,omitempty"`
}

// InputPair is two inputs with the rank correlation they are drawn with.
type InputPair struct {
	Key  string  `json:"input"`
	With string  `json:"with"`
	Rank float64 `json:"rank"`
	File string  `json:"file"`
	Line int     `json:"line"`
}

// Input is one input of the model.
type Input struct {
	Key     string `json:"key"`
	Meaning string `json:"meaning"`
	Typed   string `json:"typed,omitempty"`
	// Unit is that of Nominal and StdDev, SI.
	Unit        string  `json:"unit"`
	Nominal     float64 `json:"nominal"`
	NominalText string  `json:"-"`
	// StdDev is 0 and Level empty for a constant.
	StdDev     float64 `json:"sd"`
	SpreadText string  `json:"-"`
	RangeText  string  `json:"-"` // 1st to 99th percentile
	Level      string  `json:"per,omitempty"`
	Knowledge  bool    `json:"knowledge,omitempty"`
	Source     string  `json:"source,omitempty"`
	File       string  `json:"file,omitempty"`
	Line       int     `json:"line,omitempty"`
}

func (r Inputs) scattering() *Table {
	t := newTable("inputs", "Inputs that scatter", texts("input"), numbers("nominal", "sd", "P1 … P99"), texts("one draw per", "typed"))
	t.note("* lack of knowledge: the same unknown number for all cards of the design.")
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
	t.note(r.roughnessNote()...)
	return t
}

// roughnessNote says why a roughness is not the number on the drawing.
func (r Inputs) roughnessNote() []string {
	for _, in := range r.Inputs {
		if strings.HasSuffix(in.Key, ".roughness") {
			return []string{"roughness: shown as the rms value of the heights; one typed as Ra was multiplied by 1.253."}
		}
	}
	return nil
}

// together lists the inputs that are not drawn on their own.
func (r Inputs) together() *Table {
	t := newTable("correlations", "Inputs drawn together", texts("input", "with"), numbers("rank correlation"), texts("line"))
	for _, p := range r.Together {
		t.AddRow(p.Key, p.With, Number(p.Rank, 3), fmt.Sprintf("%s:%d", filepath.Base(p.File), p.Line))
	}
	return t
}

// constants lists the inputs that do not scatter.
func (r Inputs) constants() *Table {
	t := newTable("constants", "Inputs taken as constant", texts("input"), numbers("value"), texts("meaning"))
	for _, in := range r.Inputs {
		if in.Level == "" {
			t.AddRow(in.Key, in.NominalText, in.Meaning)
		}
	}
	return t
}

// limits lists what is asked of the design.
func (r Inputs) limits() *Table {
	t := newTable("limits", "Limits", texts("quantity"), numbers("limit", "accepted probability of exceeding"), texts("line", "source"))
	for _, l := range r.Limits {
		target := "none set: no verdict"
		if l.Target != nil {
			target = ExactProbability(*l.Target)
		}
		t.AddRow(l.Label, l.Shown, target, fmt.Sprintf("%s:%d", filepath.Base(l.File), l.Line), l.Source)
	}
	if len(r.Limits) > 0 {
		t.note(r.Rule.words())
	}
	return t
}

func (r Inputs) slots() *Table {
	t := newTable("slots", "Slots in the order in which the coolant passes them", texts("slot", "card", "its study"), numbers("heat [W]"))
	for _, s := range r.Slots {
		t.AddRow(s.Name, s.Title, filepath.Base(s.Card), fourDigits(s.Heat))
	}
	return t
}

func (r Inputs) conditions() *Table {
	t := newTable("conditions", "Conditions of the mission", texts("condition"), numbers("share of the time"), texts("input", "in the study", "in the condition"))
	for _, c := range r.Conditions {
		name, share := c.Name, "not stated"
		if c.Informative {
			name += " (shown only)"
		}
		if c.Share != nil {
			share = shareOfTime(*c.Share)
		}
		if len(c.Changes) == 0 {
			t.AddRow(name, share, "nothing", "", "")
		}
		for _, change := range c.Changes {
			t.AddRow(name, share, change.Key, change.Before, change.After)
			name, share = "", ""
		}
	}
	return t
}

// offers lists what may be chosen.
func (r Inputs) offers() *Table {
	t := newTable("options", "Options and tolerances on offer", texts("option", "choice"), numbers("cost"), texts("input", "in the study", "in the choice"))
	for _, o := range r.Offers {
		option := o.Name
		for _, c := range o.Choices {
			cells := []string{option, c.Name, Plain(c.Cost)}
			switch {
			case c.Spread != nil && *c.Spread != 1:
				t.AddRow(append(cells, o.Name, "", Plain(*c.Spread)+" times the spread")...)
			case len(c.Changes) == 0:
				t.AddRow(append(cells, "as written", "", "")...)
			}
			for _, change := range c.Changes {
				t.AddRow(append(cells, change.Key, change.Before, change.After)...)
				cells = []string{"", "", ""}
			}
			option = ""
		}
	}
	return t
}

func (r Inputs) sources() *Table {
	t := newTable("sources", "Where the inputs come from", texts("input", "source"))
	for _, in := range r.Inputs {
		t.AddRow(in.Key, in.Source)
	}
	return t
}

// Tables lists the inputs: those that scatter, those that are drawn together, the
// constants; limits and conditions; the sources.
func (r Inputs) Tables() []Block {
	var d Document
	d.AddFilled(r.slots())
	d.Add(r.scattering())
	d.AddFilled(r.together())
	d.Add(r.constants())
	d.AddFilled(r.limits(), r.conditions(), r.offers())
	d.Add(r.sources())
	return d.Blocks
}

// Document draws the inputs.
func (r Inputs) Document() Document {
	d := Document{Title: r.Provenance.Title}
	left := r.left()
	d.Add(left[0])
	if len(r.Capitals) > 0 {
		d.Add(Paragraph(fmt.Sprintf("Names of components are taken in lower case: %s.", strings.ToLower(strings.Join(r.Capitals, ", ")))))
	}
	d.Add(r.Tables()...)
	d.Add(left[1:]...)
	d.Add(r.Provenance.Table())
	return d
}

// KnownSchema names the form of the JSON of what a study may name.
const KnownSchema = "clampodds.known/1"

// Known is what a study may name: the words of its tables, and every key.
type Known struct {
	Schema    string          `json:"schema"`
	Version   string          `json:"version"`
	Threads   []KnownThread   `json:"threads"`
	Materials []KnownWord     `json:"materials"`
	Finishes  []KnownWord     `json:"finishes"`
	Keys      []KnownKey      `json:"keys"`
	Units     []KnownQuantity `json:"units"`
}

// KnownThread is a thread of the table; lengths in m, the area in m2.
type KnownThread struct {
	Name       string  `json:"name"`
	Pitch      float64 `json:"pitch_m"`
	StressArea float64 `json:"stress_area_m2"`
	Standard   string  `json:"standard"`
}

// KnownWord is a word with its other spellings.
type KnownWord struct {
	Name string   `json:"name"`
	Also []string `json:"also,omitempty"`
}

// KnownKey is a key of a study.
type KnownKey struct {
	Key string `json:"key"`
	// Unit is one that the value may have, empty for a word or a list.
	Unit    string `json:"unit,omitempty"`
	Meaning string `json:"meaning,omitempty"`
}

// KnownQuantity is a quantity with units as a study or a header may have them.
type KnownQuantity struct {
	Quantity string   `json:"quantity"`
	Units    []string `json:"units"`
}

// Document draws the lists.
func (k Known) Document() Document {
	d := Document{Title: "What a study may name"}
	threads := newTable("threads", "Threads: screw.thread", texts("name"), numbers("pitch [mm]", "stress area [mm²]"), texts("standard"))
	threads.note("Case and blanks do not matter; #8-32, M3 x 0.5 and the like are taken. Others by screw.pitch, screw.pitch_diameter and screw.stress_area.")
	for _, t := range k.Threads {
		threads.AddRow(t.Name, Number(1e3*t.Pitch, 3), Number(1e6*t.StressArea, 2), t.Standard)
	}
	d.Add(threads,
		knownWords("materials", "Materials: clamp.material, flange.material, rail.material", k.Materials),
		knownWords("finishes", "Finishes: clamp.finish, flange.finish, rail.finish", k.Finishes))
	keys := newTable("keys", "Keys", texts("key", "unit, for instance", "meaning"))
	for _, key := range k.Keys {
		keys.AddRow(key.Key, key.Unit, key.Meaning)
	}
	units := newTable("units", "Units", texts("quantity", "for instance"))
	units.note("Metric units take the prefixes G, M, k, h, c, m, u, n; units are multiplied, divided and raised: N/mm2, W/(m*K).")
	for _, q := range k.Units {
		units.AddRow(q.Quantity, strings.Join(q.Units, ", "))
	}
	d.Add(keys, units)
	return d
}

func knownWords(key, caption string, words []KnownWord) *Table {
	t := newTable(key, caption, texts("name", "or"))
	for _, w := range words {
		t.AddRow(w.Name, strings.Join(w.Also, ", "))
	}
	return t
}
