package study

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"

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
// another way: the parts of a flatness, or the flatness of parts; the pressure of the gas, or its altitude.
func (s *sources) supersede(e entry) {
	for key, old := range s.entries {
		rival := flatnessOf(key) == e.key || flatnessOf(e.key) == key ||
			e.key == directProfile && inProfile(key) || key == directProfile && inProfile(e.key) ||
			e.key != key && slices.Contains(gasStates, e.key) && slices.Contains(gasStates, key)
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

const directProfile = "face.direct.profile"

var profileKeys = []string{"file", "sheet", "unit", "height_unit", "decimal_comma", "source"}

// profile is what a measured face is made of, peak to valley, m.
type profile struct {
	bow, crown, waves float64
	count             float64 // of the waves along the face; 0 without waves
}

// readProfile reads a measured face: columns x along, y across, z height of a CSV
// file, the heights of both bodies added up, or of the one that is not flat.
func (r *reader) readProfile() (p profile, ok bool) {
	e, given := r.entries[directProfile]
	if !given {
		return profile{}, false
	}
	before := len(r.problems)
	f, isTable := r.tableAt(e, "", e.value, profileKeys, "a table expected", `{ file = "face.csv", unit = "mm", height_unit = "um" }, columns x, y, z`)
	if !isTable {
		return profile{}, false
	}
	s := shapeReader{fields: f, quantity: "m", factor: 1}
	var columns [3][]float64
	for i, name := range []string{"x", "y", "z"} {
		unit := "unit"
		if name == "z" {
			unit = "height_unit"
		}
		if data := s.readings(name, unit); data != nil {
			columns[i] = data.values
		}
	}
	if len(r.problems) > before {
		return profile{}, false
	}
	p, err := newProfile(columns[0], columns[1], columns[2])
	if err != nil {
		f.wrong("file", err.Error(), "")
	}
	return p, err == nil
}

// part is what the profile says of an input: the flatness is its parts together, and
// the split is theirs.
func (p *profile) part(key string) float64 {
	along := p.bow + p.waves
	switch {
	case key == directFlatness:
		return p.crown + along
	case key == flatnessSplit[0] && p.crown > 0:
		return p.crown / (p.crown + along)
	case key == directWaves && p.waves > 0:
		return p.waves / along
	case key == flatnessSplit[2]:
		return p.count
	}
	return 0
}

// mostWaves is the largest number of waves along a face that a profile is searched for.
const mostWaves = 9

// newProfile takes a face apart by least squares:
//
//	z = plane + b (x/L)^2 + c (y/W)^2 + sum over k = 2 .. n of a_k cos(2 pi k x/L) + b_k sin(2 pi k x/L)
//
// x and y from the middle, L and W the ranges measured. Bow and crown are the
// heights of the parabolas (|b|/4, |c|/4), waves that of the sum, and their number
// the mean of k weighted with the square of the amplitudes. n is as far as the readings
// allow, at most mostWaves. A parabola, not one wave, is the bow, since its
// higher harmonics would pass for short waves that no flange follows.
func newProfile(x, y, z []float64) (profile, error) {
	if len(x) != len(y) || len(x) != len(z) {
		return profile{}, fmt.Errorf("x, y and z have %d, %d and %d readings", len(x), len(y), len(z))
	}
	along, across := places(x), places(y)
	most := min(mostWaves, (along-3)/2, (len(x)/2-3)/2) // two readings for each unknown
	if most < 2 || across < 3 {
		return profile{}, fmt.Errorf("a face is measured at 7 places along and 3 across at least, here %d and %d", along, across)
	}
	u, v := centred(x), centred(y)
	columns := 5 + 2*(most-1)
	basis := mat.NewDense(len(x), columns, nil)
	for i := range x {
		row := []float64{1, u[i], v[i], u[i] * u[i], v[i] * v[i]}
		for k := 2; k <= most; k++ {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) * u[i])
			row = append(row, cos, sin)
		}
		basis.SetRow(i, row)
	}
	var fit mat.VecDense
	if err := fit.SolveVec(basis, mat.NewVecDense(len(z), z)); err != nil {
		return profile{}, fmt.Errorf("the places measured do not tell along from across: %w", err)
	}
	p := profile{bow: math.Abs(fit.AtVec(3)) / 4, crown: math.Abs(fit.AtVec(4)) / 4}
	p.waves, p.count = wavesOf(fit.RawVector().Data[5:])
	return p, nil
}

// wavesOf is the height of a sum of harmonics from the second on, cosine and sine by
// turns, and how many waves it is.
func wavesOf(harmonics []float64) (height, count float64) {
	const points = 720
	low, high := 0.0, 0.0
	for i := range points {
		at := 0.0
		for j := 0; j < len(harmonics); j += 2 {
			sin, cos := math.Sincos(2 * math.Pi * float64((j/2+2)*i) / points)
			at += harmonics[j]*cos + harmonics[j+1]*sin
		}
		low, high = min(low, at), max(high, at)
	}
	weight := 0.0
	for j := 0; j < len(harmonics); j += 2 {
		square := harmonics[j]*harmonics[j] + harmonics[j+1]*harmonics[j+1]
		weight += square
		count += square * float64(j/2+2)
	}
	if weight == 0 {
		return 0, 0
	}
	return high - low, count / weight
}

// places counts the different values.
func places(x []float64) int {
	seen := map[float64]bool{}
	for _, v := range x {
		seen[v] = true
	}
	return len(seen)
}

// centred puts values between -1/2 and 1/2.
func centred(x []float64) []float64 {
	low, high := slices.Min(x), slices.Max(x)
	scaled := make([]float64, len(x))
	for i, v := range x {
		scaled[i] = (v-low)/(high-low) - 0.5
	}
	return scaled
}
