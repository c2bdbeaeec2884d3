package main

import (
	"errors"
	"fmt"
	"math"

	"github.com/spf13/pflag"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/dist/gauge"
	"clampodds/reports"
	"clampodds/sim/acceptance"
)

// readingError is what is wrong with the reading of a torque, N*m as a standard deviation.
type readingError struct {
	text, study    string
	factor         float64 // of the guard band
	given          func(flag string) bool
	single, shared float64 // from reading to reading, and of all readings of a lot
	limit          float64 // the lower end of the band with its guard band: from there on a reading passes
	from           *reports.Gauge
}

func (e *readingError) flags(f *pflag.FlagSet) {
	f.StringVar(&e.text, "gauge", "", "standard deviation of a reading's own error, as in 0.005N*m (default: none)")
	f.StringVar(&e.study, "gauge-study", "", "the same from a gauge study: `FILE` with what gauge --format json printed, or with the readings")
	f.Float64Var(&e.factor, "guard-factor", gauge.GuardFactor, "guard band in standard deviations of that error; 1.65 accepts 5 % of the screws on the limit (with --gauge-study: Student's t with its degrees of freedom)")
	e.given = f.Changed
}

// load finds the error.
func (e *readingError) load() error {
	switch {
	case !(e.factor >= 0 && e.factor <= 10):
		return usage(fmt.Errorf("--guard-factor %g: must be 0 to 10", e.factor))
	case e.text != "" && e.study != "":
		return usage(errors.New("--gauge and --gauge-study are the same error: give one of them"))
	case e.text != "":
		v, err := units.Parse(e.text, units.Quantity("N*m"))
		if err == nil && !(v.SI > 0) {
			err = errors.New("must be above 0")
		}
		if err != nil {
			return usage(fmt.Errorf("--gauge %q: %w", e.text, err))
		}
		e.single = v.SI
	case e.study != "":
		g, err := gaugeStudy(e.study)
		if err != nil {
			return err
		}
		scale, err := gaugeUnit(g, "N*m")
		if err != nil {
			return usage(fmt.Errorf("%s: %w", e.study, err))
		}
		e.from, e.single, e.shared = &g, scale*float64(g.Single), scale*float64(g.Shared)
		if freedom := g.Process.Freedom; freedom != nil && !e.given("guard-factor") {
			e.factor = gauge.GuardFactorOf(float64(*freedom))
		}
	}
	return nil
}

// uncertainty of one reading.
func (e *readingError) uncertainty() float64 { return math.Hypot(e.single, e.shared) }

// misreadings are those of screws as loose as this and of screws in the band.
func (e *readingError) misreadings(loose float64, band dist.Distribution) acceptance.Misreadings {
	u := e.uncertainty()
	if u == 0 {
		return acceptance.Misreadings{}
	}
	return acceptance.Misreadings{Passed: dist.NormalSurvival((e.limit - loose) / u), Failed: gauge.ReadsBelow(band, e.limit, u)}
}

// described is the error as the result shows it; nil without one.
func (e *readingError) described(torque *study.Input, m acceptance.Misreadings) *reports.AuditGauge {
	if e.uncertainty() == 0 {
		return nil
	}
	g := &reports.AuditGauge{
		Single: real(e.single), Shared: real(e.shared), Factor: real(e.factor), Limit: real(e.limit), LimitText: torque.Format(e.limit), SDText: twoDigits(torque, e.uncertainty(), torque.Quantity().Difference()),
		Passed: real(m.Passed), Failed: real(m.Failed),
	}
	if e.from != nil {
		g.Study, g.Digest = e.from.Data, e.from.Digest
	}
	return g
}

// relative is the error in standard deviations of torques that spread by sd.
func (e *readingError) relative(sd float64) acceptance.ReadingError {
	return acceptance.ReadingError{Single: e.single / sd, Shared: e.shared / sd}
}
