package question

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/acceptance"
	"clampodds/sim/decide"
	"clampodds/sim/loosen"
)

// offTorque is a normal torque of a whole lot, with the ways in which it goes off towards
// one side of the band.
type offTorque struct {
	*Audit
	*auditSide
	search *loosen.Search
	normal dist.Distribution // as the study has it
	ways   []way
}

// way is a mean that moves or a spread that grows.
type way struct {
	loosen.Move
	end decide.Reached // as far as it is shown to be harmless
	// maker says that this is where a screw of the lot is expected beyond what the clamp maker allows.
	maker bool
}

// byVariables finds how far the torque of a lot may go off as a whole, towards each side, and
// the plans that catch it there.
func (a *Audit) byVariables(ctx context.Context, setup decide.Setup, read *study.Study) (list []reports.AuditVariables, err error) {
	torque := read.Input(TorqueKey)
	normal, err := dist.NewNormal(torque.Dist.Mean(), torque.Dist.StdDev())
	if err != nil {
		return nil, fmt.Errorf("%s: %w", TorqueKey, err)
	}
	search, err := a.search(ctx, setup, read, toTorque(fmt.Sprintf("normal torque %v %v", normal.Mean(), normal.StdDev()), normal))
	if err != nil {
		return nil, err
	}
	average, err := onAverage(ctx, search, averageAccuracy, averageNear)
	if err != nil {
		return nil, err
	}
	if average != nil {
		search = average
	}
	grows, err := spreadGrows(ctx, search)
	if err != nil {
		return nil, err
	}
	for i := range a.sides {
		o := &offTorque{Audit: a, auditSide: &a.sides[i], search: search, normal: normal, ways: grows}
		v, err := o.side(ctx, torque)
		if err != nil {
			return nil, err
		}
		list = append(list, *v)
	}
	return list, nil
}

// spreadGrows is the way that is the same for both sides; none where the mission is not met.
func spreadGrows(ctx context.Context, search *loosen.Search) ([]way, error) {
	if search.Base.Verdict != sim.Met {
		return nil, nil
	}
	m, err := loosen.Widen(search.Members[0].Inputs, TorqueKey)
	if err != nil {
		return nil, err
	}
	w, err := search.Window(ctx, m)
	return []way{{Move: m, end: w.Upper}}, err
}

// side finds the plans of one side.
func (o *offTorque) side(ctx context.Context, torque *study.Input) (*reports.AuditVariables, error) {
	good := o.quality(o.normal.Mean(), o.normal.StdDev())
	if share := float64(o.Acceptable) / float64(o.Lot); share > good.Defective() {
		good = acceptance.QualityOf(share, good.Error)
	}
	v := &reports.AuditVariables{
		Side: o.name, Upper: o.upper, Mean: o.normal.Mean(), SD: o.normal.StdDev(), Good: good.Defective(), LimitText: torque.Format(o.end),
		Shown: ShownUnit(o.normal.Mean(), torque.Parameter.Unit, torque.Unit),
	}
	if len(o.ways) == 0 {
		v.Answer = fmt.Sprintf("No plan by variables: with a normal torque as in the study, not cut at the band, the limits are %s.", o.search.Base.Verdict)
		return v, nil
	}
	most := o.normal.Mean()
	if !o.upper {
		most = -most
	}
	moves, err := loosen.MoveMean(o.search.Members[0].Inputs, TorqueKey, most)
	if err != nil {
		return nil, err
	}
	w, err := o.search.Window(ctx, moves)
	if err != nil {
		return nil, err
	}
	o.ways = append([]way{{Move: moves, end: w.Upper}}, o.ways...)
	for i := range o.ways {
		o.upToMaker(&o.ways[i])
	}
	for _, w := range o.ways {
		v.Ways = append(v.Ways, o.shownWay(w))
	}
	plans, err := o.plans(good, v)
	if err != nil {
		return nil, err
	}
	if len(plans) > 0 {
		v.Lots, err = o.lots(ctx, plans)
	}
	return v, err
}

// upToMaker ends a way where a screw of the lot is expected beyond the clamp maker's limit, if that comes first.
func (o *offTorque) upToMaker(w *way) {
	limit, room := o.least, o.normal.Mean()-o.least
	if o.upper {
		limit, room = o.most, o.most-o.normal.Mean()
	}
	if limit == 0 {
		return
	}
	spread := -dist.NormalQuantile(1/float64(o.Lot)) * o.normal.StdDev()
	at := room - spread
	if w.Kind != loosen.Mean {
		at = room / spread
	}
	if at = max(at, w.Base); w.end.State == decide.Open || w.end.Met > at {
		w.end, w.maker = decide.Reached{State: decide.Found, Met: at, Place: o.search.Base.Worst}, true
	}
}

// torque is the mean and the standard deviation at a position of a way.
func (o *offTorque) torque(w way, at float64) (mean, sd float64) {
	mean, sd = o.normal.Mean(), o.normal.StdDev()
	switch {
	case w.Kind != loosen.Mean:
		sd *= at
	case o.upper:
		mean += at
	default:
		mean -= at
	}
	return mean, sd
}

// quality is a lot of such a torque, as its readings show it.
func (o *offTorque) quality(mean, sd float64) acceptance.LotQuality {
	distance := (mean - o.end) / sd
	if o.upper {
		distance = -distance
	}
	return acceptance.LotQuality{Distance: distance, Error: acceptance.ReadingError{Single: o.Reading.Single / sd, Shared: o.Reading.Shared / sd}}
}

