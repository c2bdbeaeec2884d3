package study

import (
	"fmt"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/joint/force"
)

// Code names a kind of warning.
type Code string

// The codes.
const (
	// UnusualValue: allowed, but outside what practice shows.
	UnusualValue Code = "unusual-value"
	// DrawsOutsideRange: the distribution reaches outside the allowed range, where
	// the model moves the value to the end of the range and counts it.
	DrawsOutsideRange Code = "draws-outside-range"
	// NominalOutsideLimits: nearly no draw lies on one side of the nominal value,
	// because the distribution is cut there or sits elsewhere.
	NominalOutsideLimits Code = "nominal-outside-limits"
	// ConditionChangesNothing: a condition computes what the study as written does.
	ConditionChangesNothing Code = "condition-changes-nothing"
	// SelfLocking: at nominal friction the clamp may not let go of the card.
	SelfLocking Code = "self-locking"
	// TorqueNotAllowed: the study's torque is outside what the clamp maker allows.
	TorqueNotAllowed Code = "torque-not-allowed"
	// TorqueWithoutScatter: every screw gets the same torque to the last digit, which no tool does.
	TorqueWithoutScatter Code = "torque-without-scatter"
	// ReadingsAveraged: what few readings leave open is averaged over in each draw by itself, and is in no bound
	// over what is not known.
	ReadingsAveraged Code = "readings-averaged"
	// NoTarget: a limit that no verdict is of.
	NoTarget Code = "no-target"
	// NoTemperatureLimit: no temperature has a target.
	NoTemperatureLimit Code = "no-temperature-limit"
	// CorrelationsRepaired: the correlations contradict one another and were
	// replaced, as the study asks.
	CorrelationsRepaired Code = "correlations-repaired"
)

// Warning is something in a study that is allowed and looks wrong.
type Warning struct {
	Code    Code
	File    string // empty for a default
	Line    int
	Key     string
	Message string
}

// String is the warning in one line, as a Problem has it.
func (w Warning) String() string {
	p := Problem{File: w.File, Line: w.Line, Key: w.Key, Message: fmt.Sprintf("%s [%s]", w.Message, w.Code)}
	return p.String()
}

func (r *reader) warn(code Code, in *Input, message string) {
	r.warnings = append(r.warnings, Warning{Code: code, File: in.File, Line: in.Line, Key: in.Key, Message: message})
}

// rarelyOutside is the share of draws outside the allowed range that is not
// worth a warning.
const rarelyOutside = 1e-6

// nearlyNone is the share of draws beyond the nominal value under which the nominal
// is at the end of its own distribution: an honest one has some tenths on either side.
const nearlyNone = 0.01

func (r *reader) judge(in *Input) {
	p := in.Parameter
	off := in.Nominal == 0 && p.Zero != ""
	usual := p.UsualLow == 0 && p.UsualHigh == 0 || in.Nominal >= p.UsualLow && in.Nominal <= p.UsualHigh
	if in.Origin == Given && !off && !usual {
		r.warn(UnusualValue, in, fmt.Sprintf("%s is unusual: practice shows %s to %s",
			in.Format(in.Nominal), in.Format(p.UsualLow), in.Format(p.UsualHigh)))
	}
	if in.Dist == nil {
		return
	}
	if beyond := min(in.Dist.CDF(in.Nominal), in.Dist.Survival(in.Nominal)); beyond < nearlyNone {
		low, high := in.Dist.Support()
		r.warn(NominalOutsideLimits, in, fmt.Sprintf("the nominal value %s is outside its own limits or nearly so: the draws lie from %s to %s",
			in.Format(in.Nominal), in.Format(max(low, in.Dist.Quantile(1e-6))), in.Format(min(high, in.Dist.UpperQuantile(1e-6)))))
	}
	r.judgeCut(in)
	below := in.Dist.CDF(p.Low)
	if low, _ := in.Dist.Support(); low >= p.Low {
		below = 0 // a half-normal that starts at the end of the range is inside it
	}
	if outside := below + in.Dist.Survival(p.High); outside > rarelyOutside {
		r.warn(DrawsOutsideRange, in, fmt.Sprintf("a share of %.2g of the draws lies outside the allowed %s to %s; cut the distribution with low or high",
			outside, in.Format(p.Low), in.Format(p.High)))
	}
}

// breakingStress is above what screws of the highest property class carry, Pa; a
// nominal force that needs tooMuch times as much is a slip of the pen.
const (
	breakingStress = 1200e6
	tooMuch        = 3
)

