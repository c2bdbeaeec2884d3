// Package flags has the values of flags that several commands take.
package flags

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"clampodds/sim"
)

// Count is a whole number that may be written as 200000 or 2e5.
type Count int64

func (c *Count) String() string { return strconv.FormatInt(int64(*c), 10) }
func (c *Count) Type() string   { return "N" }

// Set takes a number from 1 to sim.MostSamples.
func (c *Count) Set(s string) error {
	const most = min(sim.MostSamples, math.MaxInt) // some counts become an int
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || x != math.Trunc(x) || !(x >= 1) || x > most {
		return fmt.Errorf("must be a whole number from 1 to %d", int64(most))
	}
	*c = Count(x)
	return nil
}

// Sampler is a sampling plan by its Word.
type Sampler struct{ sim.Sampler }

var samplers = []sim.Sampler{sim.Random{}, sim.LatinHypercube{}, sim.Halton{}}

// Word is the name of a sampling plan as one word of the command line.
func Word(name string) string { return strings.ReplaceAll(strings.ToLower(name), " ", "-") }

// Words are those of all sampling plans.
func Words() string {
	var words []string
	for _, s := range samplers {
		words = append(words, Word(s.Name()))
	}
	return strings.Join(words, ", ")
}

// SamplerOf is the sampling plan with a name, or with the word for it; nil for none.
func SamplerOf(name string) sim.Sampler {
	for _, s := range samplers {
		if s.Name() == name || Word(s.Name()) == name {
			return s
		}
	}
	return nil
}

func (s *Sampler) String() string {
	if s.Sampler == nil {
		return ""
	}
	return Word(s.Name())
}
func (s *Sampler) Type() string { return "plan" }

// Set takes one of Words.
func (s *Sampler) Set(word string) error {
	if s.Sampler = SamplerOf(word); s.Sampler == nil || word != Word(s.Name()) {
		return fmt.Errorf("must be one of %s", Words())
	}
	return nil
}

// Renamed refuses the old name of a flag with the new one.
func Renamed(f *pflag.FlagSet, old, now string) {
	f.Var(oldName(now), old, "")
	_ = f.MarkHidden(old) // fails for an unknown flag only
}

// oldName is a flag value that is always wrong: the new name of the flag.
type oldName string

func (o oldName) Set(string) error { return fmt.Errorf("the flag is called --%s now", string(o)) }
func (o oldName) String() string   { return "" }
func (o oldName) Type() string     { return "" }
