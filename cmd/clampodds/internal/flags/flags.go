// Package flags has the flags that several commands take, and their values.
package flags

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"clampodds/dist/readings"
	"clampodds/sim"
)

// Count adds a flag for a whole number from 1 to sim.MostSamples, which may be written as 200000 or 2e5.
func Count[N int | int64](f *pflag.FlagSet, to *N, name, usage string) {
	f.Var(count[N]{to}, name, usage)
}

type count[N int | int64] struct{ to *N }

func (c count[N]) String() string { return strconv.FormatInt(int64(*c.to), 10) }
func (c count[N]) Type() string   { return "N" }

func (c count[N]) Set(s string) error {
	const most = min(sim.MostSamples, math.MaxInt) // some counts are an int
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || x != math.Trunc(x) || !(x >= 1) || x > most {
		return fmt.Errorf("must be a whole number from 1 to %d", int64(most))
	}
	*c.to = N(x)
	return nil
}

// Seed adds a flag for the seed of the study's random numbers; nil where none is given.
func Seed(f *pflag.FlagSet, to **uint64) {
	f.Var(seed{to}, "seed", "seed of the random numbers, 0 included (default: the study's)")
}

type seed struct{ to **uint64 }

func (s seed) String() string {
	if *s.to == nil {
		return ""
	}
	return strconv.FormatUint(**s.to, 10)
}
func (s seed) Type() string { return "uint" }

func (s seed) Set(text string) error {
	x, err := strconv.ParseUint(text, 0, 64)
	if err != nil {
		return errors.New("must be a non-negative integer")
	}
	*s.to = &x
	return nil
}

// Workers adds a flag for the number of processors, see LimitProcessors.
func Workers(f *pflag.FlagSet, to *int) {
	f.IntVar(to, "workers", 0, "processors to use; the result does not depend on it (default: all)")
}

// LimitProcessors keeps the process from using more processors than there are workers asked for, whatever
// parts of it go on side by side.
func LimitProcessors(f *pflag.FlagSet) {
	if workers, err := f.GetInt("workers"); err == nil && workers > 0 {
		runtime.GOMAXPROCS(min(workers, runtime.GOMAXPROCS(0)))
	}
}

// Sampler adds a flag for the sampling plan, by its Word; nil, which is random, where none is given.
func Sampler(f *pflag.FlagSet, to *sim.Sampler) {
	f.Var(sampler{to}, "plan", "sampling plan: "+words())
}

type sampler struct{ to *sim.Sampler }

var samplers = []sim.Sampler{sim.Random{}, sim.LatinHypercube{}, sim.Halton{}}

// Word is the name of a sampling plan as one word of the command line.
func Word(name string) string { return strings.ReplaceAll(strings.ToLower(name), " ", "-") }

// words are those of all sampling plans.
func words() string {
	var words []string
	for _, s := range samplers {
		words = append(words, Word(s.Name()))
	}
	return strings.Join(words, ", ")
}

// SamplerOf is the sampling plan with a name; nil for none.
func SamplerOf(name string) sim.Sampler {
	for _, s := range samplers {
		if s.Name() == name {
			return s
		}
	}
	return nil
}

func (s sampler) String() string {
	if *s.to == nil {
		return Word(samplers[0].Name())
	}
	return Word((*s.to).Name())
}
func (s sampler) Type() string { return "plan" }

func (s sampler) Set(word string) error {
	at := slices.IndexFunc(samplers, func(one sim.Sampler) bool { return word == Word(one.Name()) })
	if at < 0 {
		return fmt.Errorf("must be one of %s", words())
	}
	*s.to = samplers[at]
	return nil
}

// Form is a flag value: the form results are printed in.
type Form string

// The forms.
const (
	Table    Form = "table"
	JSON     Form = "json"
	CSV      Form = "csv"
	Markdown Form = "markdown"
)

func (f *Form) String() string { return string(*f) }
func (f *Form) Type() string   { return "form" }

// Set takes one of the forms.
func (f *Form) Set(s string) error {
	switch Form(s) {
	case Table, JSON, CSV, Markdown:
		*f = Form(s)
		return nil
	}
	return errors.New("must be table, json, csv or markdown")
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

// Workbook adds the flags for how a table is written: the sheet of a workbook and the decimal comma.
func Workbook(f *pflag.FlagSet, sheet *string, comma *bool) {
	f.StringVar(sheet, "sheet", "", "`NAME` of the sheet of a workbook (default: the only one with cells)")
	f.BoolVar(comma, "decimal-comma", false, "2,48 is two and 48 hundredths")
}

// Readings adds those of Workbook and the flags for the unit of a column of readings and the separator.
func Readings(f *pflag.FlagSet, o *readings.Options) {
	Workbook(f, &o.Sheet, &o.DecimalComma)
	f.StringVar(&o.Unit, "unit", "", "unit of the readings (default: the one in the header or a row of units)")
	f.Var((*separator)(&o.Separator), "separator", "character between cells (default: found in the first line)")
}

// separator is a flag value: one character, or 0 for none.
type separator rune

func (s *separator) Type() string { return "string" }

func (s *separator) String() string {
	if *s == 0 {
		return ""
	}
	return string(*s)
}

func (s *separator) Set(text string) error {
	switch runes := []rune(text); len(runes) {
	case 0:
		*s = 0
	case 1:
		*s = separator(runes[0])
	default:
		return errors.New("must be one character")
	}
	return nil
}

// GaugeStudy adds the flag for a file with a gauge study.
func GaugeStudy(f *pflag.FlagSet, to *string) {
	f.StringVar(to, "gauge-study", "", "the same from a gauge study: `FILE` with what gauge --format json printed, or with the readings")
}
