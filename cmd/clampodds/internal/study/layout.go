package study

import (
	"fmt"
	"math"
	"strings"

	"clampodds/joint/card"
	"clampodds/joint/contact"
	"clampodds/joint/force"
)

// layout reads what does not scatter. What cannot be read is reported and
// replaced, so that the rest is checked.
func (r *reader) layout() card.Layout {
	l := fallbackLayout(r.components)
	families, anchors := []string{"two-face", "four-face"}, []string{"end", "centre"}
	l.Family = choice(r, "clamp.family", card.ParseFamily, families, l.Family)
	l.Anchor = choice(r, "clamp.anchor", force.ParseAnchor, anchors, l.Anchor)
	r.takes("clamp.family", map[string]any{"enum": families})
	r.takes("clamp.anchor", map[string]any{"enum": anchors})
	l.Pieces = r.pieces(l)
	l.Thread = r.thread(l.Thread)
	l.Gas = contact.Air
	gases := []string{"air", "helium", "nitrogen", "vacuum"}
	r.takes("gas.kind", map[string]any{"type": "string", "examples": gases}) // in small letters or capitals
	if _, ok := r.entries["gas.kind"]; ok {
		l.Gas = choice(r, "gas.kind", contact.ParseGas, gases, l.Gas)
	}
	return l
}

func (r *reader) pieces(l card.Layout) int {
	r.takes("clamp.pieces", map[string]any{"type": "integer", "minimum": 3, "maximum": force.MaxPieces, "not": map[string]any{"multipleOf": 2}})
	wanted := fmt.Sprintf("an odd whole number from 3 to %d expected", force.MaxPieces)
	e, ok := r.entries["clamp.pieces"]
	if !ok {
		r.missing("clamp.pieces", wanted)
		return l.Pieces
	}
	n, ok := e.value.(int64)
	if _, err := force.NewTrain(int(min(n, math.MaxInt32)), l.Anchor); !ok || err != nil {
		hint := ""
		if _, quoted := e.value.(string); quoted {
			hint = "without quotes"
		}
		r.refuse(e, "", e.value, wanted, hint)
		return l.Pieces
	}
	return int(n)
}

// ownThread are the keys of a thread that is not in the table.
var ownThread = []string{"screw.pitch", "screw.pitch_diameter", "screw.stress_area"}

// thread reads a thread by its name or by its own numbers.
func (r *reader) thread(fallback force.Thread) force.Thread {
	own := r.present(ownThread)
	named, ok := r.entries["screw.thread"]
	switch {
	case ok && len(own) > 0:
		r.refuse(own[0], "", own[0].value, "the thread is given by name and by its own numbers", "give screw.thread, or the three others")
		return fallback
	case ok:
		name, _ := named.value.(string)
		t, err := force.ThreadNamed(name)
		if err != nil {
			r.refuse(named, "", named.value, "the thread is not in the table", strings.TrimSpace(didYouMean(name, force.ThreadNames())+
				" Or give screw.pitch, screw.pitch_diameter and screw.stress_area"))
			return fallback
		}
		return *t
	case len(own) < len(ownThread):
		r.missing("screw.thread", "or give screw.pitch, screw.pitch_diameter and screw.stress_area")
		return fallback
	}
	return r.ownThread(own, fallback)
}

func (r *reader) ownThread(own []entry, fallback force.Thread) force.Thread {
	pitch, ok1 := r.quantity(own[0], "", own[0].value, "m", 1)
	diameter, ok2 := r.quantity(own[1], "", own[1].value, "m", 1)
	area, ok3 := r.quantity(own[2], "", own[2].value, "m2", 1)
	if !ok1 || !ok2 || !ok3 {
		return fallback
	}
	t, err := force.NewThread(pitch.SI, diameter.SI, area.SI)
	if err != nil {
		r.refuse(own[0], "", own[0].value, err.Error(), "")
		return fallback
	}
	return *t
}
