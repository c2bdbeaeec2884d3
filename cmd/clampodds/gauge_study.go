package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"

	"clampodds/reports"
)

// gaugeStudy reads what --gauge-study names: the result of gauge as JSON, or the readings,
// which are then judged as gauge does without flags.
func gaugeStudy(path string) (reports.Gauge, error) {
	text, _, err := readWhole(path)
	if err != nil {
		return reports.Gauge{}, err
	}
	if !bytes.HasPrefix(bytes.TrimSpace(text), []byte("{")) {
		g := newGauging()
		return g.study(path)
	}
	var r reports.Gauge
	err = json.Unmarshal(text, &r)
	switch {
	case err != nil:
	case r.Schema != reports.GaugeSchema:
		err = fmt.Errorf("schema %q: must be %s", r.Schema, reports.GaugeSchema)
	case !(r.Process.Standard > 0 && r.Scatter.One > 0 && r.Scatter.Several > 0 && r.Single > 0 && r.Shared >= 0):
		err = errors.New("it gives no uncertainty")
	}
	if err != nil {
		return r, usage(fmt.Errorf("%s: no result of gauge --format json: %w", path, err))
	}
	return r, nil
}

// gaugeUnit returns how many of a unit are one of the gauge's; differences are meant.
func gaugeUnit(g reports.Gauge, unit string) (float64, error) {
	if g.Unit == unit {
		return 1, nil
	}
	if g.Unit == "" || unit == "" {
		return 0, fmt.Errorf("one of the gauge study and the readings has no unit: %q and %q", g.Unit, unit)
	}
	convert, err := between(g.Unit, unit)
	if err != nil {
		return 0, fmt.Errorf("the gauge study is in %s: %w", g.Unit, err)
	}
	return math.Abs(convert(1) - convert(0)), nil
}
