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
	f.Var(value{"N", func() string { return strconv.FormatInt(int64(*to), 10) }, func(s string) error {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil || x != math.Trunc(x) || !(x >= 1) || x > sim.MostSamples {
			return fmt.Errorf("must be a whole number from 1 to %d", int64(sim.MostSamples))
		}
		*to = N(x)
		return nil
	}}, name, usage)
}

// value is one of a flag: what it is called, its text, and how that is read.
type value struct {
	kind string
	text func() string
	set  func(text string) error
}

func (v value) Type() string          { return v.kind }
func (v value) String() string        { return v.text() }
func (v value) Set(text string) error { return v.set(text) }

// Seed adds a flag for the seed of the study's random numbers; nil where none is given.
func Seed(f *pflag.FlagSet, to **uint64) {
	text := func() string {
		if *to == nil {
			return ""
		}
		return strconv.FormatUint(**to, 10)
	}
	f.Var(value{"uint", text, func(text string) error {
		x, err := strconv.ParseUint(text, 0, 64)
		if err != nil {
			return errors.New("must be a non-negative integer")
		}
		*to = &x
		return nil
	}}, "seed", "seed of the random numbers, 0 included (default: the study's)")
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
	text := func() string {
		if *to == nil {
			return Word(samplers[0].Name())
		}
		return Word((*to).Name())
	}
	f.Var(value{"plan", text, func(word string) error {
		at := slices.IndexFunc(samplers, func(one sim.Sampler) bool { return word == Word(one.Name()) })
		if at < 0 {
			return fmt.Errorf("must be one of %s", words())
		}
		*to = samplers[at]
		return nil
	}}, "plan", "sampling plan: "+words())
}

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
	f.Var(value{"", func() string { return "" }, func(string) error { return fmt.Errorf("the flag is called --%s now", now) }}, old, "")
	_ = f.MarkHidden(old) // fails for an unknown flag only
}

// Workbook adds the flags for how a table is written: the sheet of a workbook and the decimal comma.
func Workbook(f *pflag.FlagSet, sheet *string, comma *bool) {
	f.StringVar(sheet, "sheet", "", "`NAME` of the sheet of a workbook (default: the only one with cells)")
	DecimalComma(f, comma)
}

// DecimalComma adds the flag that says what a comma in a number of a table is.
func DecimalComma(f *pflag.FlagSet, comma *bool) {
	f.BoolVar(comma, decimalComma, false, "2,48 is two and 48 hundredths")
}

// Readings adds those of Workbook and the flags for the unit of a column of readings and the separator.
func Readings(f *pflag.FlagSet, o *readings.Options) {
	Workbook(f, &o.Sheet, &o.DecimalComma)
	f.StringVar(&o.Unit, "unit", "", "unit of the readings (default: the one in the header or a row of units)")
	text := func() string { return strings.Trim(string(o.Separator), "\x00") } // 0 for none
	f.Var(value{"string", text, func(text string) error {
		runes := append([]rune(text), 0)
		if len(runes) > 2 {
			return errors.New("must be one character")
		}
		o.Separator = runes[0]
		return nil
	}}, "separator", "character between cells (default: found in the first line)")
}

// GaugeStudy adds the flag for a file with a gauge study.
func GaugeStudy(f *pflag.FlagSet, to *string) {
	f.StringVar(to, "gauge-study", "", "the same from a gauge study: `FILE` with what gauge --format json printed, or with the readings")
}

// Nearest adds to an error that a flag is not known which one may be meant, in the words of a hint.
func Nearest(f *pflag.FlagSet, err error, hint func(typed string, known []string) string) error {
	unknown := new(pflag.NotExistError)
	if !errors.As(err, &unknown) {
		return err
	}
	var names []string
	f.VisitAll(func(f *pflag.Flag) { names = append(names, "--"+f.Name) })
	return fmt.Errorf("%w%s", err, hint("--"+unknown.GetSpecifiedName(), names))
}
