// Package material is a small table of the alloys that cards, clamps, chassis
// and screws are made of, at room temperature.
//
// Every number says where it comes from and how firmly it stands. They are
// typical values, not minima, and not for design on their own: two published
// conductivities of 6061 differ by 7 %, and the contact hardness of machined
// aluminium is known within a factor of three. Where it matters, give the
// study your own number, with its spread.
package material

import (
	"fmt"
	"slices"
	"strings"
)

// Standing says how firmly a number is known.
type Standing string

// The standings a number can have.
const (
	Published  Standing = "published"
	FromMemory Standing = "from memory"
	Judgement  Standing = "judgement" // nobody published it; the source says what it leans on
)

// Property is one number of a material. The zero value means not known.
type Property struct {
	Value    float64
	Standing Standing
	Source   string
}

// Known reports whether the table has the number.
func (p Property) Known() bool { return p.Standing != "" }

// Material is one alloy in one temper.
type Material struct {
	Name    string
	Aliases []string // other spellings that Lookup takes

	Conductivity Property // k, W/mK; always known
	Modulus      Property // E, Pa; always known
	Poisson      Property // nu; always known
	Expansion    Property // linear, 20 to 100 C, 1/K; always known
	// Hardness is the contact hardness of the surface, Pa.
	Hardness Property
	Yield    Property // 0.2 % proof stress, Pa
	// Allowable is the bearing pressure under which a pressed part does not
	// creep away (VDI 2230, limiting surface pressure p_G), Pa.
	Allowable Property
}

// Lookup returns the material of that name or alias. Case, spaces, hyphens,
// underscores and a leading AA, EN, AW, AL, UNS, AISI or SS do not matter. The
// error names the nearest materials, or all of them if none begins alike.
func Lookup(name string) (Material, error) {
	wanted := spelling(name)
	var near, all []string
	longest := 1 // one letter in common is not near
	for _, m := range All() {
		all = append(all, m.Name)
		for _, known := range append([]string{m.Name}, m.Aliases...) {
			known = spelling(known)
			if known == wanted {
				return m, nil
			}
			n := commonPrefix(wanted, known)
			if n > longest {
				longest, near = n, nil
			}
			if n == longest && n > 1 && !slices.Contains(near, m.Name) {
				near = append(near, m.Name)
			}
		}
	}
	if len(near) > 0 {
		return Material{}, fmt.Errorf("material %q is not in the table; nearest: %s", name, strings.Join(near, ", "))
	}
	return Material{}, fmt.Errorf("material %q is not in the table: %s", name, strings.Join(all, ", "))
}

// spelling brings the usual ways to write an alloy to one form.
func spelling(name string) string {
	name = strings.NewReplacer(" ", "", "-", "", "_", "", "\t", "").Replace(strings.ToUpper(name))
	for trimmed := true; trimmed; {
		trimmed = false
		for _, prefix := range []string{"AISI", "UNS", "AA", "EN", "AW", "AL", "SS"} {
			if rest, ok := strings.CutPrefix(name, prefix); ok && len(rest) > 0 {
				name, trimmed = rest, true
			}
		}
	}
	return name
}

func commonPrefix(a, b string) int {
	n := 0
	for n < min(len(a), len(b)) && a[n] == b[n] {
		n++
	}
	return n
}
