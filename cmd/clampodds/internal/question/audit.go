package question

import (
	"context"
	"fmt"
	"math"
	"slices"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/dist/gauge"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/acceptance"
	"clampodds/sim/decide"
	"clampodds/sim/loosen"
)

// TorqueKey is the input that an audit and a torque window are about.
const TorqueKey = "screw.torque"

// Audit asks how many screws of a lot to audit, and how many outside the torque band, on
// either side of it, to allow.
type Audit struct {
	Lot, Acceptable              int64    // screws in a lot; screws outside, on a side, in a lot that is still to be accepted
	ConsumersRisk, ProducersRisk float64  // chances: a lot that breaks a limit is accepted; one of acceptable quality is refused
	Limits                       []string // by their names in the study; none: all with a target
	// The torque band and the torque of a screw outside, as typed; empty where the study cuts
	// the torque, for half the lower end, and for one and a half times the upper.
	Low, High, Loose, Tight string
	Reading                 ReadingError
	Variables               bool // plans by variables as well

	low, high float64           // ends of the band, N*m
	band      dist.Distribution // of the torque inside it
	least     float64           // that the clamp maker allows, N*m, and most; 0 where nobody says
	most      float64
	sides     []auditSide
}

// auditSide is one end of the band with the screws beyond it.
type auditSide struct {
	name  string // of such a screw
	upper bool
	end   float64
	// reads is the end with its guard band: from there inwards a reading passes.
	reads   float64
	torques []float64 // of a screw beyond, N*m; the plan is for used
	used    int
	decides decide.Place // with such screws
}

// Ask finds the plans. The verdict is that of the mission with every screw inside the band,
// and not met where no plan keeps the limits.
func (a Audit) Ask(ctx context.Context, setup decide.Setup, read *study.Study, show func(done, total int64)) (r reports.Audit, verdict sim.Verdict, err error) {
	if err := a.prepare(read); err != nil {
		return r, verdict, err
	}
	search, err := a.search(ctx, setup, read, a.toBand(read))
	if err != nil {
		return r, verdict, err
	}
	if r, verdict, err = a.find(ctx, read, search, show); err == nil && a.Variables && r.Decision.NotAllowed == "" {
		r.Variables, err = a.byVariables(ctx, setup, read)
	}
	if r.Verdict == sim.NotMet.Answer() {
		verdict = sim.NotMet
	}
	return r, verdict, err
}

// prepare checks what is asked and finds the band and its sides.
func (a *Audit) prepare(read *study.Study) error {
	switch {
	case a.Lot < 1 || a.Lot > 1_000_000:
		return refused("lot", "%d: must be 1 to 1000000", a.Lot)
	case !(a.ConsumersRisk > 0 && a.ConsumersRisk < 1):
		return refused("consumers-risk", "%v: must be above 0 and below 1", a.ConsumersRisk)
	case !(a.ProducersRisk > 0 && a.ProducersRisk < 1):
		return refused("producers-risk", "%v: must be above 0 and below 1", a.ProducersRisk)
	case a.Acceptable < 0 || a.Acceptable >= a.Lot:
		return refused("acceptable", "%d: must be 0 to %d", a.Acceptable, a.Lot-1)
	}
	if err := read.OnlyApart(TorqueKey); err != nil {
		return err
	}
	torque := read.Input(TorqueKey)
	a.least, a.most = read.Tool.Least, read.Tool.Most
	if torque.Dist == nil || torque.Level < sim.Card {
		return fmt.Errorf("%s does not scatter from card to card: an audit of single screws finds nothing", TorqueKey)
	}
	if err := a.findBand(torque); err != nil {
		return err
	}
	return a.findSides(a.low, a.high, torque.Parameter.High)
}

// findBand takes the ends as typed, or those of the study; no screw beyond what the clamp maker allows is to pass.
func (a *Audit) findBand(torque *study.Input) (err error) {
	low, high := torque.Dist.Support()
	if a.low, err = torqueTyped("low", a.Low, low); err != nil {
		return err
	}
	if a.high, err = torqueTyped("high", a.High, high); err != nil {
		return err
	}
	if a.most > 0 && a.high > a.most {
		if a.High != "" {
			return refused("high", "%s: above %s, the most that the clamp maker allows (%s in the study); no screw there is to pass", a.High, torque.Format(a.most), mostKey)
		}
		a.high = a.most
	}
	if a.low < a.least {
		if a.Low != "" {
			return refused("low", "%s: below %s, the least that the clamp maker allows (%s in the study); no screw there is to pass", a.Low, torque.Format(a.least), leastKey)
		}
		a.low = a.least
	}
	switch {
	case !(a.low > 0):
		return refused("low", "is needed: the torque band has no lower end, the study does not cut %s with low", TorqueKey)
	case !(a.low < a.high):
		return refused("low", "%s: must be below the upper end of the band, %s (--high, or what the study cuts %s at or lets be at most)", torque.Format(a.low), torque.Format(a.high), TorqueKey)
	}
	if a.band, err = dist.NewTruncated(torque.Dist, a.low, a.high); err != nil {
		return fmt.Errorf("torque band: %w", err)
	}
	return nil
}