// judgeTogether looks at inputs that only together are right or wrong.
func (r *reader) judgeTogether(s *Study) {
	if !r.judgeTorque(s, 0) {
		r.judgeTorque(s, 1)
	}
	r.judgeLimits(s)
	r.judgeLimitValues(s)
	r.judgeFit(s)
	r.judgeGas()
	for edge := range sides {
		angle, ramp := s.At("clamp.ramp_angle", edge), s.At("friction.ramp", edge)
		if angle == nil || ramp == nil || !force.SelfLocking(angle.Nominal, ramp.Nominal) {
			continue
		}
		r.warn(SelfLocking, angle, fmt.Sprintf("the ramps lock themselves at %s and friction %s: the clamp may not let go",
			angle.Format(angle.Nominal), ramp.Format(ramp.Nominal)))
		return
	}
}

// judgeTool warns of a torque that the clamp maker does not allow.
func (r *reader) judgeTool(s *Study) {
	for edge := range sides {
		in := s.At("screw.torque", edge)
		if in == nil {
			continue
		}
		if once := edge == 0 || in.Key != "screw.torque"; once && in.Dist == nil && in.Origin == Given && in.Nominal > 0 {
			r.warn(TorqueWithoutScatter, in, fmt.Sprintf("every screw gets exactly %s, which no tool does: state its scatter, as in { shape = \"normal\", nominal = %q, plus_minus = \"6 %%\", coverage = 0.95 }", in.Format(in.Nominal), in.Format(in.Nominal)))
		}
		switch t := s.Tool; {
		case in.Nominal < t.Least:
			r.warn(TorqueNotAllowed, in, fmt.Sprintf("%s is less than the clamp maker allows, torque.least = %s", in.Format(in.Nominal), in.Format(t.Least)))
		case t.Most > 0 && in.Nominal > t.Most:
			r.warn(TorqueNotAllowed, in, fmt.Sprintf("%s is more than the clamp maker allows, torque.most = %s", in.Format(in.Nominal), in.Format(t.Most)))
		default:
			continue
		}
		return
	}
}

// judgeTorque refuses a torque at an edge that no screw of the thread survives, and reports whether it did.
func (r *reader) judgeTorque(s *Study, edge int) bool {
	var nominal [5]float64
	for i, key := range []string{"screw.torque", "screw.prevailing_torque", "screw.thread_friction", "screw.head_friction", "screw.bearing_diameter"} {
		in := s.At(key, edge)
		if in == nil {
			return false
		}
		nominal[i] = in.Nominal
	}
	thread := &s.Layout.Thread
	most := tooMuch * breakingStress * thread.StressArea
	if force.AxialForce(nominal[0], nominal[1], nominal[2], nominal[3], nominal[4], thread) <= most {
		return false
	}
	torque := s.At("screw.torque", edge)
	limit := force.TorqueFor(most, nominal[1], nominal[2], nominal[3], nominal[4], thread)
	e := r.entries[torque.Key]
	part, value := nominalPart(e.value)
	r.refuse(e, part, value, fmt.Sprintf("allowed is 0 to %s: with this friction more breaks any screw of thread %s several times over",
		torque.Format(limit), thread.Designation), "")
	return true
}

// gasStates say the same of the gas: the one takes the place of the other.
var gasStates = []string{"gas.pressure", "gas.altitude"}

func (r *reader) judgeGas() {
	pressure, ok := r.entries["gas.pressure"]
	altitude, both := r.entries["gas.altitude"]
	if !ok || !both {
		return
	}
	if v, err := parseQuantity(pressure.value, units.Quantity("Pa")); err == nil && v.SI == 0 {
		return // a pressure of 0 stands for the altitude's
	}
	r.refuse(altitude, "", altitude.value, "altitude and pressure of the gas are both given", "give one of them")
}

// The codes of what is possible and most likely a slip: a per cent for a fraction, one unit for
// another, two numbers exchanged. The bounds are common practice, no source.
const (
	// CutAway: the limits of a distribution leave less than half of it.
	CutAway Code = "cut-away"
	// DoesNotFit: at nominal values the card does not go in, or the clamp does not reach.
	DoesNotFit Code = "does-not-fit"
	// LimitBelowWall: the limit is no warmer than the cold wall.
	LimitBelowWall Code = "limit-below-wall"
)

// keptAtLeast is the share that the limits of a distribution leave: an audit takes away some
// per cent.
const keptAtLeast = 0.5

