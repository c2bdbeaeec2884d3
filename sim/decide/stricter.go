package decide

import (
	"clampodds/dist"
	"clampodds/sim"
)

// mostStricter is how many stricter limits are tried. Each gets its part of the
// chance of error.
const mostStricter = 5

// show finds whether the probability of exceeding q is at most a small target.
// Where no exceedance is in reach, or none is established, a stricter limit that is
// reached shows it. run is what sampling found of the scenario's outputs.
func (s *Setup) show(scenario sim.Scenario, run sim.ScenarioResult, q sim.Requirement, target, level float64) (tailEstimate, error) {
	found, err := s.tail(scenario, q, level)
	if err != nil || found.Value > 0 && found.established() || found.High <= target {
		return found, err
	}
	return s.showStricter(found, scenario, run, q, target, level)
}

// showStricter bounds what was found by how often a stricter limit is exceeded.
func (s *Setup) showStricter(found tailEstimate, scenario sim.Scenario, run sim.ScenarioResult, q sim.Requirement, target, level float64) (tailEstimate, error) {
	quantity, known := quantityOf(run, q.Output)
	if !known {
		return found, nil
	}
	b := guessNormal(quantity, q)
	// In standard deviations of normalGuess: near enough to be reached, and not
	// beyond the limit itself.
	near, far := -dist.NormalQuantile(guessTail), b.score(q.Limit)
	at := -dist.NormalQuantile(target / 3)
	each := 1 - (1-level)/mostStricter
	for range mostStricter {
		if !(at > near && at < far) {
			at = (near + far) / 2
		}
		if !(near < far) {
			break
		}
		stricter := q
		stricter.Limit = b.at(at)
		bound, err := s.tail(scenario, stricter, each)
		if err != nil {
			return found, err
		}
		switch {
		case bound.Value > 0 && bound.High <= target:
			return found.boundedBy(bound), nil
		case bound.Value > target/2:
			near, at = at, at+(far-at)/2
		default: // out of reach, or too near its edge to be established
			far, at = at, at-(at-near)/3
		}
	}
	return found, nil
}

// established reports whether the methods say anything of the probability.
func (t tailEstimate) established() bool { return t.Low > 0 || t.High < 1 }

// boundedBy sets the upper bound of exceeding a stricter limit.
func (t tailEstimate) boundedBy(stricter tailEstimate) tailEstimate {
	t.Value, t.Low, t.Warnings = 0, 0, nil
	t.High, t.Level, t.Achieved, t.Method = stricter.High, stricter.Level, stricter.Achieved, stricter.Method
	t.N += stricter.N
	t.Warnings = append(t.Warnings, sim.Warning{Code: StricterLimit, Text: "none in reach: the bound is how often a stricter limit is exceeded"})
	return t
}

func quantityOf(run sim.ScenarioResult, output string) (sim.Quantity, bool) {
	for _, q := range run.Quantities {
		if q.Output.Name == output {
			return q, true
		}
	}
	return sim.Quantity{}, false
}