// bandText is the band in words, which may go further than the torque scatters.
func (a *Audit) bandText(torque *study.Input) string {
	if a.high > math.MaxFloat64 {
		return "from " + torque.Format(a.low) + " up"
	}
	return torque.Format(a.low) + " to " + torque.Format(a.high)
}

// findSides sets what screws outside the band are like; without an upper end there is no
// upper side.
func (a *Audit) findSides(low, high, most float64) error {
	guard := a.Reading.Factor * a.Reading.uncertainty()
	loose := auditSide{name: "loose", end: low, reads: low + guard, torques: []float64{0.75 * low, 0.5 * low, 0}, used: 1}
	tight := auditSide{name: "over-tight", upper: true, end: high, reads: high - guard, torques: []float64{1.25 * high, 1.5 * high, 2 * high}, used: 1}
	bounded := high <= math.MaxFloat64
	if a.Loose != "" {
		torque, err := torqueTyped("loose", a.Loose, 0)
		if err == nil && !(torque >= 0 && torque < low) {
			err = refused("loose", "%s: must be below the band", a.Loose)
		}
		if err != nil {
			return err
		}
		loose.torques, loose.used = []float64{torque}, 0
	}
	if a.Tight != "" {
		torque, err := torqueTyped("tight", a.Tight, 0)
		if err == nil && !(torque > high && torque <= most) {
			err = refused("tight", "%s: must be above the band, which needs an upper end", a.Tight)
		}
		if err != nil {
			return err
		}
		tight.torques, tight.used = []float64{torque}, 0
	}
	a.sides = []auditSide{loose}
	if bounded {
		for i, torque := range tight.torques {
			tight.torques[i] = min(torque, most)
		}
		a.sides = append(a.sides, tight)
	}
	return nil
}

// torqueTyped reads a torque as typed, or takes the fallback.
func torqueTyped(part, text string, fallback float64) (float64, error) {
	if text == "" {
		return fallback, nil
	}
	v, err := units.Parse(text, units.Quantity("N*m"))
	if err != nil {
		return 0, refused(part, "%q: %w", text, err)
	}
	return v.SI, nil
}

// search judges the mission moved to a torque.
func (a *Audit) search(ctx context.Context, setup decide.Setup, read *study.Study, to moved) (*loosen.Search, error) {
	to.limits = a.Limits
	base, err := judgedFor(ctx, setup, read, to)
	if err != nil {
		return nil, err
	}
	setup = ofRecord(setup, read)
	setup.Run.Progress = nil // many small steps
	return &loosen.Search{Setup: setup, Members: base.Members, Base: base}, nil
}

// toBand moves a study to screws inside the band alone. Where that is what the study has, the
// mission is that of run.
func (a *Audit) toBand(read *study.Study) moved {
	if sameSupport(a.band, read.Input(TorqueKey).Dist) {
		return moved{}
	}
	low, high := a.band.Support()
	return toTorque(fmt.Sprintf("torque from %v to %v", low, high), a.band)
}

// toTorque moves a study to another distribution of the torque, with a name of its own.
func toTorque(name string, torque dist.Distribution) moved {
	return moved{name: name, by: func(s *study.Study) (*study.Study, error) {
		in := *s.Input(TorqueKey)
		in.Dist = torque
		return s.WithInput(in), nil
	}}
}

// sameSupport says of a distribution and one cut from it that nothing was cut off.
func sameSupport(a, b dist.Distribution) bool {
	low, high := a.Support()
	lowest, highest := b.Support()
	return low == lowest && high == highest
}

// breaking is the smallest number of screws of the lot whose share is above a share; 0
// when the lot has not that many.
func (a *Audit) breaking(share float64) int64 {
	n := int64(math.Round(share*float64(a.Lot))) + 1
	if n > a.Lot {
		return 0
	}
	return n
}

// sidesToPlan are the sides that a lot can break a limit on: of one that bears more than half of its screws outside
// a sample tells nothing that is not plain from any handful.
func (a *Audit) sidesToPlan(sides []reports.AuditSide) (list []*reports.AuditSide) {
	for i := range sides {
		if c := sides[i].Cases; len(c) > 0 && a.worthAPlan(c[sides[i].Used]) {
			list = append(list, &sides[i])
		}
	}
	return slices.Clip(list)
}

func (a *Audit) worthAPlan(c reports.AuditCase) bool { return c.Breaking > 0 && c.Breaking <= a.Lot/2 }

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
