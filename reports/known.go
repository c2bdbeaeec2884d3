package reports

import "strings"

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
