package question

import (
	"math"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist"
	"clampodds/dist/gauge"
	"clampodds/reports"
	"clampodds/sim/acceptance"
)

// ReadingError is what is wrong with the reading of a torque, N*m as a standard deviation.
type ReadingError struct {
	Factor         float64        // of the guard band
	Single, Shared float64        // from reading to reading, and of all readings of a lot
	From           *reports.Gauge // the study it comes from, if any
}

// Take takes the error from a gauge study; and its guard band unless a factor was asked for.
func (e *ReadingError) Take(g reports.Gauge, factorAsked bool) error {
	scale, err := inUnit(g, "N*m")
	if err != nil {
		return err
	}
	e.From, e.Single, e.Shared = &g, scale*g.Single, scale*g.Shared
	if !factorAsked {
		e.Factor = *g.Process.Guard
	}
	return nil
}

// uncertainty of one reading.
func (e *ReadingError) uncertainty() float64 { return math.Hypot(e.Single, e.Shared) }

// misreadings are those of screws outside a side, at a torque, and of screws in the band.
func (e *ReadingError) misreadings(s *auditSide, torque float64, band dist.Distribution) acceptance.Misreadings {
	u := e.uncertainty()
	switch {
	case u == 0:
		return acceptance.Misreadings{}
	case s.upper:
		return acceptance.Misreadings{Passed: dist.NormalSurvival((torque - s.reads) / u), Failed: gauge.ReadsAbove(band, s.reads, u)}
	}
	return acceptance.Misreadings{Passed: dist.NormalSurvival((s.reads - torque) / u), Failed: gauge.ReadsBelow(band, s.reads, u)}
}

// described is the error as the result shows it; nil without one.
func (e *ReadingError) described(torque *study.Input) *reports.AuditGauge {
	if e.uncertainty() == 0 {
		return nil
	}
	g := &reports.AuditGauge{Single: e.Single, Shared: e.Shared, Factor: e.Factor, SDText: twoDigits(torque, e.uncertainty(), torque.Quantity().Difference())}
	if e.From != nil {
		g.Study, g.Digest = e.From.Data, e.From.Digest
	}
	return g
}
