package gauge

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"clampodds/sim/result"
)

// Component is a variance with its interval.
type Component struct {
	Source   string
	Variance float64
	Interval result.Interval
}

// Model says whether the interaction is in the model.
type Model string

// The models.
const (
	ByTest  Model = "auto" // left out when its F test has p > 0.25
	With    Model = "with"
	Without Model = "without"
)

// leftOut is the p above which the interaction is left out.
const leftOut = 0.25

// Study is what a gauge study says.
type Study struct {
	Parts, Operators, Repeats int
	Mean, Level               float64
	// With and Without are the analyses of variance; With is nil for one operator.
	With, Without []Row
	// Kept says whether the interaction is in the model that the components come from.
	Kept bool
	// Components are repeatability, and for several operators operator and interaction;
	// Between are the parts, Gauge all but them.
	Components     []Component
	Between, Gauge Component
	// GaugeFreedom is the degrees of freedom of the gauge's variance (Satterthwaite,
	// Biometrics 2 (1946) 110).
	GaugeFreedom float64
	squares      []weighted // whose sum estimates the gauge's variance
}

// New analyses the readings of a study; the level of the intervals is in (0, 1). Other input,
// missing or unequal cells among it, gets an error with the lines of the readings.
func New(readings []Reading, model Model, level float64) (*Study, error) {
	if !(level > 0 && level < 1) {
		return nil, fmt.Errorf("confidence %g: must be above 0 and below 1", level)
	}
	if !slices.Contains([]Model{ByTest, With, Without}, model) {
		return nil, fmt.Errorf("interaction %q: must be %s, %s or %s", model, ByTest, With, Without)
	}
	t, err := arrange(readings)
	if err != nil {
		return nil, err
	}
	s := &Study{Parts: len(t.parts), Operators: len(t.operators), Repeats: t.repeats, Level: level}
	if s.With, s.Without, s.Mean, err = t.analysis(); err != nil {
		return nil, err
	}
	if s.With != nil {
		s.Kept = model == With || model != Without && s.With[2].P <= leftOut
	}
	s.estimate()
	return s, nil
}

// estimate solves the expected mean squares: of parts e + r c + o r p, of operators
// e + r c + p r o, of the interaction e + r c, of the repeats e.
func (s *Study) estimate() {
	limits := large{(1 - s.Level) / 2}
	p, o, r := float64(s.Parts), float64(s.Operators), float64(s.Repeats)
	rows := s.Without
	if s.Kept {
		rows = s.With
	}
	part, rest := rows[0], rows[len(rows)-1]
	cells := rest // mean square of the means of the cells, operators and parts apart
	s.Components = []Component{{Repeatability, rest.MeanSquare, limits.square(rest)}}
	share := []weighted{{1, rest}} // of the gauge in mean squares
	if s.Operators > 1 {
		operator := rows[1]
		// left out, it may still be as large as the full model says
		crossed := Component{Source: Interaction, Interval: limits.component(Interaction, s.With[2], s.With[3], r).Interval}
		share = []weighted{{1 / (p * r), operator}, {1 - 1/(p*r), rest}}
		if s.Kept {
			cells = rows[2]
			crossed = limits.component(Interaction, cells, rest, r)
			share = []weighted{{1 / (p * r), operator}, {(p - 1) / (p * r), cells}, {1 - 1/r, rest}}
		}
		s.Components = append(s.Components, limits.component(Operator, operator, cells, p*r), crossed)
	}
	s.Between = limits.component(Part, part, cells, o*r)
	s.Gauge, s.GaugeFreedom = limits.sum(share)
	s.squares = share
	s.Gauge.Variance = 0 // the components as shown, none of them below zero
	for _, c := range s.Components {
		s.Gauge.Variance += c.Variance
	}
}

// component is the difference of two mean squares over the number of readings in a mean.
func (l large) component(source string, a, b Row, readings float64) Component {
	between := l.difference(a, b)
	return Component{source, math.Max(0, (a.MeanSquare-b.MeanSquare)/readings), result.Interval{Low: math.Max(0, between.Low/readings), High: math.Max(0, between.High/readings)}}
}

// Variance returns that of a component, 0 for one that the study cannot tell.
func (s *Study) Variance(source string) float64 {
	for _, c := range s.Components {
		if c.Source == source {
			return c.Variance
		}
	}
	return 0
}

// large makes modified large-sample intervals with so much left out on each side.
type large struct{ tail float64 }

// weighted is a mean square with its coefficient.
type weighted struct {
	coefficient float64
	square      Row
}

// spread returns G and H, how far the ends of the exact interval of one expected mean square
// lie below and above it, as shares of the mean square.
func (l large) spread(freedom int) (g, h float64) {
	ratio := func(p float64) float64 {
		half := float64(freedom) / 2
		return mathext.GammaIncRegInv(half, p) / half
	}
	return 1 - 1/ratio(1-l.tail), 1/ratio(l.tail) - 1
}

// square is the exact interval of one expected mean square.
func (l large) square(r Row) result.Interval {
	g, h := l.spread(r.Freedom)
	return result.Interval{Low: r.MeanSquare * (1 - g), High: r.MeanSquare * (1 + h)}
}

