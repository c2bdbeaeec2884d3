package question

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"sync"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/assurance"
	"clampodds/sim/decide"
)

// missions are those judged already, so that a question is answered once however many
// parts of a command ask it: by the digest of the study, what it was moved to, and
// all that steers the numbers.
var missions sync.Map

// needed says what would decide each of them.
var needed sync.Map

// moved is a study taken elsewhere: by name, and how that is done to each condition; and the limits
// that are judged there. The zero value leaves it where it is, with all its limits.
type moved struct {
	name   string
	by     func(*study.Study) (*study.Study, error)
	limits []string // by their names; none: all
	// toWorst says that of a mission that is not met only what decides it is asked for.
	toWorst bool
}

func (m moved) words() string {
	words := m.name
	if len(m.limits) > 0 {
		words = fmt.Sprintf("%s %q", m.name, m.limits)
	}
	if m.toWorst {
		words += " to the worst"
	}
	return words
}

func (m moved) scenario(s *study.Study, name string) (sim.Scenario, error) {
	if m.by != nil {
		var err error
		if s, err = m.by(s); err != nil {
			return sim.Scenario{}, err
		}
	}
	return Scenario(s, name)
}

// ofRecord is what steers the numbers of record of a study: its policy and accuracy, and no plan that
// was chosen for the cards that are shown.
func ofRecord(setup decide.Setup, s *study.Study) decide.Setup {
	setup.Run.Sampler = sim.Random{}
	if s.Verdict.Predictive {
		setup.Policy = decide.Predictive
	}
	setup.Accuracy = accuracyOf(s)
	return setup
}

func ruleOf(s *study.Study, confidence float64) reports.Rule {
	r := reports.Rule{Policy: "confident", Assumed: s.Verdict.Assumed, Confidence: max(confidence, decide.LeastKnowledge), Accuracy: accuracyOf(s)}
	if s.Verdict.Predictive {
		r.Policy = "predictive"
	}
	return r
}

// accuracyOf is that of the numbers of record of a study.
func accuracyOf(s *study.Study) float64 { return cmp.Or(s.Verdict.Accuracy, decide.DefaultAccuracy) }

// Judge judges a study as it is by its numbers of record, with or without its conditions.
func Judge(ctx context.Context, setup decide.Setup, s *study.Study, conditions bool) (*decide.Mission, error) {
	return missionOf(ctx, setup, s, moved{}, conditions)
}

// missionOf judges a study by its numbers of record: every requirement in every condition that
// is judged, the study as written being the first.
func missionOf(ctx context.Context, setup decide.Setup, s *study.Study, to moved, conditions bool) (*decide.Mission, error) {
	setup = ofRecord(setup, s)
	id := recordsOf(setup, s, to.words(), conditions)
	key := fmt.Sprint(id, setup.Run.Workers) // tests hold the workers' answers against one another
	if m, ok := missions.Load(key); ok {
		return m.(*decide.Mission), nil
	}
	members, err := judgedMembers(s, to, conditions)
	if err != nil {
		return nil, err
	}
	m, list, err := judgeOnce(ctx, id, members, func() (*decide.Mission, []reports.Needed, error) {
		return judgeMembers(ctx, setup, s, members, to.toWorst)
	})
	if err != nil {
		return nil, err
	}
	needed.Store(m, list)
	missions.Store(key, m)
	return m, nil
}

// judgeMembers judges a mission and says what would decide it.
func judgeMembers(ctx context.Context, setup decide.Setup, s *study.Study, members []decide.Member, toWorst bool) (*decide.Mission, []reports.Needed, error) {
	judge := setup.Mission
	if toWorst {
		judge = setup.MissionToWorst
	}
	m, err := judge(ctx, members)
	if err != nil {
		return nil, nil, err
	}
	list, err := neededFor(ctx, setup, s, m)
	return m, list, err
}

func judgedMembers(s *study.Study, to moved, conditions bool) ([]decide.Member, error) {
	name := AsWritten
	if s.ConditionName != "" {
		name, conditions = s.ConditionName, false
	}
	one, err := to.scenario(s, name)
	if err != nil {
		return nil, err
	}
	members := []decide.Member{{Scenario: one}}
	for _, c := range s.Conditions {
		if !conditions || c.Informative {
			continue
		}
		derived, err := s.Condition(c.Name)
		if err != nil {
			return nil, err
		}
		one, err := to.scenario(derived, c.Name)
		if err != nil {
			return nil, err
		}
		members = append(members, decide.Member{Scenario: one})
	}
	return members, to.onlyLimits(s, members)
}

