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
	"clampodds/sim/loosen"
)

// offTorque is a normal torque of a whole lot, with the ways in which it goes off.
type offTorque struct {
	*Audit
	search *loosen.Search
	normal dist.Distribution // as the study has it
	low    float64           // lower end of the band
	ways   []way
}

// way is a mean that sinks or a spread that grows.
type way struct {
	loosen.Move
	end loosen.Bound // as far as it is shown to be harmless
}

// byVariables finds how far the torque of a lot may go off as a whole, and the plans that
// catch it there.
func (a *Audit) byVariables(ctx context.Context, read *study.Study, m Sampling) (*reports.AuditVariables, error) {
	torque := read.Input(TorqueKey)
	low, _ := a.band.Support()
	o := &offTorque{Audit: a, low: low}
	var err error
	if o.normal, err = dist.NewNormal(torque.Dist.Mean(), torque.Dist.StdDev()); err != nil {
		return nil, fmt.Errorf("%s: %w", TorqueKey, err)
	}
	if o.search, err = a.search(ctx, read, m, o.normal); err != nil {
		return nil, err
	}
	good := o.quality(o.normal.Mean(), o.normal.StdDev())
	if share := float64(a.Acceptable) / float64(a.Lot); share > good.Defective() {
		good = acceptance.QualityOf(share, good.Error)
	}
	v := &reports.AuditVariables{
		Mean: o.normal.Mean(), SD: o.normal.StdDev(), Good: good.Defective(), LimitText: torque.Format(low),
		Shown: ShownUnit(o.normal.Mean(), torque.Parameter.Unit, torque.Unit),
	}
	if verdict := o.search.Base().Verdict(); verdict != sim.Met {
		v.Answer = fmt.Sprintf("No plan by variables: with a normal torque as in the study the limit is %s.", verdict)
		return v, nil
	}
	if err := o.findWays(ctx); err != nil {
		return nil, err
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

func (o *offTorque) findWays(ctx context.Context) error {
	sinks, err := loosen.LowerMean(o.search.Plan(), TorqueKey, o.normal.Mean())
	if err != nil {
		return err
	}
	grows, err := loosen.Widen(o.search.Plan(), TorqueKey)
	if err != nil {
		return err
	}
	for _, m := range []loosen.Move{sinks, grows} {
		window, err := o.search.Window(ctx, m)
		if err != nil {
			return err
		}
		o.ways = append(o.ways, way{m, window.Upper.Proven})
	}
	return nil
}

// torque is the mean and the standard deviation at a position of a way.
func (o *offTorque) torque(w way, at float64) (mean, sd float64) {
	if w.Kind == loosen.Mean {
		return o.normal.Mean() - at, o.normal.StdDev()
	}
	return o.normal.Mean(), at * o.normal.StdDev()
}

// quality is a lot of such a torque, as its readings show it.
func (o *offTorque) quality(mean, sd float64) acceptance.LotQuality {
	return acceptance.LotQuality{Distance: (mean - o.low) / sd, Error: o.Reading.relative(sd)}
}

// worst is the lot at the end of a way.
func (o *offTorque) worst(w way) acceptance.LotQuality { return o.quality(o.torque(w, w.end.At)) }

func (o *offTorque) shownWay(w way) reports.AuditWay {
	r := reports.AuditWay{Name: "the mean sinks", Harmless: position(w.end)}
	if w.Kind != loosen.Mean {
		r.Name = "the spread grows"
	}
	if w.end.State == loosen.Found {
		mean, sd := o.torque(w, w.end.At)
		r.Mean, r.SD, r.Share = mean, sd, o.worst(w).Defective()
	}
	return r
}

// plans finds the smallest plan of either method, or says why there is none.
func (o *offTorque) plans(good acceptance.LotQuality, v *reports.AuditVariables) (plans []acceptance.VariablesPlan, err error) {
	for _, method := range []acceptance.Method{acceptance.SMethod, acceptance.SigmaMethod} {
		r := acceptance.VariablesRisks{Method: method, Good: good, Producer: o.ProducersRisk, Consumer: o.ConsumersRisk}
		for _, w := range o.ways {
			// A standard deviation that is known cannot have grown.
			if w.end.State == loosen.Found && (method == acceptance.SMethod || w.Kind == loosen.Mean) {
				r.Poor = append(r.Poor, o.worst(w))
			}
		}
		if len(r.Poor) == 0 {
			continue
		}
		best := slices.MaxFunc(r.Poor, func(a, b acceptance.LotQuality) int { return cmp.Compare(a.Distance, b.Distance) })
		if best.Distance >= good.Distance {
			v.Answer = fmt.Sprintf("No plan by variables: a lot with a share of %.2g below the band is to pass, and one with %.2g may break the limit.", good.Defective(), best.Defective())
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
		v.Answer = fmt.Sprintf("By variables, for a normal torque: read %d screws and accept the lot when their mean is %.3f standard deviations (%s method) or more above %s.",
			plans[0].Sample(), plans[0].Constant(), plans[0].Method(), v.LimitText)
	case slices.ContainsFunc(o.ways, func(w way) bool { return w.end.State == loosen.Found }):
		v.Answer = "No plan by variables: with this error no number of readings tells the lots apart."
	default:
		v.Answer = "By variables no plan is needed: no torque that is off as a whole was seen to break the limit."
	}
	return plans, nil
}

// lots are what the plans pass along the ways, and what such cards do.
func (o *offTorque) lots(ctx context.Context, plans []acceptance.VariablesPlan) (list []reports.AuditVariablesLot, err error) {
	for i, w := range o.ways {
		for _, part := range []float64{0, 0.5, 1, 1.5} {
			if w.end.State != loosen.Found || part == 0 && i > 0 && len(list) > 0 {
				continue // the torque of the study stands there already
			}
			at := w.Base + part*(w.end.At-w.Base)
			point, err := o.search.Evaluate(ctx, w.Move, at)
			if err != nil {
				return nil, err
			}
			mean, sd := o.torque(w, at)
			q := o.quality(mean, sd)
			lot := reports.AuditVariablesLot{Mean: mean, SD: sd, Share: q.Defective(), PerCard: point.Exceeded[0]}
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
