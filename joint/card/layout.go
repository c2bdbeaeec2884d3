package card

import (
	"fmt"
	"regexp"

	"clampodds/joint/contact"
	"clampodds/joint/force"
)

// Family is the kind of clamp. The zero value is unset.
type Family int

const (
	// TwoFace: the ramps are square to the flange; odd pieces press on the
	// flange, even pieces on the upper rail.
	TwoFace Family = iota + 1
	// FourFace: the ramps are turned about the screw axis, so that odd pieces
	// also press on the slot's side wall and even pieces on the frame's rib.
	FourFace
)

// String returns "two-face", "four-face", or "unset" for any other value.
func (f Family) String() string {
	switch f {
	case TwoFace:
		return "two-face"
	case FourFace:
		return "four-face"
	}
	return "unset"
}

// ParseFamily is the inverse of String; any text but "two-face" and "four-face"
// is an error.
func ParseFamily(text string) (Family, error) {
	for _, f := range []Family{TwoFace, FourFace} {
		if text == f.String() {
			return f, nil
		}
	}
	return 0, fmt.Errorf("clamp family %q: want two-face or four-face", text)
}

// Layout is what does not scatter: the kind of clamp, how many pieces it has,
// the thread of its screw, the gas, and which components the card carries.
type Layout struct {
	Family     Family
	Anchor     force.Anchor
	Pieces     int // of each train: odd, 3 to force.MaxPieces
	Thread     force.Thread
	Gas        contact.Gas
	Components []string // lower-case letters, digits, _ and -; each once
}

var componentName = regexp.MustCompile(`^[a-z0-9][a-z0-9_-]*$`)

// Validate refuses a layout that cannot be built, naming the field, the value
// and what is allowed.
func (l *Layout) Validate() error {
	if l.Family != TwoFace && l.Family != FourFace {
		return fmt.Errorf("layout family %d: want TwoFace or FourFace", int(l.Family))
	}
	if _, err := force.NewTrain(l.Pieces, l.Anchor); err != nil {
		return fmt.Errorf("layout: %w", err)
	}
	if !(l.Thread.Pitch > 0 && l.Thread.PitchDiameter > 0 && l.Thread.StressArea > 0) {
		return fmt.Errorf("layout thread %q: pitch, pitch diameter and stress area must be above 0", l.Thread.Designation)
	}
	if _, err := contact.ParseGas(l.Gas.String()); err != nil {
		return fmt.Errorf("layout: %w", err)
	}
	seen := map[string]bool{}
	for _, name := range l.Components {
		if !componentName.MatchString(name) {
			return fmt.Errorf("layout component %q: want lower-case letters, digits, _ and -", name)
		}
		if seen[name] {
			return fmt.Errorf("layout component %q: named twice", name)
		}
		seen[name] = true
	}
	return nil
}
