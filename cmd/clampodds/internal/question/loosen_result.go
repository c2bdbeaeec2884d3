package question

import (
	"context"
	"math"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
	"clampodds/sim/loosen"
)

// worstOfEach is each limit in the condition that decides on it.
func worstOfEach(read *study.Study, m *decide.Mission) (list []reports.LoosenRequirement) {
	for k, q := range m.Members[0].Requirements {
		p := m.WorstOf(k)
		if p.Member < 0 {
			continue
		}
		l := dist.Must(Limit(read, q.Name)) // requirements are made from limits
		r := m.At(p)
		shown := reports.LoosenRequirement{
			Name: l.Name, Label: reports.Label(l.Output), LimitText: l.Format(l.Max), Condition: m.Members[p.Member].Name,
			Target: q.Target, PerCard: r.Mean, Verdict: r.Verdict.String(), Wanting: wanting(r.Want),
		}
		if r.Unknown != nil {
			bound := r.Bound
			shown.Bound = &bound
		}
		list = append(list, shown)
	}
	return list
}

// tolerance moves one tolerance, by the rule and, where that leaves the study open, on
// average.
func tolerance(ctx context.Context, read *study.Study, search, average *loosen.Search, m loosen.Move, verdict sim.Verdict) (reports.Tolerance, error) {
	in := read.Input(m.Input)
	t := reports.Tolerance{Input: in.Key, Kind: m.Kind.String(), Unit: "1", Now: band(in, in.Dist)}
	if m.Kind == loosen.Mean {
		t.Unit, t.Now = string(in.Quantity().Difference()), meanText(in, m.Finest)
	}
	w, err := search.Window(ctx, m)
	if err != nil {
		return t, err
	}
	end := func(e, other decide.Reached, direction string) reports.ToleranceEnd {
		e, stop := keptAllowed(read, m, search.Base.Verdict, e, other)
		r := toleranceEnd(search, m, e, direction, verdict, stop)
		r.Becomes = becomes(in, m, e)
		return r
	}
	upper, lower := end(w.Upper, w.Lower, "up"), end(w.Lower, w.Upper, "down")
	if average != nil {
		w, err := average.Window(ctx, m)
		if err != nil {
			return t, err
		}
		averaged := func(e, other decide.Reached) *reports.OnAverage {
			e, _ = keptAllowed(read, m, average.Base.Verdict, e, other)
			return onAverageTo(in, m, e)
		}
		upper.OnAverage, lower.OnAverage = averaged(w.Upper, w.Lower), averaged(w.Lower, w.Upper)
	}
	t.Ends = []reports.ToleranceEnd{upper}
	if !m.UpOnly {
		t.Ends = []reports.ToleranceEnd{lower, upper}
	}
	return t, nil
}

// toleranceEnd is an end of the search, of a study of that verdict. Where a limit of the clamp's maker stops it that is named.
func toleranceEnd(s *loosen.Search, m loosen.Move, e decide.Reached, direction string, verdict sim.Verdict, stop string) reports.ToleranceEnd {
	r := reports.ToleranceEnd{Direction: direction, MetTo: position(e), Verdict: mayLoosen(verdict, m, e).Answer()}
	if stop != "" {
		if r.First, r.Beyond = stop, "not allowed"; verdict == sim.Met && (e.State == decide.Never || m.UpOnly && e.Met <= m.Base) {
			r.Verdict = sim.NotMet.Answer()
		}
		return r
	}
	if e.State != decide.Open && e.Place.Member >= 0 {
		r.First, r.Condition = e.Record.Requirement.Name, s.Members[e.Place.Member].Name
		r.Beyond, r.Wanting = e.Record.Verdict.String(), wanting(e.Record.Want)
	}
	return r
}

func onAverageTo(in *study.Input, m loosen.Move, e decide.Reached) *reports.OnAverage {
	return &reports.OnAverage{MetTo: position(e), Becomes: becomes(in, m, e)}
}

// mayLoosen is Met when a position beyond the base is met; where none is, the answer is
// what stands in the way.
func mayLoosen(base sim.Verdict, m loosen.Move, e decide.Reached) sim.Verdict {
	switch {
	case base != sim.Met:
		return base
	case e.State == decide.Open, e.Met != m.Base:
		return sim.Met
	}
	return e.Record.Verdict
}

