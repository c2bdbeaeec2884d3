package force

// Preload returns the axial force, in N, that is left of the force after
// tightening: axial (1 - loss) + change. loss, 0 to 1, is the share lost to
// embedding, vibration and cycling; change, in N, is Mismatch.PreloadChange or 0.
//
// Special cases: never below 0; and 0 when axial or what the loss leaves is 0,
// since a screw with slack in it does not follow the change.
func Preload(axial, loss, change float64) float64 {
	kept := axial * (1 - loss)
	if kept <= 0 {
		return 0
	}
	return max(0, kept+change)
}

// Mismatch is a screw and the train it clamps, made of materials that expand
// differently.
type Mismatch struct {
	TrainExpansion  float64 // thermal expansion of the clamped train, 1/K
	ScrewExpansion  float64 // thermal expansion of the screw, 1/K
	Length          float64 // clamped length, m
	ScrewCompliance float64 // elongation of the screw per axial force, m/N, > 0
	TrainCompliance float64 // shortening of the train per axial force, m/N, >= 0
}

// PreloadChange returns the change of the axial force, in N, when the whole clamp
// warms by rise, in K, from the temperature of tightening (VDI 2230, with moduli
// that do not change):
//
//	(alpha_train - alpha_screw) rise L/(delta_S + delta_P)
//
// It is positive for a steel screw in a warming aluminium train.
func (m *Mismatch) PreloadChange(rise float64) float64 {
	return (m.TrainExpansion - m.ScrewExpansion) * rise * m.Length / (m.ScrewCompliance + m.TrainCompliance)
}

// TighteningScatter turns a tightening factor alpha_A = F_max/F_min >= 1 (VDI 2230)
// into the plus-or-minus share about the middle force: (alpha_A - 1)/(alpha_A + 1).
// The factor holds the scatter of friction and tool already: a preload drawn with
// it must not also be drawn from torque and friction.
func TighteningScatter(factor float64) float64 {
	return (factor - 1) / (factor + 1)
}
