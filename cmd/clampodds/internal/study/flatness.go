package study

import (
	"fmt"
	"slices"
	"strings"

	"clampodds/dist"
	"clampodds/joint/card"
	"clampodds/sim"
)

// A face's flatness is given as the drawing has it, one number for the whole face,
// or by its parts. The direct face is split inside the model: across (crown), along
// (bow) and in waves shorter than the clamp. A piece is short both ways and not
// bent: the whole of its flatness counts as crown, the safe reading, as the crown's
// wave is the shortest and the hardest to close.
const (
	directFlatness = "face.direct.flatness"
	directWaves    = "face.direct.flatness_waves"
)

// flatnessSplit are the inputs that say how the flatness of the direct face is split.
var flatnessSplit = []string{"face.direct.flatness_across", directWaves, "face.direct.wave_count"}

// flatnessOf is the key of the flatness that a part of it stands for; "" for other keys.
func flatnessOf(key string) string {
	face, part, _ := strings.Cut(strings.TrimPrefix(key, "face."), ".")
	if !strings.HasPrefix(key, "face.") || part != "crown" && part != "bow" {
		return ""
	}
	return "face." + face + ".flatness"
}

// pieceFlatness are the flatnesses that are no inputs of the model.
var pieceFlatness = []string{"face.piece.flatness", "face.upper.flatness", "face.ramp.flatness", "face.side.flatness", "face.rib.flatness"}

// supersede drops from the bases of a document what a key of it says anew in
// another way: the parts of a flatness, or the flatness of parts.
func (s *sources) supersede(e entry) {
	for key, old := range s.entries {
		rival := flatnessOf(key) == e.key || flatnessOf(e.key) == key ||
			e.key == directProfile && inProfile(key) || key == directProfile && inProfile(e.key)
		if rival && old.doc != e.doc {
			delete(s.entries, key)
		}
	}
}

// inProfile reports whether a measured profile holds what a key says.
func inProfile(key string) bool {
	return key == directFlatness || flatnessOf(key) == directFlatness || slices.Contains(flatnessSplit, key)
}

// judgeFlatness refuses a flatness beside its parts, a split of nothing, and either
// beside a measured profile.
func (r *reader) judgeFlatness() {
	r.profile, r.profiled = r.readProfile()
	if _, measured := r.entries[directProfile]; measured {
		for key, e := range r.entries {
			if inProfile(key) {
				r.refuse(e, "", e.value, directProfile+" is given too, which holds it", "give the profile, or the flatness, or its parts")
			}
		}
		return
	}
	for key, e := range r.entries {
		whole := flatnessOf(key)
		if _, both := r.entries[whole]; both {
			r.refuse(e, "", e.value, whole+" is given too, which holds it", "give the flatness, or its parts")
		}
	}
	if _, whole := r.entries[directFlatness]; whole {
		return
	}
	for _, key := range flatnessSplit {
		if e, ok := r.entries[key]; ok {
			r.refuse(e, "", e.value, "it splits "+directFlatness+", which is not given", "give the flatness in place of bow and crown")
		}
	}
}

// flatness gives the inputs that a flatness stands for or that split it.
//
// How a flatness is split is not known before a face is measured. Across the width
// goes anything from none to half: a machined face departs more over a long way
// than over a short one, and the width is a twentieth of the length, so that it has
// not the larger part. Of what lies along, short waves have anything from none to
// half for the same reason. Their number is between two, the next after the bow, and
// one for each piece, below which they are a matter of the single face. The ranges
// are this project's judgement.
func (r *reader) flatness(p card.Parameter, l *card.Layout) (Input, bool) {
	in := Input{Key: p.Key, Parameter: p, Origin: Default}
	if e, ok := r.entries[directProfile]; ok && inProfile(p.Key) {
		in.Origin, in.File, in.Line, in.Source = Given, e.doc.file, e.line(""), "in "+directProfile
		in.Nominal = r.profile.part(p.Key)
		return in, r.profiled && r.allowed(e, &in)
	}
	if whole := flatnessOf(p.Key); whole != "" {
		e, ok := r.entries[whole]
		switch {
		case !ok:
			return Input{}, false
		case whole == directFlatness:
			in.Source = "in " + directFlatness
			return in, true
		}
		return r.given(e, p)
	}
	if _, whole := r.entries[directFlatness]; !whole {
		return Input{}, false
	}
	low, high := 0.0, 0.5
	switch p.Key {
	default:
		return Input{}, false
	case flatnessSplit[0], directWaves:
		in.Source = "not known before a face is measured: not the larger part, which lies in the longer wave"
	case flatnessSplit[2]:
		if e, ok := r.entries[directWaves]; ok && nothing(e.value) {
			return Input{}, false
		}
		low, high = 2, float64(l.Pieces)
		in.Source = "not known before a face is measured: from the next after the bow to one for each piece"
	}
	in.Dist = dist.Must(dist.NewUniform(low, high)) // a train has at least three pieces
	in.Nominal, in.Level, in.Knowledge = (low+high)/2, sim.Design, true
	in.Typed = fmt.Sprintf("uniform, low %g, high %g", low, high)
	return in, true
}

// nothing reports a plain 0.
func nothing(value any) bool { return value == int64(0) || value == 0.0 }