// sum is the interval of a sum of expected mean squares (Graybill and Wang 1980), with the
// degrees of freedom of its estimate.
func (l large) sum(terms []weighted) (c Component, freedom float64) {
	below, above, squares, parts := 0.0, 0.0, 0.0, 0.0
	for _, t := range terms {
		g, h := l.spread(t.square.Freedom)
		x := t.coefficient * t.square.MeanSquare
		squares += x
		below, above = below+g*g*x*x, above+h*h*x*x
		parts += x * x / float64(t.square.Freedom)
	}
	return Component{Source: "gauge", Variance: squares, Interval: result.Interval{Low: squares - math.Sqrt(below), High: squares + math.Sqrt(above)}}, squares * squares / parts
}

// difference is the interval of the difference of two expected mean squares (Ting and others
// 1990). Its lower end is 0 exactly where the F test is on its verge.
func (l large) difference(a, b Row) result.Interval {
	f := distuv.F{D1: float64(a.Freedom), D2: float64(b.Freedom)}
	g1, h1 := l.spread(a.Freedom)
	g2, h2 := l.spread(b.Freedom)
	x, y := a.MeanSquare, b.MeanSquare
	upper, lower := f.Quantile(1-l.tail), f.Quantile(l.tail)
	g12 := ((upper-1)*(upper-1) - g1*g1*upper*upper - h2*h2) / upper
	h12 := ((1-lower)*(1-lower) - h1*h1*lower*lower - g2*g2) / lower
	below := g1*g1*x*x + h2*h2*y*y + g12*x*y
	above := h1*h1*x*x + g2*g2*y*y + h12*x*y
	return result.Interval{Low: x - y - math.Sqrt(math.Max(0, below)), High: x - y + math.Sqrt(math.Max(0, above))}
}

// The sources of variation.
const (
	Part          = "part"
	Operator      = "operator"
	Interaction   = "operator x part"
	Repeatability = "repeatability"
)

// Row is a line of an analysis of variance. F and P are 0 for the repeatability.
type Row struct {
	Source     string  `json:"source"`
	SumSquares float64 `json:"sum_of_squares"`
	Freedom    int     `json:"degrees_of_freedom"`
	MeanSquare float64 `json:"mean_square"`
	F          float64 `json:"f,omitempty"` // 0 where there is no test
	P          float64 `json:"p,omitempty"` // that a source without effect gives a larger F
}

func row(source string, squares float64, freedom int) Row {
	return Row{Source: source, SumSquares: squares, Freedom: freedom, MeanSquare: squares / float64(freedom)}
}

// against adds the F test over the mean square that is expected without an effect.
func (r Row) against(other Row) Row {
	r.F = r.MeanSquare / other.MeanSquare
	n, m := float64(r.Freedom), float64(other.Freedom)
	r.P = mathext.RegIncBeta(m/2, n/2, m/(m+n*r.F)) // not 1 less a probability: p may be tiny
	return r
}

// analysis returns the rows with the interaction, nil for one operator, and without it.
func (t *table) analysis() (with, without []Row, mean float64, err error) {
	p, o, n := len(t.parts), len(t.operators), t.repeats
	parts, operators, interaction, repeatability, mean := t.squares()
	if !(repeatability > 0) {
		return nil, nil, 0, errors.New("all repeats are equal: the steps of the gauge hide its repeatability; give its resolution as its error instead")
	}
	rest := row(Repeatability, repeatability, p*o*(n-1))
	partRow := row(Part, parts, p-1)
	if o == 1 {
		return nil, []Row{partRow.against(rest), rest}, mean, nil
	}
	operatorRow, crossed := row(Operator, operators, o-1), row(Interaction, interaction, (p-1)*(o-1))
	pooled := row(Repeatability, interaction+repeatability, crossed.Freedom+rest.Freedom)
	with = []Row{partRow.against(crossed), operatorRow.against(crossed), crossed.against(rest), rest}
	without = []Row{partRow.against(pooled), operatorRow.against(pooled), pooled}
	return with, without, mean, nil
}

// squares are sums of squares, taken about means, so that leading digits that all readings share
// do not hurt.
func (t *table) squares() (parts, operators, interaction, repeatability, mean float64) {
	p, o, n := float64(len(t.parts)), float64(len(t.operators)), float64(t.repeats)
	cell, part, operator := make([][]float64, len(t.parts)), make([]float64, len(t.parts)), make([]float64, len(t.operators))
	for i, row := range t.cells {
		for j, readings := range row {
			values := make([]float64, len(readings))
			for k, r := range readings {
				values[k] = r.Value
			}
			m := stat.Mean(values, nil)
			for _, x := range values {
				repeatability += (x - m) * (x - m)
			}
			cell[i] = append(cell[i], m)
			operator[j] += m / p
		}
		part[i] = stat.Mean(cell[i], nil)
	}
	mean = stat.Mean(part, nil)
	for i := range part {
		parts += o * n * (part[i] - mean) * (part[i] - mean)
		for j := range operator {
			d := cell[i][j] - part[i] - operator[j] + mean
			interaction += n * d * d
		}
	}
	for j := range operator {
		operators += p * n * (operator[j] - mean) * (operator[j] - mean)
	}
	return parts, operators, interaction, repeatability, mean
}
