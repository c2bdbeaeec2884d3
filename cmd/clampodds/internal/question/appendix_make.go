package question

import (
	"context"
	"fmt"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
	"clampodds/sim/batch"
)

// Reporting asks for everything that a report says of a study.
type Reporting struct {
	Asking
	Date     string
	Baseline *study.Study   // of a change to be judged, if there is one
	Others   []*study.Study // beside which the study is put, if any
}

// driverSamples is the size of each sample of the drivers.
const driverSamples = 2000

// Make computes the parts of the report.
func (r Reporting) Make(ctx context.Context, s *study.Study) (a *Appendix, err error) {
	a = &Appendix{Schema: appendixSchema, Study: s, Inputs: Inputs(s), Date: r.Date}
	if a.Checks, err = OutsideChecks(); err != nil {
		return nil, err
	}
	if a.Nominal, _, err = Nominal(s); err != nil {
		return nil, err
	}
	if err := r.run(ctx, a); err != nil {
		return nil, err
	}
	_, clear := r.Progress.start("what drives it, torque, comparisons")
	defer clear()
	r.Progress = nil // one line for all
	// The longest goes first, and the two that need most memory not side by side.
	parts := []func(context.Context, *Appendix) error{r.change, r.drivers, r.window, r.compare}
	err = batch.Each(context.Background(), r.Workers, len(parts), func(i int) error { return parts[i](ctx, a) })
	return a, err
}

// run does the Monte Carlo run, as the command run does.
func (r Reporting) run(ctx context.Context, a *Appendix) error {
	running := Running{Counting: Counting{Sampling: r.Sampling, Progress: r.Progress}, ShowsConditions: true}
	done, err := running.Ask(ctx, a.Study)
	if err != nil {
		return err
	}
	if !done.Found.Complete {
		return Stopped(Interrupted + ": no report is written")
	}
	a.Run, a.Found, a.Verdicts = done.Result, done.Found, done.Verdicts
	return nil
}

// drivers finds what makes the spread and the exceedance of the temperature limit that decides, where it decides;
// where none does, of the first, in the condition that exceeds it most.
func (r Reporting) drivers(ctx context.Context, a *Appendix) error {
	limit, condition := a.driven()
	of, err := inCondition(a.Study, condition)
	if err != nil {
		return err
	}
	q := Exceedance{Limit: limit, Evaluations: r.Evaluations, RelativeError: 0.1, Sampling: r.Sampling}
	if q.record, err = r.ofRecord(ctx, a, limit, condition); err != nil {
		return err
	}
	a.Drivers, _, err = q.Drivers(ctx, of, driverSamples)
	return err
}

// ofRecord is the number of record of a limit in a condition, which the run has judged; nil for one that has none.
func (r Reporting) ofRecord(ctx context.Context, a *Appendix, limit, condition string) (*sim.Estimate, error) {
	m, err := Judge(ctx, r.recordSetup(a.Study), a.Study, true)
	if err != nil {
		return nil, err
	}
	member := 0 // the study as written, or in its one condition
	if condition != "" {
		member = m.MemberNamed(condition)
	}
	if member < 0 {
		return nil, nil
	}
	for _, record := range m.Records[member] {
		if record.Requirement.Name == limit && record.Verdict != sim.NoTarget {
			return &record.Mean, nil
		}
	}
	return nil, nil
}

// driven is the limit and the condition that drivers looks at; empty for the first limit, and for the study as it stands.
func (a *Appendix) driven() (limit, condition string) {
	if l := a.decidingTemperature(); l != nil {
		return l.Name, a.Run.Decision.Condition
	}
	if first := firstTemperature(a.Study); first != nil && a.Run.Mission != nil {
		for _, q := range a.Run.Mission.Requirements {
			if q.Name == first.Name {
				return q.Name, q.Worst
			}
		}
	}
	return "", ""
}

// window looks for the torque window, and explores beside it.
func (r Reporting) window(ctx context.Context, a *Appendix) error {
	if a.Study.OnlyApart(TorqueKey) != nil {
		return nil // each edge has its own
	}
	found, _, err := AskOfRecord(ctx, r.Asking, a.Study, "cards", Torques{}.Ask)
	if err != nil {
		return err
	}
	a.Torque = found
	return r.explore(ctx, a)
}

// explore counts at other torques: over the window as written where it has ends, with
// something on either side.
func (r Reporting) explore(ctx context.Context, a *Appendix) (err error) {
	t := a.Torque
	x := Exploring{Sampling: r.Sampling, From: 0.6 * t.Now, To: 1.4 * t.Now}
	if low := 0.85 * t.Lower.Torque; low > t.From {
		x.From = min(x.From, low)
	}
	if high := 1.1 * t.Upper.Torque; high < t.To {
		x.To = max(x.To, high)
	}
	if d := a.Run.Decision; d != nil {
		x.Condition = d.Condition
	}
	a.Explore, err = x.Explore(ctx, a.Study)
	return err
}

