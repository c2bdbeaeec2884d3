package study

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
)

// drift is what a condition does to an input as the study has it: factor·x +
// shift.
type drift struct {
	key           string
	factor, shift float64
	path          string // where it stands within the conditions
}

// duration is a quantity of time; a bare number counts cycles instead.
const duration units.Quantity = "s"

var (
	ageingKeys      = []string{"after", "from", "slope", "recheck", "source"}
	reinsertionKeys = []string{"times", "drift", "constant", "inputs", "source"}
)

// ageing reads how the preload loss grows with the logarithm of time or of
// cycles:
//
//	loss = loss_1 (1 + slope log10(x/x_1))
//
// loss_1 is the screw.preload_loss of the study, reached at x_1 (from), slope
// its growth per decade, x the time or the number of cycles since the screw was
// tightened last (after, or recheck when that comes sooner). A re-check counts as
// a fresh joint just before the next one is due, which is the safe reading: a
// settled joint loses less. Logarithmic relaxation: common practice, no source.
func (r *reader) ageing(e entry, part string, value any, c *Condition) {
	table, ok := value.(map[string]any)
	if !ok {
		r.refuse(e, part, value, "a table expected", `for instance ageing = { after = "20000 h", from = "24 h", slope = 0.1, recheck = "4000 h" }`)
		return
	}
	unknownKeys(e, part, table, ageingKeys, r.problem)
	quantity := duration
	if _, isText := table["after"].(string); !isText {
		quantity = units.Number
	}
	read := func(key string, q units.Quantity, fits func(x float64) bool, wanted string) float64 {
		v, ok := r.quantity(e, part+"."+key, table[key], q, 1)
		if ok && !fits(v.SI) {
			r.refuse(e, part+"."+key, table[key], wanted, "")
		}
		return v.SI
	}
	positive := func(x float64) bool { return x > 0 }
	from := read("from", quantity, positive, "a time or a number of cycles above 0 expected")
	slope := read("slope", units.Number, func(x float64) bool { return x >= 0 && x <= 10 }, "a growth per decade from 0 to 10 expected")
	notBefore := func(x float64) bool { return x >= from }
	since := read("after", quantity, notBefore, "after is not to be before from")
	if _, ok := table["recheck"]; ok {
		since = min(since, read("recheck", quantity, notBefore, "recheck is not to be before from"))
	}
	factor := 1 + slope*math.Log10(since/from)
	c.drift(drift{key: "screw.preload_loss", factor: factor, path: part})
}

// reinsertion reads how friction drifts when the card is put in again and again:
//
//	μ(N) = μ_1 + Δμ (1 - exp(-N/N_c))
//
// N is times, Δμ drift, which may be negative, N_c constant. Wear of the faces
// raises friction, running-in and spread lubricant lower it; the exponential is
// common practice without a source, its numbers are the study's.
func (r *reader) reinsertion(e entry, part string, value any, c *Condition) {
	table, ok := value.(map[string]any)
	if !ok {
		r.refuse(e, part, value, "a table expected", `for instance reinsertion = { times = 50, drift = 0.03, constant = 20, inputs = ["friction.ramp"] }`)
		return
	}
	unknownKeys(e, part, table, reinsertionKeys, r.problem)
	read := func(key string, fits func(x float64) bool, wanted string) float64 {
		v, ok := r.quantity(e, part+"."+key, table[key], units.Number, 1)
		if ok && !fits(v.SI) {
			r.refuse(e, part+"."+key, table[key], wanted, "")
		}
		return v.SI
	}
	times := read("times", func(x float64) bool { return x >= 0 }, "a number of insertions, 0 or more, expected")
	constant := read("constant", func(x float64) bool { return x > 0 }, "a number of insertions above 0 expected")
	size := read("drift", func(x float64) bool { return x > -1 && x < 1 }, "a change of friction between -1 and 1 expected")
	inputs, _ := table["inputs"].([]any)
	if len(inputs) == 0 {
		r.refuse(e, part+".inputs", table["inputs"], "a list of friction coefficients expected", "of "+strings.Join(frictionKeys, ", "))
	}
	for i, input := range inputs {
		key, _ := input.(string)
		if !slices.Contains(frictionKeys, key) {
			r.refuse(e, fmt.Sprintf("%s.inputs[%d]", part, i), input, "one of "+strings.Join(frictionKeys, ", ")+" expected", didYouMean(key, frictionKeys))
			continue
		}
		c.drift(drift{key: key, factor: 1, shift: size * -math.Expm1(-times/constant), path: part})
	}
}

// frictionKeys are the inputs that reinsertion can change.
var frictionKeys = []string{"screw.thread_friction", "screw.head_friction", "friction.ramp", "friction.wall"}

// drift adds a drift to a condition.
func (c *Condition) drift(d drift) {
	c.drifts = append(c.drifts, d)
	if !slices.Contains(c.Replaced, d.key) {
		c.Replaced = append(c.Replaced, d.key)
		slices.Sort(c.Replaced)
	}
}

// condition derives the study under a condition.
func (s *sources) condition(c Condition) (*Study, Problems) {
	derived, problems := interpret(s.replaced(c.entries), c.Name)
	if len(problems) > 0 {
		return derived, problems
	}
	for _, d := range c.drifts {
		for i := range derived.Inputs {
			in := &derived.Inputs[i]
			if in.Parameter.Key != d.key {
				continue
			}
			if in.Nominal == 0 && in.Dist == nil && d.shift == 0 {
				problems = append(problems, c.list.problem(d.path, nil, in.Key+" is 0 and grows to nothing", "give it, or replace it in the condition"))
			}
			if err := in.drift(d); err != nil {
				problems = append(problems, c.list.problem(d.path, nil, fmt.Sprintf("%s: %v", in.Key, err), ""))
			}
		}
	}
	return derived, problems
}

// drift moves an input.
func (in *Input) drift(d drift) error {
	in.Nominal = d.factor*in.Nominal + d.shift
	if p := in.Parameter; !(in.Nominal >= p.Low && in.Nominal <= p.High) {
		return fmt.Errorf("becomes %s, allowed is %s to %s", in.Format(in.Nominal), in.Format(p.Low), in.Format(p.High))
	}
	if in.Dist == nil {
		return nil
	}
	return in.move(d.factor, d.shift)
}
