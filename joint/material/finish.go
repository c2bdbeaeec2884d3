package material

import "fmt"

// Finish is what a surface was treated with: a film bonded to the metal. Bare has
// no property known.
type Finish struct {
	Name    string
	Aliases []string // other spellings that LookupFinish takes

	Thickness    Uncertain // m
	Conductivity Uncertain // W/mK
	Hardness     Uncertain // contact hardness of the film, Pa
}

// Uncertain is a property of which a median and a logarithmic standard deviation
// are known: lack of knowledge of the film that a shop will make, the same for all
// cards of a design.
type Uncertain struct {
	Property
	SigmaLn float64
}

// LookupFinish returns the finish of that name or alias; case, spaces, hyphens and
// underscores do not matter. The error names all of them.
func LookupFinish(name string) (Finish, error) {
	wanted := spelling(name)
	for _, f := range Finishes() {
		for _, known := range append([]string{f.Name}, f.Aliases...) {
			if spelling(known) == wanted {
				return f, nil
			}
		}
	}
	return Finish{}, fmt.Errorf("finish %q is not in the table", name)
}

// Sources that recur.
const (
	plating = "handbook of plating"
	cai     = "Cai et al., J. Chem. Eng. Data 55 (2010): 1.22 at 220 K, 1.71 at 480 K, sulphuric films of 1.4 to 5 um"
)

func about(p Property, sigmaLn float64) Uncertain { return Uncertain{p, sigmaLn} }

// Finishes returns the table. The caller owns the result. Thickness is usually on
// the drawing and then belongs in the study; of conversion films neither thickness
// nor conductivity is known within a factor of three.
func Finishes() []Finish {
	return []Finish{
		{Name: "bare"},
		{
			Name: "sulphuric anodic film", Aliases: []string{"sulfuric anodic film", "anodic film"},
			Thickness:    about(recalled(10e-6, "MIL-A-8625 type II: 1.8 to 25.4 um"), 0.35),
			Conductivity: about(published(1.3, cai), 0.15),
			Hardness:     about(judged(3.0e9, "at least 3 GPa, common practice, no source"), 0.2),
		},
		{
			Name: "hard anodic film", Aliases: []string{"hard anodize"},
			Thickness:    about(recalled(50e-6, "MIL-A-8625 type III: 12.7 to 115 um, 50.8 um unless stated"), 0.15),
			Conductivity: about(judged(1.3, "as the sulphuric film: "+cai), 0.2),
			Hardness:     about(recalled(400*vickers, "ISO 10074, class 1 alloys: HV 400 and more"), 0.15),
		},
		{
			Name: "chemical conversion film", Aliases: []string{"chromate conversion film", "conversion film"},
			Thickness:    about(judged(0.32e-6, "0.1 to 1 um as 2.5th and 97.5th percentile, common practice, no source"), 0.59),
			Conductivity: about(judged(0.6, "a hydrated oxide gel, 0.2 to 2 W/mK; no measurement found"), 0.6),
			Hardness:     about(judged(1.0e9, "no measurement found; so thin a film leaves the metal's hardness"), 0.4),
		},
		{
			Name: "electroless nickel", Aliases: []string{"nickel phosphorus"},
			Thickness:    about(recalled(13e-6, "12.7 to 50 um usual"), 0.3),
			Conductivity: about(recalled(5, plating+", 8 to 10 % phosphorus: 4 to 8 W/mK"), 0.2),
			Hardness:     about(recalled(500*vickers, plating+", as plated: HV 480 to 550"), 0.1),
		},
		{
			Name: "tin", Aliases: []string{"tin plate"},
			Thickness:    about(recalled(8e-6, "5 to 10 um usual"), 0.2),
			Conductivity: about(recalled(66.6, "Incropera table A.1"), 0.05),
			Hardness:     about(recalled(9*vickers, plating+", matt: HV 8 to 12"), 0.2),
		},
		{
			Name: "silver", Aliases: []string{"silver plate"},
			Thickness:    about(judged(5e-6, "2 to 12 um usual, common practice, no source"), 0.4),
			Conductivity: about(recalled(429, "Incropera table A.1"), 0.05),
			Hardness:     about(recalled(80*vickers, plating+", plated: HV 60 to 120"), 0.3),
		},
	}
}
