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
func formOf(in []float64) form {
	flatness := in[directFlatness]
	crown := in[directAcross] * flatness
	waves := in[directWaves] * (flatness - crown)
	return form{crown: crown, bow: in[directBow] + (flatness - crown - waves), waves: waves}
}

// closeAlong closes bow and waves under the mean pressure of the direct face. The
// waves are closed by the pressure in the strips that the bow leaves, and bend the
// flange over their own, shorter length, B/count: twice as many are up to sixteen
// times as stiff.
func (edge *edgeState) closeAlong(f form) {
	in, conductivity := edge.in, edge.pairs[flangeOnRail].Conductivity
	outward, _ := edge.train.FaceForce()
	pressure := outward / (in[clampLength] * in[clampWidth])
	length := in[clampLength]
	bow := contact.Bow{Height: f.bow, Length: length, Stiffness: edge.stiffnessAgainst(bowWave, length)}
	edge.bow = bow.Close(pressure, conductivity)
	if f.waves == 0 || in[directWaveCount] == 0 {
		return
	}
	length /= in[directWaveCount]
	if edge.bow.Fraction > 0 {
		pressure /= edge.bow.Fraction
	}
	waves := contact.Bow{Height: f.waves, Length: length, Stiffness: edge.stiffnessAgainst(shortWaves, length)}
	edge.bow = waves.Close(pressure, conductivity).Within(edge.bow)
}
