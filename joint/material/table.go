package material

// Sources that recur.
const (
	asm      = "ASM Handbook vol. 2, MMPDS"
	typical  = "Aluminum Association, typical values"
	handbook = "handbook value"
	bearing  = "VDI 2230:2003, limiting surface pressure"
	// The guideline prints these in italics: not yet confirmed by experiment.
	unconfirmed = "VDI 2230:2003, limiting surface pressure, there not yet confirmed"
	// The interval is 1.0 to 3.4 GPa: bulk hardness at the lower end, the
	// microhardness fit of Sridhar and Yovanovich 1996 at the upper, which starts at
	// 1.30 GPa Brinell and does not reach 6061.
	machined = "median of 1.0 to 3.4 GPa for machined aluminium (range: Sridhar and Yovanovich 1996); sample it, ln sd 0.3"
)

// vickers is 1 kgf/mm2 in Pa.
const vickers = 9.80665e6

func published(value float64, source string) Property { return Property{value, Published, source} }
func recalled(value float64, source string) Property  { return Property{value, FromMemory, source} }
func judged(value float64, source string) Property    { return Property{value, Judgement, source} }

// All returns the whole table, the light alloys first. The caller owns the
// result.
func All() []Material {
	return []Material{
		{
			Name: "6061-T6", Aliases: []string{"6061", "6061-T651"},
			Conductivity: published(167, asm), Modulus: published(68.9e9, asm), Poisson: published(0.33, asm), Expansion: published(23.6e-6, asm),
			Hardness: judged(1.4e9, machined), Yield: published(276e6, typical), Allowable: judged(260e6, "as AW-6082: "+unconfirmed),
		},
		{
			Name: "6063-T5", Aliases: []string{"6063"},
			Conductivity: published(209, typical), Modulus: published(68.9e9, typical), Poisson: published(0.33, typical), Expansion: published(23.4e-6, typical),
			Hardness: recalled(1.094e9, "contact hardness from joint tests"), Yield: published(145e6, typical),
		},
		{
			Name: "6082-T6", Aliases: []string{"6082"},
			Conductivity: recalled(172, handbook), Modulus: recalled(70e9, handbook), Poisson: recalled(0.33, handbook), Expansion: recalled(23.4e-6, handbook),
			Hardness: judged(1.4e9, machined), Yield: recalled(255e6, "EN 755-2, smallest"), Allowable: published(260e6, unconfirmed),
		},
		{
			Name: "7075-T6", Aliases: []string{"7075", "7075-T651"},
			Conductivity: published(130, asm), Modulus: published(71.7e9, asm), Poisson: published(0.33, asm), Expansion: published(23.6e-6, asm),
			Hardness: published(175*vickers, "HV 175, converted from Brinell 150, as contact hardness"), Yield: published(503e6, typical), Allowable: published(410e6, unconfirmed),
		},
		{
			Name: "2024-T3", Aliases: []string{"2024", "2024-T351"},
			Conductivity: published(121, asm), Modulus: published(73.1e9, asm), Poisson: published(0.33, asm), Expansion: published(23.2e-6, typical),
			Hardness: judged(1.4e9, machined), Yield: published(345e6, typical),
		},
		{
			Name: "C11000", Aliases: []string{"C110", "C11000-H04", "copper", "Cu-ETP"},
			Conductivity: published(391, asm), Modulus: published(117e9, asm), Poisson: published(0.34, asm), Expansion: published(17.0e-6, asm),
			Hardness: recalled(90*vickers, "hard temper, HB 90"), Yield: recalled(310e6, "hard temper H04; annealed 69 MPa"),
		},
		{
			Name: "C17200", Aliases: []string{"C172", "BeCu", "beryllium copper"},
			Conductivity: published(105, asm), Modulus: published(128e9, asm), Poisson: published(0.30, asm), Expansion: published(17.5e-6, asm),
			Hardness: recalled(368*vickers, "aged, HV 345 to 390"), Yield: recalled(1000e6, "aged, 965 to 1200 MPa"),
		},
		{
			Name: "C36000", Aliases: []string{"C360", "brass"},
			Conductivity: published(115, asm), Modulus: published(97e9, asm), Poisson: published(0.34, asm), Expansion: published(20.5e-6, asm),
			Hardness: recalled(140*vickers, "half hard, HRB 78, about HB 140"), Yield: published(310e6, "ASTM B16 rod of 25 mm, half hard, typical"),
		},
		{
			Name: "304", Aliases: []string{"30400", "S30400", "1.4301", "18-8", "A2"},
			Conductivity: published(16.2, asm), Modulus: published(193e9, asm), Poisson: published(0.29, asm), Expansion: published(17.3e-6, asm),
			Hardness: published(1.92e9, "bulk hardness in joint tests; machined skins reach 3.5 GPa"), Yield: recalled(215e6, "annealed"),
			Allowable: judged(630e6, "as 1.4303: "+bearing),
		},
		{
			Name: "316", Aliases: []string{"31600", "S31600", "1.4401", "A4"},
			Conductivity: recalled(16.3, handbook), Modulus: published(193e9, "annealed bar, handbook"), Poisson: recalled(0.28, handbook), Expansion: published(15.9e-6, handbook),
			Hardness: published(155*vickers, "annealed bar, HV 155"), Yield: published(240e6, "annealed bar"), Allowable: published(460e6, unconfirmed),
		},
		{
			Name: "17-4PH", Aliases: []string{"17-4", "17-4PH-H900", "630", "S17400", "1.4542"},
			Conductivity: published(17.9, asm), Modulus: published(197e9, asm), Poisson: published(0.27, asm), Expansion: published(10.8e-6, asm),
			Hardness: recalled(370*vickers, "H900, HB 352 to 388"), Yield: recalled(1170e6, "H900, AMS 5643, smallest"),
		},
		{
			Name: "A-286", Aliases: []string{"660", "S66286", "1.4980"},
			Conductivity: published(12.7, "steel maker's data at 20 C"), Modulus: published(201e9, "steel maker's data"), Poisson: published(0.306, "steel maker's data"), Expansion: published(16.4e-6, "steel maker's data, 27 to 100 C"),
			Hardness: recalled(290*vickers, "aged, HB 248 to 341"), Yield: recalled(586e6, "AMS 5732, smallest"), Allowable: published(860e6, unconfirmed),
		},
		{
			Name: "4340", Aliases: []string{"G43400", "1.6565", "alloy steel"},
			Conductivity: recalled(44.5, handbook), Modulus: recalled(205e9, handbook), Poisson: recalled(0.29, handbook), Expansion: published(12.3e-6, handbook),
		},
		{
			Name: "Ti-6Al-4V", Aliases: []string{"Ti64", "R56400", "3.7165", "grade 5"},
			Conductivity: recalled(6.7, handbook), Modulus: published(113.8e9, "annealed, handbook"), Poisson: published(0.342, "annealed, handbook"), Expansion: published(8.6e-6, handbook),
			Hardness: published(349*vickers, "annealed bar, HV 349"), Yield: published(830e6, "annealed bar"), Allowable: published(890e6, unconfirmed),
		},
	}
}