// onlyLimits leaves the members the limits that are judged.
func (m moved) onlyLimits(read *study.Study, members []decide.Member) error {
	if len(m.limits) == 0 {
		return nil
	}
	for _, name := range m.limits {
		l, err := Limit(read, name)
		if err != nil {
			return err
		}
		if l.Target == 0 {
			return fmt.Errorf("limit %s has no target: nothing says how often it may be exceeded", l.Name)
		}
	}
	for i := range members {
		members[i].Requirements = onlyNamed(members[i].Requirements, m.limits...)
	}
	return nil
}

func onlyNamed(list []sim.Requirement, names ...string) []sim.Requirement {
	return slices.DeleteFunc(slices.Clone(list), func(q sim.Requirement) bool { return !slices.Contains(names, q.Name) })
}

// NewDecision is the decision on a mission for the reports.
func NewDecision(s *study.Study, m *decide.Mission, confidence float64) *reports.Decision {
	d := &reports.Decision{Verdict: m.Verdict.String(), Rule: ruleOf(s, confidence), LeftOut: leftOut(s, m), NoTemperature: !s.JudgesTemperature()}
	for i := range s.Limits {
		if l := &s.Limits[i]; l.WithoutTarget() {
			d.NotJudged = append(d.NotJudged, labelOf(l))
		}
	}
	if s.ConditionName == "" {
		for _, c := range s.Conditions {
			if c.Informative {
				d.ShownOnly = append(d.ShownOnly, c.Name)
			}
		}
	}
	for _, records := range m.Records {
		for _, r := range records {
			if r.Verdict != sim.NoTarget {
				d.Judged++
			}
		}
	}
	if m.Worst.Member < 0 {
		return d
	}
	if asked := m.Members[m.Worst.Member].Requirements; len(asked) < len(s.Limits) {
		for _, q := range asked {
			d.Limits = append(d.Limits, q.Name)
		}
	}
	worst := m.At(m.Worst)
	d.Requirement, d.Condition, d.Target = worst.Requirement.Name, m.Members[m.Worst.Member].Name, worst.Requirement.Target
	for _, i := range m.Alike(m.Worst) {
		d.Alike = append(d.Alike, m.Members[i].Name)
	}
	if l, err := Limit(s, worst.Requirement.Name); err == nil {
		d.Label = labelOf(l)
	}
	d.PerCard = worst.Mean
	if worst.Unknown != nil {
		bound := worst.Bound
		d.Bound = &bound
	}
	if list, ok := needed.Load(m); ok {
		d.Needed = list.([]reports.Needed)
	}
	if len(d.Needed) > 0 {
		d.Chance = assurance.Wanted
	}
	d.Wanting = wanting(worst.Want)
	d.SettledBy = (*reports.Settling)(worst.SettledBy(d.Accuracy, study.FinestAccuracy))
	return d
}

// labelOf is a limit in words.
func labelOf(l *study.Limit) string {
	return reports.Label(l.Output) + " above " + ShownUnit(l.Max, string(l.Quantity), l.Unit).Text(l.Max)
}

// leftOut are the conditions that count, the study as written being the first, and were not judged.
func leftOut(s *study.Study, m *decide.Mission) (names []string) {
	for _, c := range append([]study.Condition{{Name: AsWritten}}, s.Conditions...) {
		if !c.Informative && m.MemberNamed(c.Name) < 0 {
			names = append(names, c.Name)
		}
	}
	return names
}

// inCondition is the study in a condition of its mission: itself where that is empty, as written, or what it is in already.
func inCondition(s *study.Study, name string) (*study.Study, error) {
	if name == "" || name == AsWritten || s.ConditionName != "" {
		return s, nil
	}
	return s.Condition(name)
}

// wanting is the word of JSON for what would decide, empty for nothing.
func wanting(w decide.Want) string {
	return map[decide.Want]string{decide.Cards: "cards", decide.Knowledge: "knowledge"}[w]
}
