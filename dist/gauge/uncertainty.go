package gauge

import (
	"fmt"
	"math"

	"clampodds/sim/result"
)

// Known is what is known of a gauge beside the study; the zero value is nothing.
type Known struct {
	Resolution  float64 // the step of its readings
	Linearity   float64 // the largest deviation over its range
	Calibration float64 // standard uncertainty of its calibration
}

func (k Known) check() error {
	for name, x := range map[string]float64{"resolution": k.Resolution, "linearity": k.Linearity, "calibration": k.Calibration} {
		if !(x >= 0) || math.IsInf(x, 1) {
			return fmt.Errorf("%s %g: must be >= 0 and finite", name, x)
		}
	}
	return nil
}

// Term is a standard uncertainty in the terms of ISO 22514-7.
type Term struct {
	Symbol  string  `json:"symbol"`
	Name    string  `json:"name"`
	Value   float64 `json:"standard_uncertainty"`
	Counted bool    `json:"counted"` // of repeatability and resolution the larger one counts
}

// Uncertainty is the budget of a measurement process (ISO 22514-7).
type Uncertainty struct {
	Terms []Term
	// System is u_MS, Process u_MP with its interval and its degrees of freedom (Welch and
	// Satterthwaite, JCGM 100:2008, G.4; what is known beside the study counts as exact).
	System, Process float64
	Interval        result.Interval
	Freedom         float64
	// Single is the part of u_MP that differs from reading to reading, Shared the part that
	// all readings of one operator have in common.
	Single, Shared float64
	errs           errs
}

// Uncertainty adds what is known of the gauge to what the study says. An error names what is
// below 0.
func (s *Study) Uncertainty(k Known) (Uncertainty, error) {
	if err := k.check(); err != nil {
		return Uncertainty{}, err
	}
	repeatability := math.Sqrt(s.Variance(Repeatability))
	operator, interaction := math.Sqrt(s.Variance(Operator)), math.Sqrt(s.Variance(Interaction))
	resolution, linearity := k.Resolution/math.Sqrt(12), k.Linearity/math.Sqrt(3) // uniform
	reading := math.Max(repeatability, resolution)
	u := Uncertainty{
		Terms: []Term{
			{"u_EVO", "repeatability on the parts", repeatability, repeatability >= resolution},
			{"u_RE", "resolution", resolution, resolution > repeatability},
			{"u_CAL", "calibration", k.Calibration, true},
			{"u_LIN", "linearity", linearity, true},
			{"u_AV", "operators", operator, true},
			{"u_IA", "interaction of operator and part", interaction, true},
		},
		Single: math.Hypot(reading, interaction),
		Shared: math.Hypot(operator, math.Hypot(k.Calibration, linearity)),
	}
	u.System = math.Hypot(reading, math.Hypot(k.Calibration, linearity))
	u.Process = math.Hypot(u.Single, u.Shared)
	square := u.Process * u.Process
	known := square - s.Gauge.Variance // beside the study
	u.Interval = result.Interval{Low: math.Sqrt(s.Gauge.Interval.Low + known), High: math.Sqrt(s.Gauge.Interval.High + known)}
	u.errs = errs{known, s.squares}
	u.Freedom = s.GaugeFreedom * (square / s.Gauge.Variance) * (square / s.Gauge.Variance)
	return u, nil
}

// Scatter is the standard deviation of the gauge's error among readings of different parts:
// what operators differ by counts where several of them read.
func (s *Study) Scatter(oneOperator bool) float64 {
	if oneOperator {
		return math.Sqrt(s.Gauge.Variance - s.Variance(Operator))
	}
	return math.Sqrt(s.Gauge.Variance)
}

// ScatterFreedom is the degrees of freedom of the square of Scatter (Satterthwaite): of one operator the cells and the
// repeats alone tell it.
func (s *Study) ScatterFreedom(oneOperator bool) float64 {
	if !oneOperator || s.Operators == 1 {
		return s.GaugeFreedom
	}
	rows := s.Without
	if s.Kept {
		rows = s.With
	}
	rest := rows[len(rows)-1]
	if !s.Kept {
		return float64(rest.Freedom)
	}
	r := float64(s.Repeats)
	cells, repeats := rows[2].MeanSquare/r, (1-1/r)*rest.MeanSquare // the interaction and the repeatability together
	sum := cells + repeats
	return sum * sum / (cells*cells/float64(rows[2].Freedom) + repeats*repeats/float64(rest.Freedom))
}

// Ratio is the capability ratio Q = 2 U over the tolerance, U = 2 u.
func Ratio(u, tolerance float64) float64 { return 4 * u / tolerance }
