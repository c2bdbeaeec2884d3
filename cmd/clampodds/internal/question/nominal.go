package question

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/joint/card"
	"clampodds/joint/force"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/batch"
)

// axialNow is the force of the screw as it is now, after what it lost.
const axialNow = "axial force now"

// Nominal evaluates a study at the nominal values of its inputs and says
// whether every limit is kept there.
func Nominal(s *study.Study) (reports.Nominal, sim.Verdict, error) {
	model, err := s.Model()
	if err != nil {
		return reports.Nominal{}, sim.NoTarget, err
	}
	n := reports.Nominal{Schema: reports.NominalSchema, Provenance: Provenance(s)}
	if s.Chassis != nil {
		trace := ofSlots(model, nominalColumns(s))
		for _, o := range trace.Outputs {
			if ofChassis(o.Name) != "" || o.Name == "chassis/heat" {
				n.Outputs = append(n.Outputs, value(s, reports.Label(o.Name), o.Unit, o.Value))
			}
		}
		verdict := holdLimits(s, trace, &n)
		return n, verdict, nil
	}
	trace := model.Trace(nominalColumns(s))
	n.NotClamped, n.Joint, n.Links, n.Balance, n.Paths = notClamped(s, trace), joint(s, trace), trace.Links, balance(s, trace), paths(trace)
	for _, v := range trace.Nodes {
		n.Nodes = append(n.Nodes, value(s, v.Name, "K", v.Temperature))
	}
	for _, v := range trace.Inputs {
		name := v.Key
		if v.Instance != "" {
			name += "/" + v.Instance
		}
		n.Inputs = append(n.Inputs, value(s, name, v.Unit, v.Value))
	}
	for _, o := range trace.Outputs {
		if o.Bin > 0 {
			n.Outputs = append(n.Outputs, value(s, reports.Label(o.Name), o.Unit, o.Value))
		}
	}
	for i := range trace.Edges {
		n.Edges = append(n.Edges, edge(s, &trace.Edges[i]))
	}
	verdict := holdLimits(s, trace, &n)
	return n, verdict, nil
}

// implausible are temperatures above any limit of practice, and above the end of what the model takes for a joint: of the
// edges and of components the hottest.
func implausible(s *study.Study, t card.Trace) (list []reports.Warning) {
	const edges, components = 0, 1
	var hottest [2]*card.OutputValue
	for i := range t.Outputs {
		o := &t.Outputs[i]
		kind := edges
		if strings.Contains(o.Name, "component.") {
			kind = components
		}
		if _, high := study.UsualTemperatures(o.Name); o.Unit == "K" && o.Value > high && !math.IsInf(o.Value, 0) && (hottest[kind] == nil || o.Value > hottest[kind].Value) {
			hottest[kind] = o
		}
	}
	joint := s.Input("joint.temperature")
	for kind, o := range hottest {
		if o == nil {
			continue
		}
		text := func(si float64) string { return inDigits(3, si, units.Temperature, typedUnit(s, "K")) }
		_, high := study.UsualTemperatures(o.Name)
		w := reports.Warning{Code: "implausible-temperature", Text: fmt.Sprintf("%s is at %s; in practice its limit is %s at most. Is a heat, a unit or a contact wrong?",
			reports.Label(o.Name), text(o.Value), text(high))}
		if kind == edges && joint != nil && o.Value > joint.Parameter.High {
			w.Text += fmt.Sprintf(" The model is for joints up to %s (joint.temperature).", text(joint.Parameter.High))
		}
		list = append(list, w)
	}
	return list
}

func holdLimits(s *study.Study, t card.Trace, n *reports.Nominal) sim.Verdict {
	verdict := sim.Met
	for i := range s.Limits {
		limit := nominalLimit(&s.Limits[i], t)
		if limit.Verdict != "kept" {
			verdict = sim.NotMet
		}
		n.Limits = append(n.Limits, limit)
	}
	n.Warnings = implausible(s, t)
	return verdict
}

// ofSlots has the outputs of a chassis: what happens inside a card is shown by the study of the card.
func ofSlots(model *study.Model, x []float64) card.Trace {
	in, out := batch.Columns(len(x), 1), batch.Columns(len(model.Outputs()), 1)
	for i := range x {
		in[i][0] = x[i]
	}
	model.Evaluate(in, out)
	t := card.Trace{Edges: [2]card.EdgeTrace{{Fit: force.Seated}, {Fit: force.Seated}}}
	for i, o := range model.Outputs() {
		t.Outputs = append(t.Outputs, card.OutputValue{Output: o, Value: out[i][0]})
	}
	return t
}

// nominalColumns are the model's input columns with every variable at its
// input's nominal value.
func nominalColumns(s *study.Study) []float64 {
	variables, _ := s.Variables()
	x := make([]float64, len(variables))
	for i, v := range variables {
		x[i] = s.Input(v.Input).Nominal
	}
	return x
}

// value is a named number in the unit that the study's author uses.
func value(s *study.Study, name, unit string, si float64) reports.NamedValue {
	return reports.NamedValue{Name: name, Unit: unit, Value: si, Shown: ShownUnit(si, unit, typedUnit(s, unit))}
}

