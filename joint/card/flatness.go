package card

import "clampodds/joint/contact"

// form is how the direct face of an edge departs from a plane, peak to valley, m.
type form struct {
	crown float64 // across, besides that of each face
	bow   float64 // along, one wave over the clamp
	waves float64 // along, shorter
}

// formOf splits the flatness F into its parts and adds the bow given by itself:
//
//	crown = a F,  waves = w (1 - a) F,  bow = (1 - w)(1 - a) F
//
// a and w being the shares across and, of what lies along, in short waves. What
// varies along only and what varies across only have heights that add up, exactly; a
// bow and waves in the same direction add up to at most their heights.
func formOf(in *inputs) form {
	flatness := in.at(directFlatness)
	crown := float64(in.at(directAcross) * flatness)
	waves := float64(in.at(directWaves) * (flatness - crown)) // rounded, as shapeBlock's
	return form{crown: crown, bow: in.at(directBow) + (flatness - crown - waves), waves: waves}
}

// closeAlong is how far bow and waves have closed under the mean pressure of the direct face. The
// waves are closed by the pressure in the strips that the bow leaves, and bend the
// flange over their own, shorter length, B/count: twice as many are up to sixteen
// times as stiff.
func (edge *edgeState) closeAlong(f form) contact.Partial {
	in, conductivity := &edge.in, edge.pressed.conductivity[edge.in.lane]
	pressure := edge.pressed.onFlange[edge.in.lane] / (in.at(clampLength) * in.at(clampWidth))
	length := in.at(clampLength)
	bow := contact.Bow{Height: f.bow, Length: length, Stiffness: edge.stiffnessAgainst(bowWave, length)}
	closed := bow.Close(pressure, conductivity)
	if f.waves == 0 || in.at(directWaveCount) == 0 {
		return closed
	}
	length /= in.at(directWaveCount)
	if closed.Fraction > 0 {
		pressure /= closed.Fraction
	}
	waves := contact.Bow{Height: f.waves, Length: length, Stiffness: edge.stiffnessAgainst(shortWaves, length)}
	return waves.Close(pressure, conductivity).Within(closed)
}
