package question

import (
	"context"
	"fmt"
	"math"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/loosen"
)

// TorqueKey is the input that an audit and a torque window are about.
const TorqueKey = "screw.torque"

// Audit asks how many screws of a lot to audit, and how many loose ones to allow.
type Audit struct {
	Lot, Acceptable              int64   // screws in a lot; loose ones in a lot that is still to be accepted
	ConsumersRisk, ProducersRisk float64 // chances: a lot that breaks the limit is accepted; one of acceptable quality is refused
	Limit                        string  // by its name in the study; empty for the first temperature's
	// The torque band and the torque of a loose screw, as typed; empty where the study cuts
	// the torque, and for half the lower end.
	Low, High, Loose string
	Reading          ReadingError
	Variables        bool // plans by variables as well

	band  dist.Distribution // of the torque inside the band
	loose []float64         // torques of a loose screw, N*m; the plan is for used
	used  int
}

// Ask finds the plans. The verdict is that of the study with every screw inside the band,
// and not met where no plan keeps the limit.
func (a Audit) Ask(ctx context.Context, read *study.Study, m Sampling, progress Progress) (r reports.Audit, verdict sim.Verdict, err error) {
	read = read.Averaged() // each card by itself
	if err := a.prepare(read); err != nil {
		return r, verdict, err
	}
	search, err := a.search(ctx, read, m, a.band)
	if err != nil {
		return r, verdict, err
	}
	show, clear := progress.start("assumptions")
	defer clear()
	if r, err = a.find(ctx, read, search, show); err == nil && a.Variables {
		r.Variables, err = a.byVariables(ctx, read, m)
	}
	verdict = search.Base().Verdict()
	if r.Verdict == sim.NotMet.Answer() {
		verdict = sim.NotMet
	}
	return r, verdict, err
}

// prepare checks what is asked and finds band and loose torques.
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
	if torque.Dist == nil || torque.Level < sim.Card {
		return fmt.Errorf("%s does not scatter from card to card: an audit of single screws finds nothing", TorqueKey)
	}
	low, high := torque.Dist.Support()
	var err error
	if low, err = torqueTyped("low", a.Low, low); err != nil {
		return err
	}
	if high, err = torqueTyped("high", a.High, high); err != nil {
		return err
	}
	if !(low > 0) {
		return refused("low", "is needed: the torque band has no lower end, the study does not cut %s with low", TorqueKey)
	}
	if a.band, err = dist.NewTruncated(torque.Dist, low, high); err != nil {
		return fmt.Errorf("torque band: %w", err)
	}
	a.Reading.limit = low + a.Reading.Factor*a.Reading.uncertainty()
	return a.looseTorques(low)
}

func (a *Audit) looseTorques(low float64) error {
	if a.Loose == "" {
		a.loose, a.used = []float64{0.75 * low, 0.5 * low, 0}, 1
		return nil
	}
	torque, err := torqueTyped("loose", a.Loose, 0)
	if err == nil && !(torque >= 0 && torque < low) {
		err = refused("loose", "%s: must be below the band", a.Loose)
	}
	a.loose, a.used = []float64{torque}, 0
	return err
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

// search evaluates the study with a torque in place of its own: inside the band, for instance.
func (a *Audit) search(ctx context.Context, read *study.Study, m Sampling, torque dist.Distribution) (*loosen.Search, error) {
	one, err := singleCards(read)
	if err != nil {
		return nil, err
	}
	q, err := targeted(read, one, a.Limit)
	if err != nil {
		return nil, err
	}
	one.Requirements = []sim.Requirement{q}
	one.Plan, err = one.Plan.WithDistributions(func(v sim.Variable) (dist.Distribution, error) {
		if v.Input == TorqueKey {
			return torque, nil
		}
		return v.Dist, nil
	})
	if err != nil {
		return nil, err
	}
	return loosen.New(ctx, *m.Run(read, one))
}

// breaking is the smallest number of loose screws in the lot whose share is above
// a share; 0 when the lot has not that many.
func (a *Audit) breaking(share float64) int64 {
	n := int64(math.Floor(share*float64(a.Lot))) + 1
	if n > a.Lot {
		return 0
	}
	return n
}