// usualTarget is the largest probability that is accepted of a limit.
const usualTarget = 0.1

// usualTemperatures are what limits lie between, in kelvin: of card edges 0 to 125 degC, of components 0
// to 200 degC.
var usualTemperatures = map[bool][2]float64{false: {273.15, 398.15}, true: {273.15, 473.15}}

// UsualTemperatures are the limits that practice shows for an output, a temperature of an edge or a component.
func UsualTemperatures(output string) (low, high float64) {
	if _, ofSlot, found := strings.Cut(output, "/"); found {
		output = ofSlot
	}
	usual := usualTemperatures[strings.HasPrefix(output, "component.")]
	return usual[0], usual[1]
}

func (r *reader) judgeCut(in *Input) {
	if cut, ok := in.Dist.(dist.Truncated); ok && cut.Kept() < keptAtLeast {
		r.warn(CutAway, in, fmt.Sprintf("low and high leave a share of %.2g of the distribution: all draws come from what is left", cut.Kept()))
	}
}

func (r *reader) warnLimit(code Code, l *Limit, message string) {
	r.warnings = append(r.warnings, Warning{Code: code, File: l.File, Line: l.Line, Key: join(limitsTable, l.Name), Message: message})
}

// judgeTarget warns of a probability that hardly anybody accepts.
func (r *reader) judgeTarget(l *Limit) {
	if l.Target > usualTarget {
		r.warnLimit(UnusualValue, l, fmt.Sprintf("a target of %g is unusual: practice shows up to %g. It is the share of the cards that may exceed the limit; 0.2 %% is 2e-3", l.Target, usualTarget))
	}
}

// JudgesTemperature says whether a temperature has a target.
func (s *Study) JudgesTemperature() bool {
	return slices.ContainsFunc(s.Limits, func(l Limit) bool { return l.Quantity == units.Temperature && l.Target > 0 })
}

// judgeLimitValues warns about limits that practice does not know, or that the wall exceeds already, and where none is of a temperature.
func (r *reader) judgeLimitValues(s *Study) {
	if !s.JudgesTemperature() {
		r.warnings = append(r.warnings, Warning{Code: NoTemperatureLimit, File: r.name, Key: limitsTable,
			Message: `no temperature has a target, so that no verdict is of how hot a card runs: spot = { max = "85 degC", target = 1e-3 } is one`})
	}
	for i := range s.Limits {
		l := &s.Limits[i]
		if l.WithoutTarget() {
			r.warnLimit(NoTarget, l, "without a target no verdict says whether it holds: { max = ..., target = 1e-3 } has one")
		}
		r.judgeTarget(l)
		if l.Quantity != units.Temperature || l.Typed == "" {
			continue
		}
		if low, high := UsualTemperatures(l.Output); l.Max < low || l.Max > high {
			r.warnLimit(UnusualValue, l, fmt.Sprintf("%s is unusual: practice shows %s to %s", l.Format(l.Max), l.Format(low), l.Format(high)))
		}
		if wall := s.At("wall.temperature", 0); wall != nil && l.Max <= wall.Nominal {
			r.warnLimit(LimitBelowWall, l, fmt.Sprintf("%s is not above the cold wall, nominal %s: a card that gives off heat exceeds it", l.Format(l.Max), wall.Format(wall.Nominal)))
		}
	}
}

// judgeFit warns where flange and clamp do not fit the slot at nominal values.
func (r *reader) judgeFit(s *Study) {
	for edge := range sides {
		slot, flange, clamp, travel := s.At("slot.width", edge), s.At("flange.thickness", edge), s.At("clamp.height", edge), s.At("clamp.travel", edge)
		if slot == nil || flange == nil || clamp == nil || travel == nil {
			return
		}
		switch play := slot.Nominal - flange.Nominal - clamp.Nominal; {
		case play < 0:
			r.warn(DoesNotFit, slot, fmt.Sprintf("the card does not go in: flange %s and retracted clamp %s are %s thicker than the slot, %s",
				flange.Format(flange.Nominal), clamp.Format(clamp.Nominal), slot.Format(-play), slot.Format(slot.Nominal)))
		case play > travel.Nominal:
			r.warn(DoesNotFit, slot, fmt.Sprintf("the clamp runs out of travel: it would have to expand by %s and can by %s", travel.Format(play), travel.Format(travel.Nominal)))
		default:
			continue
		}
		return
	}
}