// joint is the gas of both edges, or of each where they differ.
func joint(s *study.Study, t card.Trace) (list []reports.NamedValue) {
	left, right := &t.Edges[0], &t.Edges[1]
	alike := left.Joint == right.Joint && left.Gas == right.Gas
	for i := range t.Edges {
		e, where := &t.Edges[i], ""
		if !alike {
			where = ", " + e.Name + " edge"
		}
		list = append(list,
			value(s, "joint temperature"+where, "K", e.Joint),
			value(s, "gas conductivity"+where, "W/mK", e.Gas.Conductivity),
			value(s, "gas jump distance"+where, "m", e.Gas.JumpDistance),
			value(s, "radiation across a gap"+where, "W/m2K", e.Gas.Radiation))
		if alike {
			break
		}
	}
	return list
}

// notClamped says why a card has no temperatures, edge by edge; nothing for one that
// is clamped.
func notClamped(s *study.Study, t card.Trace) (causes []string) {
	const noForce = "no force on the flange: "
	length := func(si float64) string { return units.Format(si, "m", typedUnit(s, "m")) }
	misfit := slices.ContainsFunc(t.Edges[:], func(e card.EdgeTrace) bool { return e.Fit != force.Seated })
	for i := range t.Edges {
		e := &t.Edges[i]
		outward, _ := e.Train.FaceForce()
		cause := ""
		switch {
		case e.Fit == force.DoesNotEnter:
			cause = reports.Label("event.no_entry") + ": flange and retracted clamp are " + length(-e.Expansion) + " thicker than the slot"
		case e.Fit == force.OutOfTravel:
			cause = reports.Label("event.no_travel") + ": it would have to expand by " + length(e.Expansion) + " and can by " + length(e.Travel)
		case misfit || outward > 0:
			continue
		case e.TightenedForce == 0:
			cause = noForce + "the torque only turns the screw in its locking thread"
		case e.AxialForce == 0:
			cause = noForce + "the screw has lost all of its " + units.Format(e.TightenedForce, "N", typedUnit(s, "N"))
		default:
			cause = noForce + "the ramps stick and pass nothing on of the screw's " + units.Format(e.AxialForce, "N", typedUnit(s, "N"))
		}
		causes = append(causes, e.Name+" edge: "+cause)
	}
	return causes
}

// roundingShare of the heat is what an imbalance may be by rounding alone. Below it the
// digits say nothing, and each processor has its own.
const roundingShare = 1e-12

func balance(s *study.Study, t card.Trace) []reports.NamedValue {
	return []reports.NamedValue{
		value(s, "heat put in", "W", t.Heat),
		value(s, "heat into the cold wall", "W", t.Leaving),
		value(s, "largest imbalance of a node, at most", "W", max(t.Residual, roundingShare*t.Heat)),
	}
}

func paths(t card.Trace) (list []reports.NominalBudget) {
	for i := range t.Edges {
		e := &t.Edges[i]
		total := 0.0
		for _, p := range e.Paths {
			total += p.Heat
		}
		for _, p := range e.Paths {
			list = append(list, reports.NominalBudget{Edge: e.Name, Path: reports.Label(p.Name), Heat: p.Heat,
				Share: p.Heat / total, Resistance: p.Resistance})
		}
	}
	return list
}

func edge(s *study.Study, e *card.EdgeTrace) reports.NominalEdge {
	outward, sideways := e.Train.FaceForce()
	like := typedUnit(s, "N")
	n := reports.NominalEdge{Name: e.Name, Fit: e.Fit.String(), Force: ShownUnit(1e3, "N", like), Pressure: ShownUnit(1e7, "Pa", like), Faces: e.Faces, Clamp: []reports.NamedValue{
		value(s, "expansion", "m", e.Expansion),
		value(s, "usable travel", "m", e.Travel),
		value(s, "overlap of neighbouring ramps", "m", e.Overlap),
		value(s, "axial force after tightening", "N", e.TightenedForce),
		value(s, "torque in the shank, prevailing torque included", "N*m", e.ThreadTorque),
		value(s, axialNow, "N", e.AxialForce),
		value(s, "force on flange and rails", "N", outward),
		value(s, "force on side wall and rib", "N", sideways),
	}}
	for i := range s.Layout.Pieces {
		n.Pieces = append(n.Pieces, reports.NominalPiece{Normal: e.Train.Normal[i], Outward: e.Train.Outward[i], Sideways: e.Train.Sideways[i]})
	}
	for i := range s.Layout.Pieces - 1 {
		n.Ramps = append(n.Ramps, reports.NominalRamp{Axial: e.Train.Axial[i], Transverse: e.Train.Transverse[i], Normal: e.Train.RampNormal[i]})
	}
	return n
}

func nominalLimit(l *study.Limit, t card.Trace) reports.NominalLimit {
	at := math.NaN()
	for _, o := range t.Outputs {
		if o.Name == l.Output {
			at = o.Value
		}
	}
	n := reports.NominalLimit{
		Name: l.Name, Label: reports.Label(l.Output), Output: l.Output, Unit: string(l.Quantity), Value: at, Limit: l.Max,
		Margin: l.Max - at, Shown: ShownUnit(l.Max, string(l.Quantity), l.Unit),
		MarginText: inDigits(4, l.Max-at, l.Quantity.Difference(), l.Unit), Verdict: "kept",
	}
	switch {
	case l.Quantity == units.Number && slices.ContainsFunc(t.Edges[:], func(e card.EdgeTrace) bool { return e.Fit != force.Seated }),
		l.Output == "utilisation.bearing" && len(t.Nodes) == 0:
		n.Verdict = "n/a" // not clamped: there is no force to judge
	case !(at <= l.Max):
		n.Verdict = "exceeded"
	}
	return n
}
