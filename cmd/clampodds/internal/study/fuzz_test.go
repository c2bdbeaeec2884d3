package study

import (
	"errors"
	"math"
	"testing"

	"clampodds/testdata/studies"
)

// FuzzStudy: whatever the text, Parse returns a whole study or Problems, and does
// not panic.
func FuzzStudy(f *testing.F) {
	for _, text := range []string{
		"", "extends = \"two-face.toml\"", "extends = \"audit.toml\"\n[clamp]\nfamily = \"four-face\"\npieces = 3", "[run]\nseed = 1\n[clamp]\nwidth = \"6 mm\"", "extends = \"two-face.toml\"\n[screw]\ntorque = { shape = \"mixture\", lots = [{}] }",
		"extends = \"two-face.toml\"\ncondition = [1]", "component = 1\ncorrelation = {}\ncondition = [[]]", "[[component]]\nname.x = 1",
		"extends = \"two-face.toml\"\n[screw]\ntorque = { shape = \"normal\", mean = [], sd = {} , per = 1 }", "\"a.b\" = 1\na.b = 2", "[\"\"]\n\"\" = 1",
		"extends = \"two-face.toml\"\n[limits]\nedge = { max = [] }", "extends = \"two-face.toml\"\n[[condition]]\nname = \"x\"\nreplace.clamp = { pieces = 3 }",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := Parse("fuzz.toml", []byte(text), studies.Files.ReadFile)
		if err != nil {
			problems := Problems{}
			if !errors.As(err, &problems) || len(problems) == 0 || s != nil {
				t.Fatalf("Parse returned %v, %v", s, err)
			}
			for _, p := range problems {
				if p.File == "" || p.Message == "" {
					t.Fatalf("incomplete problem %#v", p)
				}
			}
			return
		}
		if _, err := s.Model(); err != nil {
			t.Fatal(err)
		}
		for _, in := range s.Inputs {
			if math.IsNaN(in.Nominal) || math.IsInf(in.Nominal, 0) {
				t.Fatalf("%s is %v", in.Key, in.Nominal)
			}
		}
	})
}
