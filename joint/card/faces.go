package card

import "strconv"

// faceKind is a family of contact faces of one edge.
type faceKind int

const (
	direct faceKind = iota // flange to lower rail, under every piece
	piece                  // flange to odd piece
	upper                  // even piece to upper rail
	ramp                   // piece to next piece
	side                   // odd piece to the slot's side wall, four-face only
	rib                    // even piece to the frame's rib, four-face only
	faceKinds
)

func (k faceKind) String() string {
	return [faceKinds]string{"direct", "piece", "upper", "ramp", "side", "rib"}[k]
}

// face is one contact face of an edge: its kind and the piece (or ramp) it
// belongs to, counted from 1.
type face struct {
	kind     faceKind
	position int
}

func (f face) String() string { return f.kind.String() + "/" + strconv.Itoa(f.position) }

// Index of each property within a face's block of the input vector.
const (
	crown = iota
	taper
	film
	faceFactor
	faceParameters
)

// faces lists the contact faces of one edge in the order of their blocks.
func (l *Layout) faces() []face {
	var list []face
	for i := 1; i <= l.Pieces; i++ {
		odd := i%2 == 1
		list = append(list, face{direct, i})
		if odd {
			list = append(list, face{piece, i})
		} else {
			list = append(list, face{upper, i})
		}
		if l.Family == FourFace && odd {
			list = append(list, face{side, i})
		} else if l.Family == FourFace {
			list = append(list, face{rib, i})
		}
		if i < l.Pieces {
			list = append(list, face{ramp, i})
		}
	}
	return list
}

// faceCount is the number of faces: under each piece, over it, at its side with four
// faces, and the ramp to the next.
func (l *Layout) faceCount() int {
	each := 3
	if l.Family == FourFace {
		each = 4
	}
	return each*l.Pieces - 1
}

// faceRow is a row of the table of face parameters: the property and the
// kinds of face that have it.
type faceRow struct {
	Parameter
	property int
	kinds    []faceKind
}

// faceTable describes the per-face parameters.
func (l *Layout) faceTable() []faceRow {
	kinds := []faceKind{direct, piece, upper, ramp}
	if l.Family == FourFace {
		kinds = append(kinds, side, rib)
	}
	where := [faceKinds]string{
		"flange on lower rail", "flange on odd piece", "even piece on upper rail",
		"ramp on ramp", "odd piece on side wall", "even piece on rib",
	}
	var table []faceRow
	add := func(k faceKind, property int, p Parameter) {
		p.Key = "face." + k.String() + "." + p.Key
		p.Meaning += ", " + where[k]
		table = append(table, faceRow{p, property, []faceKind{k}})
	}
	for _, k := range kinds {
		add(k, crown, Parameter{Key: "crown", Unit: "m", Low: 0, High: 1e-3, UsualLow: 0, UsualHigh: 5e-5, Default: required, Meaning: "peak-to-valley crown across the width, both faces together"})
		if k == direct || k == upper {
			add(k, taper, Parameter{Key: "taper", Unit: "m", Low: 0, High: 1e-3, UsualLow: 0, UsualHigh: 5e-5, Default: required, Meaning: "mismatch over the width of faces that are not parallel"})
		}
		add(k, film, Parameter{Key: "film", Unit: "m2K/W", Low: 0, High: 1e-2, UsualLow: 0, UsualHigh: 1e-4, Default: 0, Meaning: "resistance of what fills the gap, grease, a pad or dirt, thickness over conductivity"})
	}
	table = append(table, faceRow{Parameter{
		Key: "contact.face_factor", Unit: "1", Low: 0.02, High: 50, UsualLow: 0.5, UsualHigh: 2, Default: 1,
		Meaning: "factor on one face's conductance: what differs from face to face",
	}, faceFactor, kinds})
	for i := range table {
		table[i].Scope = PerFace
	}
	return table
}
