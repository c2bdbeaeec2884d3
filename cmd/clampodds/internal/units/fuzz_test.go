package units

import (
	"errors"
	"math"
	"testing"
)

func FuzzParse(f *testing.F) {
	for _, text := range []string{
		"0.70 N*m", "6 in*lbf", "6 in-lbf", "25 µm", "85 degC", "5 delta degC", "5 Δ°C", "167 W/mK", "7.7 mm²K/W", "12 %",
		"0,70 N*m", "NaN", "1e400 m", "((((", "1 /", "23.6e-6/K", "1 m^-9", "−1 K", "1 Nm2", "1e-9999 m", "\xff", "1 m)",
	} {
		f.Add(text)
	}
	quantities := []Quantity{"1", "K", "dK", "m", "N*m", "Pa", "W/mK", "m2K/W", "1/K"}
	f.Fuzz(func(t *testing.T, text string) {
		for _, q := range quantities {
			v, err := Parse(text, q)
			if err != nil {
				if e := new(Error); !errors.As(err, &e) || e.Message == "" {
					t.Fatalf("Parse(%q, %s): %#v is not an *Error with a message", text, q, err)
				}
				continue
			}
			if math.IsNaN(v.SI) || math.IsInf(v.SI, 0) {
				t.Fatalf("Parse(%q, %s) = %v", text, q, v.SI)
			}
			if again, err := Parse(v.Typed, q); err != nil || again != v {
				t.Fatalf("Parse(%q, %s) = %v, and read again %v, %v", text, q, v, again, err)
			}
			Format(v.SI, q, v.Typed)
		}
	})
}
