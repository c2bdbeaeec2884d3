package question

import (
	"math"

	"clampodds/dist/fit"
	"clampodds/reports"
)

// GaugeError is the error of a reading, taken out of the fitted spread.
type GaugeError struct {
	SD, Freedom float64           // standard deviation; degrees of freedom of its estimate, 0: known
	Limit       float64           // of an accuracy class: uniform, beside SD
	From        *reports.FitGauge // the study it comes from, if any
}

// Take takes the error among readings of a unit from a gauge study.
func (e *GaugeError) Take(g reports.Gauge, unit string, oneOperator bool) error {
	scale, err := inUnit(g, unit)
	if err != nil {
		return err
	}
	sd, freedom := g.Scatter.Several, g.Scatter.SeveralFreedom
	if oneOperator {
		sd, freedom = g.Scatter.One, g.Scatter.OneFreedom
	}
	e.SD = scale * sd
	if freedom != nil {
		e.Freedom = *freedom
	}
	e.From = &reports.FitGauge{Study: g.Data, Digest: g.Digest, OneOperator: oneOperator, SD: e.SD}
	return nil
}

// sd is the whole standard deviation.
func (e *GaugeError) sd() float64 { return math.Hypot(e.SD, fit.LimitError(e.Limit)) }

// freedom are the degrees of freedom of an estimate once what is known, the limit of an accuracy class, has been added.
func (e *GaugeError) freedom() float64 {
	if e.Freedom == 0 {
		return 0
	}
	return e.Freedom * math.Pow(e.sd()/e.SD, 4)
}