// change judges the change from the baseline, where there is one.
func (r Reporting) change(ctx context.Context, a *Appendix) error {
	if r.Baseline == nil {
		return nil
	}
	answer, err := r.Change(ctx, r.Baseline, a.Study, "", a.Along())
	if err == nil {
		a.Change, a.Changed, a.Verdicts = &answer.Result, answer.Shown, append(a.Verdicts, answer.Safe)
	}
	return err
}

// compare puts the study beside others, where there are any.
func (r Reporting) compare(ctx context.Context, a *Appendix) error {
	if len(r.Others) == 0 {
		return nil
	}
	result, _, err := r.Compare(ctx, append([]*study.Study{a.Study}, r.Others...), "")
	a.Compare = &result
	return err
}

// longestSentence is one that is read, and that no renderer cuts.
const longestSentence = 380

// Verdict says which requirements are met, and whether the change is safe, where there is one.
func (a *Appendix) Verdict() string {
	parts := []string{a.requirements()}
	if d := a.Run.Decision; d != nil && d.Words() != "" {
		parts = append(parts, d.Words())
	}
	if a.Change != nil {
		parts = append(parts, fmt.Sprintf("The change from %s: %s.", a.Change.Provenance.Study, a.Change.Verdict))
	}
	return strings.Join(parts, " ")
}

// requirements is a sentence that says which requirements are met, by the study as
// written and in every condition of the mission; of those that are not, it names as
// many as there is room for.
func (a *Appendix) requirements() (sentence string) {
	written, mission := map[string][]string{}, map[string][]string{}
	for _, q := range a.Run.Requirements {
		written[q.Verdict] = append(written[q.Verdict], q.Label)
	}
	if a.Run.Mission != nil {
		for _, q := range a.Run.Mission.Requirements {
			mission[q.Verdict] = append(mission[q.Verdict], q.Label)
		}
	}
	for named := max(len(a.Run.Requirements), 1); named > 0; named-- {
		first, all := byVerdict(written, named), byVerdict(mission, named)
		switch {
		case first == "":
			return "The study sets no target, so there is no verdict."
		case all == "":
			sentence = fmt.Sprintf("As written, %s.", first)
		default:
			sentence = fmt.Sprintf("Over all conditions of the mission, %s; as written, %s.", all, first)
		}
		if len(sentence) <= longestSentence {
			break
		}
	}
	return sentence
}

// byVerdict counts requirements by their verdict, the worst first, and names up to
// so many of those that are not met.
func byVerdict(names map[string][]string, named int) string {
	all := 0
	for _, n := range names {
		all += len(n)
	}
	var parts []string
	for _, v := range []sim.Verdict{sim.NotMet, sim.Undecided, sim.Met} {
		n := names[v.String()]
		if len(n) == 0 {
			continue
		}
		of, are := "", "are"
		if len(parts) == 0 {
			of = fmt.Sprintf("of %d requirements ", all)
		}
		if len(n) == 1 {
			are = "is"
		}
		part := fmt.Sprintf("%d %s%s %s", len(n), of, are, v)
		switch {
		case all == 1:
			part = fmt.Sprintf("the one requirement is %s", v)
		case len(n) == all:
			part = fmt.Sprintf("all %d requirements are %s", all, v)
		}
		if v != sim.Met {
			part += " (" + listed(n, named) + ")"
		}
		parts = append(parts, part)
	}
	if n := len(names[sim.NoTarget.String()]); n > 0 && len(parts) > 0 {
		have := "have"
		if n == 1 {
			have = "has"
		}
		parts = append(parts, fmt.Sprintf("%d %s no target", n, have))
	}
	if len(parts) > 1 {
		return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
	}
	return strings.Join(parts, "")
}

// listed names requirements, the first ones where there are many.
func listed(names []string, most int) string {
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
}

// notKnown states which inputs are not known, and what that means.
func (a *Appendix) notKnown() string {
	var keys []string
	for _, in := range a.Inputs.Inputs {
		if in.Knowledge {
			keys = append(keys, in.Key)
		}
	}
	const mixed = " not known and the same for all cards. The probabilities above mix this with the scatter: a measurement would move them all together."
	switch {
	case len(keys) == 0:
		return "The study takes every input as known up to its scatter from card to card, lot to lot or chassis to chassis: no lack of knowledge is in the probabilities."
	case len(a.Run.Knowledge) > 0:
		return subject(keys) + mixed + " The table keeps the two apart."
	}
	return subject(keys) + mixed + " Every limit is clear without keeping them apart."
}

// subject opens a sentence about inputs.
func subject(keys []string) string {
	if len(keys) == 1 {
		return "One input, " + keys[0] + ", is"
	}
	return fmt.Sprintf("%d inputs, marked * under Basis, are", len(keys))
}
