package force

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// threads is the table behind ThreadNamed; it is never changed. Metric sizes in
// mm, tolerances 6g/6H in um (ISO 965-1: es, T_d, T_d2, T_D2, T_D1). Inch sizes
// in inches and threads per inch.
var threads = []Thread{
	metric("M2.5", 2.5, 0.45, 20, 100, 71, 95, 125),
	metric("M3", 3, 0.5, 20, 106, 75, 100, 140),
	metric("M3.5", 3.5, 0.6, 21, 125, 85, 112, 160),
	metric("M4", 4, 0.7, 22, 140, 90, 118, 180),
	metric("M5", 5, 0.8, 24, 150, 95, 125, 200),
	metric("M6", 6, 1, 26, 180, 112, 150, 236),
	metric("M8", 8, 1.25, 28, 212, 118, 160, 265),
	metric("M8x1", 8, 1, 26, 180, 112, 150, 236),
	metric("M10", 10, 1.5, 32, 236, 132, 180, 300),
	metric("M10x1.25", 10, 1.25, 28, 212, 118, 160, 265),
	metric("M12", 12, 1.75, 34, 265, 150, 200, 335),
	metric("M12x1.25", 12, 1.25, 28, 212, 132, 180, 265),
	unified("No. 4-40 UNC", 0.112, 40),
	unified("No. 6-32 UNC", 0.138, 32),
	unified("No. 8-32 UNC", 0.164, 32),
	unified("No. 10-24 UNC", 0.190, 24),
	unified("No. 10-32 UNF", 0.190, 32),
	unified("1/4-20 UNC", 0.250, 20),
	unified("1/4-28 UNF", 0.250, 28),
}

func metric(designation string, d, p, allowance, screwMajor, screwPitch, nutPitch, nutMinor float64) Thread {
	t := newProfile(d*millimetre, p*millimetre, rootDepth, tolerances{
		allowance:  allowance * micrometre,
		screwMajor: screwMajor * micrometre,
		screwPitch: screwPitch * micrometre,
		nutPitch:   nutPitch * micrometre,
		nutMinor:   nutMinor * micrometre,
	})
	t.Designation = designation
	t.Standard = "ISO 261, ISO 724, ISO 898-1; 6g/6H ISO 965-1"
	// A_s = (pi/4) ((d2 + d3)/2)^2, ISO 898-1 9.1.6.1.
	t.StressArea = math.Pi / 16 * (t.PitchDiameter + t.MinorDiameter) * (t.PitchDiameter + t.MinorDiameter)
	return t
}

func unified(designation string, d, perInch float64) Thread {
	major, pitch := d*inch, inch/perInch
	t := newProfile(major, pitch, unifiedRoot, unifiedTolerances(major, pitch))
	t.Designation = designation
	t.Standard = "ASME B1.1; 2A/2B"
	// A_t = 0.7854 (D - 0.9743/n)^2, ASME B1.1 appendix B. The basis differs from ISO's.
	t.StressArea = math.Pi / 4 * (major - 0.9743*pitch) * (major - 0.9743*pitch)
	return t
}

// ThreadNames returns the designations of the standard threads, in table order.
func ThreadNames() []string {
	names := make([]string, len(threads))
	for i := range threads {
		names[i] = threads[i].Designation
	}
	return names
}

// ThreadNamed returns a copy of a standard thread: metric M2.5 to M12 (ISO 261) and
// unified No. 4-40 to 1/4-28 (ASME B1.1); ThreadNames lists them. Case and spaces do
// not matter, "No." may be "#" or absent, the series UNC or UNF and the pitch of a
// coarse metric thread may be given or left out: "m3", "M3 x 0.5", "#4-40 UNC",
// "10-32". A class of tolerance behind it ("6-32 UNC-2A", "M3-6g") is left out: size and pitch, which count here, are those of all
// classes. An unknown name, or a wrong series ("10-32 UNC"), is an error that lists
// the nearest names.
func ThreadNamed(name string) (*Thread, error) {
	sized := name
	if m := class.FindStringSubmatch(strings.TrimSpace(name)); m != nil {
		sized = m[1]
	}
	wanted := spelling(sized)
	var near []string
	longest := 0
	for _, t := range threads {
		full := spelling(t.Designation)
		short := strings.TrimRight(full, "uncf")
		coarse := full + "x" + strconv.FormatFloat(t.Pitch/millimetre, 'g', 4, 64)
		if wanted == full || wanted == short || wanted == coarse {
			return &t, nil
		}
		switch n := commonPrefix(wanted, full); {
		case n > longest:
			longest, near = n, []string{t.Designation}
		case n == longest:
			near = append(near, t.Designation)
		}
	}
	return nil, fmt.Errorf("thread %q is not in the table; nearest: %s; or give pitch, pitch diameter and stress area",
		name, strings.Join(near, ", "))
}

// class is a class of tolerance: 1A to 3B of ASME B1.1, and 6g, 6H or 4g6g of ISO 965-1.
var class = regexp.MustCompile(`^(.*[0-9cfCF]"?)\s*(?:[- ]\s*(?:[123][ABab])|[-/ ]\s*(?:[3-9][eghGH]){1,2})$`)

// spelling brings the usual ways to write a thread to one form.
func spelling(name string) string {
	name = strings.NewReplacer(" ", "", "\t", "", "#", "", `"`, "", ",", ".", "×", "x").Replace(strings.ToLower(name))
	name = strings.TrimPrefix(strings.TrimPrefix(name, "no"), ".")
	if size, pitch, found := strings.Cut(name, "x"); found {
		if p, err := strconv.ParseFloat(pitch, 64); err == nil {
			return size + "x" + strconv.FormatFloat(p, 'g', 4, 64)
		}
	}
	return name
}

// commonPrefix returns how many leading bytes a and b share.
func commonPrefix(a, b string) int {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	return n
}
