package question

import (
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

// Sampling is how the cards of a run are drawn. What is zero comes from the study.
type Sampling struct {
	Sampler sim.Sampler // nil: plain random
	Seed    *uint64
	Samples int64
	Workers int // 0: one per processor
}

// Run sets up a run of scenarios on common draws.
func (m Sampling) Run(s *study.Study, scenarios ...sim.Scenario) *sim.Run {
	r := &sim.Run{
		Scenarios: scenarios, Sampler: m.Sampler, Seed: m.seed(s), Samples: int64(s.Run.Samples),
		Workers: m.Workers, Confidence: s.Run.Confidence,
	}
	if r.Sampler == nil {
		r.Sampler = sim.Random{}
	}
	if m.Samples > 0 {
		r.Samples = m.Samples
	}
	return r
}

func (m Sampling) seed(s *study.Study) uint64 {
	if m.Seed != nil {
		return *m.Seed
	}
	return s.Run.Seed
}