func position(e decide.Reached) reports.Position {
	switch e.State {
	case decide.Open:
		return reports.Position{State: "open"}
	case decide.Found:
		at := e.Met
		return reports.Position{State: "found", At: &at}
	}
	return reports.Position{State: "never"}
}

// becomes says what the tolerance may become, rounded to the side that is met.
func becomes(in *study.Input, m loosen.Move, e decide.Reached) string {
	switch e.State {
	case decide.Found:
	case decide.Open:
		if m.Kind == loosen.Mean {
			return "6 sd"
		}
		return "> 4-fold"
	default:
		if m.Kind == loosen.Mean {
			return "none within 6 sd"
		}
		return "none is enough"
	}
	if m.Kind == loosen.Mean {
		return meanMoved(in, e, m.Finest)
	}
	return bandRounded(in, dist.Must(m.Distribution(in.Dist, e.Met)), reports.NumberUp, reports.NumberDown) // the position was evaluated
}

// band says a spread as a drawing or a buyer would: limits where there are any,
// the 95th percentile of a deviation from zero, else the standard deviation.
// Limits beyond the allowed range are shown at its end, where the model puts
// the draws.
func band(in *study.Input, d dist.Distribution) string {
	return bandRounded(in, d, reports.Number, reports.Number)
}

// rounding prints a number with so many decimals.
type rounding = func(value float64, decimals int) string

// bandRounded is a band whose low end and whose width are rounded so.
func bandRounded(in *study.Input, d dist.Distribution, lower, upper rounding) string {
	low, high := d.Support()
	switch {
	case low > -math.MaxFloat64 && high < math.MaxFloat64:
		from, to := in.AsTyped(max(low, in.Parameter.Low)), in.AsTyped(min(high, in.Parameter.High))
		shown := ShownUnit(in.AsTyped(high), in.Parameter.Unit, in.Unit)
		from, to = shown.Of(from), shown.Of(to)
		decimals := reports.Digits(from, min(from, to), max(from, to))
		return lower(from, decimals) + " … " + upper(to, decimals) + unitText(shown)
	case low == 0:
		return "P95 " + spreadRounded(in, d.Quantile(0.95), in.Quantity(), upper)
	}
	return "sd " + spreadRounded(in, d.StdDev(), in.Quantity().Difference(), upper)
}

// twoDigits prints a spread: two digits, a third after a 1.
func twoDigits(in *study.Input, si float64, q units.Quantity) string {
	return spreadRounded(in, si, q, reports.Number)
}

func spreadRounded(in *study.Input, si float64, q units.Quantity, number rounding) string {
	si = in.AsTyped(si)
	label, of := units.Shown(si, q, in.Unit)
	value := of(si)
	return number(value, reports.Digits(value, 0.8*value, 1.2*value)) + unitText(reports.Unit{Label: label})
}

// unitText is a unit behind a number.
func unitText(shown reports.Unit) string {
	if shown.Label == "" {
		return ""
	}
	return " " + shown.Label
}

// meanText prints a mean as meanMoved does.
func meanText(in *study.Input, accuracy float64) string {
	return meanRounded(in, in.Dist.Mean(), accuracy, reports.Number)
}

// meanMoved prints a mean moved to an end, rounded to the side that is met.
func meanMoved(in *study.Input, e decide.Reached, accuracy float64) string {
	number := reports.NumberDown
	if e.Met > e.Beyond {
		number = reports.NumberUp
	}
	return meanRounded(in, min(max(in.Dist.Mean()+e.Met, in.Parameter.Low), in.Parameter.High), accuracy, number)
}

// meanRounded prints a mean in steps of a power of ten about as wide as it is found to: a twentieth of the standard deviation, which
// is finer than any drawing says it.
func meanRounded(in *study.Input, mean, accuracy float64, number rounding) string {
	shown := ShownUnit(in.AsTyped(in.Dist.Mean()), in.Parameter.Unit, in.Unit)
	at := in.AsTyped(mean)
	step := shown.Of(at+in.AsTyped(accuracy)) - shown.Of(at)
	return number(shown.Of(at), max(0, int(math.Round(-math.Log10(step))))) + unitText(shown)
}