// worst is the lot at the end of a way.
func (o *offTorque) worst(w way) acceptance.LotQuality { return o.quality(o.torque(w, w.end.Met)) }

func (o *offTorque) shownWay(w way) reports.AuditWay {
	r := reports.AuditWay{Name: "the mean sinks", Harmless: position(w.end)}
	switch {
	case w.Kind != loosen.Mean:
		r.Name = "the spread grows"
	case o.upper:
		r.Name = "the mean rises"
	}
	if w.end.State == decide.Found {
		mean, sd := o.torque(w, w.end.Met)
		r.Mean, r.SD, r.Share = mean, sd, o.worst(w).Defective()
		if r.AboveMost, r.BelowLeast = w.maker && o.upper, w.maker && !o.upper; w.maker {
			return r
		}
		r.First, r.Condition, r.Beyond = w.end.Record.Requirement.Name, o.search.Members[w.end.Place.Member].Name, w.end.Record.Verdict.String()
	}
	return r
}

// plans finds the smallest plan of either method, or says why there is none.
func (o *offTorque) plans(good acceptance.LotQuality, v *reports.AuditVariables) (plans []acceptance.VariablesPlan, err error) {
	for _, method := range []acceptance.Method{acceptance.SMethod, acceptance.SigmaMethod} {
		r := acceptance.VariablesRisks{Method: method, Good: good, Producer: o.ProducersRisk / float64(len(o.sides)), Consumer: o.ConsumersRisk}
		for _, w := range o.ways {
			// A standard deviation that is known cannot have grown.
			if w.end.State == decide.Found && (method == acceptance.SMethod || w.Kind == loosen.Mean) {
				r.Poor = append(r.Poor, o.worst(w))
			}
		}
		if len(r.Poor) == 0 {
			continue
		}
		best := slices.MaxFunc(r.Poor, func(a, b acceptance.LotQuality) int { return cmp.Compare(a.Distance, b.Distance) })
		if best.Distance <= 0 { // a lot with most of its screws beyond the band would pass
			continue
		}
		if best.Distance >= good.Distance {
			v.Answer = fmt.Sprintf("No plan by variables: a lot with a share of %.2g beyond the band is to pass, and one with %.2g may break a limit.", good.Defective(), best.Defective())
			return nil, nil
		}
		plan, err := acceptance.SmallestVariablesPlan(r)
		if errors.Is(err, acceptance.ErrNoPlan) {
			continue
		}
		if err != nil {
			return nil, err
		}
		missed := 0.0
		for _, q := range r.Poor {
			missed = max(missed, plan.Probability(q))
		}
		plans = append(plans, plan)
		v.Plans = append(v.Plans, reports.AuditVariablesPlan{
			Method: string(method), Sample: plan.Sample(), Constant: plan.Constant(), Missed: missed, Refused: plan.Refusal(good),
		})
	}
	switch {
	case len(plans) > 0:
		way := "above"
		if o.upper {
			way = "below"
		}
		v.Answer = fmt.Sprintf("By variables, for a normal torque and %s screws: read %d and accept the lot when their mean is %.3f standard deviations (%s method) or more %s %s.",
			o.name, plans[0].Sample(), plans[0].Constant(), plans[0].Method(), way, v.LimitText)
	case slices.ContainsFunc(o.ways, func(w way) bool { return w.end.State == decide.Found && o.worst(w).Distance > 0 }):
		v.Answer = "No plan by variables: with this error no number of readings tells the lots apart."
	case slices.ContainsFunc(o.ways, func(w way) bool { return w.end.State == decide.Found }):
		v.Answer = "No plan by variables is needed for the limits, nor would one make sense: they bear a lot with more than half of its screws beyond the band, and the plan would pass it. How far they bear it the table says."
	default:
		v.Answer = "By variables no plan is needed: no torque that is off as a whole was seen to break a limit."
	}
	return plans, nil
}

// lots are what the plans pass along the ways, and what such cards do.
func (o *offTorque) lots(ctx context.Context, plans []acceptance.VariablesPlan) (list []reports.AuditVariablesLot, err error) {
	for i, w := range o.ways {
		for _, part := range []float64{0, 0.5, 1, 1.5} {
			if w.end.State != decide.Found || part == 0 && i > 0 && len(list) > 0 {
				continue // the torque of the study stands there already
			}
			at := w.Base + part*(w.end.Met-w.Base)
			record, err := o.search.RecordAt(ctx, w.Move, at, w.end.Place)
			if err != nil {
				return nil, err
			}
			mean, sd := o.torque(w, at)
			q := o.quality(mean, sd)
			lot := reports.AuditVariablesLot{Mean: mean, SD: sd, Share: q.Defective(), PerCard: record.Mean}
			for _, p := range plans {
				accepted, err := o.accepted(p, q, sd)
				if err != nil {
					return nil, err
				}
				lot.Accepted = append(lot.Accepted, accepted)
			}
			list = append(list, lot)
		}
	}
	return list, nil
}

// accepted is the chance that a plan passes a lot. What the σ method takes as known is the
// study's standard deviation, whatever that of the lot.
func (o *offTorque) accepted(p acceptance.VariablesPlan, q acceptance.LotQuality, sd float64) (float64, error) {
	if p.Method() == acceptance.SMethod {
		return p.Probability(q), nil
	}
	known, err := acceptance.NewVariablesPlan(p.Method(), p.Sample(), p.Constant()*o.normal.StdDev()/sd)
	if err != nil {
		return 0, err
	}
	return known.Probability(q), nil
}
