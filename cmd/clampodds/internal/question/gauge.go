package question

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist/gauge"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/result"
)

// Gauge asks whether a gauge is good enough. Numbers are in the unit of the readings.
type Gauge struct {
	Columns      gauge.Options
	Model        gauge.Model
	Known        gauge.Known
	Tolerance    result.Interval // ends infinite where there is none
	LargestRatio float64         // of 2 U to the tolerance
	GuardFactor  *float64        // nil: that of the study
	Level        float64
}

// NewGauge asks without a tolerance.
func NewGauge() Gauge {
	return Gauge{Model: gauge.ByTest, Tolerance: result.Interval{Low: math.Inf(-1), High: math.Inf(1)}, LargestRatio: 0.3, Level: 0.95}
}

// Ask judges the gauge by the readings of a study. Without a tolerance there is no target.
func (g Gauge) Ask(data, digest string, text []byte) (r reports.Gauge, verdict sim.Verdict, err error) {
	r = reports.Gauge{Schema: reports.GaugeSchema, Version: Version, Data: data, Digest: digest, Level: g.Level}
	if err := g.check(); err != nil {
		return r, verdict, err
	}
	g.Columns.Format.Convert = InTheirUnit(g.Columns.Format.Unit)
	file, err := gauge.Read(text, g.Columns)
	if err != nil {
		return r, verdict, err
	}
	r.Column, r.Unit = file.Column, file.Unit
	s, err := gauge.New(file.Readings, g.Model, g.Level)
	if err != nil {
		return r, verdict, err
	}
	u, err := s.Uncertainty(g.Known)
	if err != nil {
		part, rest, _ := strings.Cut(err.Error(), " ") // it names what is known by its field
		return r, verdict, refused(part, "%s", rest)
	}
	describeGauge(&r, s, u)
	return r, g.judge(&r, u), nil
}

func (g *Gauge) check() error {
	switch {
	case !(g.Tolerance.Low < g.Tolerance.High):
		return refused("low", "%g, --high %g: the tolerance is empty", g.Tolerance.Low, g.Tolerance.High)
	case g.GuardFactor != nil && !(*g.GuardFactor >= 0 && *g.GuardFactor <= 10):
		return refused("guard-factor", "%g: must be 0 to 10", *g.GuardFactor)
	case !(g.LargestRatio > 0 && g.LargestRatio <= 1):
		return refused("largest-ratio", "%g: must be above 0, 1 at most", g.LargestRatio)
	}
	return nil
}

// GaugeStudy reads a study: the result of gauge as JSON, or the readings, which are then
// judged without a tolerance.
func GaugeStudy(data, digest string, text []byte) (r reports.Gauge, err error) {
	if !bytes.HasPrefix(bytes.TrimSpace(text), []byte("{")) {
		r, _, err = NewGauge().Ask(data, digest, text)
		return r, err
	}
	err = json.Unmarshal(text, &r)
	switch {
	case err != nil:
	case r.Schema != reports.GaugeSchema:
		err = fmt.Errorf("schema %q: must be %s", r.Schema, reports.GaugeSchema)
	case !(r.Process.Standard > 0 && r.Scatter.One > 0 && r.Scatter.Several > 0 && r.Single > 0 && r.Shared >= 0):
		err = errors.New("it gives no uncertainty")
	case r.Process.Guard == nil:
		err = errors.New("it is of an earlier version and gives no guard factor")
	}
	if err != nil {
		return r, fmt.Errorf("no result of gauge --format json: %w", err)
	}
	return r, nil
}

// inUnit returns how many of a unit are one of the gauge's; differences are meant.
func inUnit(g reports.Gauge, unit string) (float64, error) {
	if g.Unit == unit {
		return 1, nil
	}
	if g.Unit == "" || unit == "" {
		return 0, fmt.Errorf("one of the gauge study and the readings has no unit: %q and %q", g.Unit, unit)
	}
	convert, err := units.Between(g.Unit, unit)
	if err != nil {
		return 0, fmt.Errorf("the gauge study is in %s: %w", g.Unit, err)
	}
	return math.Abs(convert(1) - convert(0)), nil
}
