package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Front is the first page of a report: the decision, what it rests on, and room for
// those who answer for it.
type Front struct {
	Run     *Run
	Inputs  *Inputs
	Drivers *Drivers
	// Torque and Change are nil where they were not asked.
	Torque *Torque
	Change *Change
	// Document has the study's free texts, Date is empty where it is to be filled in.
	Document, Revision, Author, Date string
	// FromTest is how the source of an input starts that thermal readings narrowed.
	FromTest string
}

// Blocks draws the page.
func (f Front) Blocks() []Block {
	return []Block{f.heading(), f.decision(), f.assumptions(), f.applicability(), signatures("prepared", "checked", "approved"), f.revisions()}
}

// toFillIn is a line for what neither study nor command says.
const toFillIn = "____________"

// heading says which document this is, as it is filed.
func (f Front) heading() Paragraph {
	or := func(text string) string { return cmp.Or(text, toFillIn) }
	return Paragraph(fmt.Sprintf("Document: %s · Revision: %s · Date: %s · By: %s", or(f.Document), or(f.Revision), or(f.Date), or(f.Author)))
}

// Running is what every sheet says of which document it is, by its title where the study does not name it.
func (f Front) Running(title string) string {
	text := cmp.Or(f.Document, title)
	if f.Revision != "" {
		text += ", revision " + f.Revision
	}
	return text
}

// decision is the box that a reviewer reads first.
func (f Front) decision() *Table {
	t := newTable(decisionKey, "Decision", texts("question", "answer"))
	add := t.addGiven
	d := f.Run.Decision
	if d == nil || d.Requirement == "" {
		add("verdict", "NO VERDICT: the study sets no target")
	} else {
		verdict := d.verdictWords()
		if f.Change != nil {
			verdict += "; the change: " + strings.ToUpper(f.Change.Verdict) + withCaution(f.Change.caution())
		}
		add("verdict", verdict)
		add("number of record", fmt.Sprintf("%s: %s per %s, %s; target %s, %s", d.Label, inSentence(d.PerCard), per(d.Requirement), EstimateInPlain(d.PerCard), ExactProbability(d.Target), InPlain(d.Target)))
		if len(d.ShownOnly) > 0 {
			add("worst judged condition", d.Condition)
		} else {
			add("worst condition", d.Condition)
		}
		add("temperature, "+cmp.Or(f.Run.Provenance.Condition, asWritten), f.temperature())
		if f.Change == nil { // else the change's has what was before, too
			add("caution, study's torque", strings.TrimPrefix(d.caution(), cautionMark))
		}
		add("with what is not known", d.unknownWords())
		add("all requirements", f.allRequirements())
		add("shown only, not judged", listOf(d.ShownOnly))
	}
	if f.Torque != nil {
		add("torque of the study", f.Torque.OfStudy()+"; the other numbers of this page are at it"+f.Torque.elsewhere())
		add("torque for the drawing", f.Torque.forDrawing())
		add("caution", strings.TrimPrefix(f.Torque.caution(), cautionMark))
	}
	if f.Change != nil {
		add("change", "from "+f.Change.Provenance.Title+", "+f.Change.inShort())
		add("caution", strings.TrimPrefix(f.Change.caution(), cautionMark))
	}
	if d != nil {
		switch d.Wanting {
		case "knowledge":
			add("what would decide", strings.TrimSpace(neededSentence(d.Needed, d.Chance)))
		case "cards":
			add("what leaves it open", strings.TrimSpace(d.leftOpen()))
		}
	}
	add("thermal test", f.test())
	p := f.Run.Provenance
	t.Notes = []string{fmt.Sprintf("From study %s (SHA-256 %.12s…), %s, by %s %s.", p.Study, p.Digest, p.sampled(), p.Tool, p.Version) + " The last table has the terms.", strings.Join(Cautions, " ")}
	return t
}

// temperature is how hot that gets which decides or, where it is none, the first that is limited; empty where none is.
func (f Front) temperature() string {
	for _, decides := range []bool{true, false} {
		for _, q := range f.Run.Requirements {
			at := slices.IndexFunc(f.Run.Temperatures, func(t Quantity) bool { return t.Label == q.Label })
			if at < 0 || decides && q.Name != f.Run.Decision.Requirement {
				continue
			}
			var parts []string
			for _, p := range f.Run.Temperatures[at].Percentiles {
				if p.Probability >= 0.99 && !math.IsInf(p.High, 0) {
					c := estimateCells(p.Estimate, q.Shown)
					parts = append(parts, fmt.Sprintf("%s %s %s (%s to %s)", PercentileName(p.Probability), c[0], q.Shown.Label, c[1], c[2]))
				}
			}
			if len(parts) == 0 {
				return "" // too few cards fit
			}
			return fmt.Sprintf("%s: %s; limit %s", q.Label, strings.Join(parts, ", "), q.Shown.Text(q.Limit))
		}
	}
	return ""
}

// verdictWords are the verdict and, where it is open, what is wanting.
func (d Decision) verdictWords() string {
	text := strings.ToUpper(d.Verdict) + withCaution(d.caution()) + d.ofWhich()
	if d.NotAllowed != "" {
		return fmt.Sprintf("%s: %s; by the targets alone %s", text, d.notAllowed(), d.ByTargets)
	}
	switch d.Wanting {
	case "cards":
		text += ", for want of cards"
	case "knowledge":
		text += ", for want of knowledge: on average the target holds, with what is not known it is not shown to"
	}
	if len(d.Assumed) > 0 {
		text += fmt.Sprintf(", if %s as assumed", are(d.Assumed))
	}
	return text
}

// unknownWords is the bound over what is not known.
func (d Decision) unknownWords() string {
	switch {
	case d.Policy == "predictive":
		return "averaged over, by the study's policy"
	case d.Bound != nil:
		return fmt.Sprintf("with %s %% confidence at most %s, %s", Plain(100*d.Confidence), inSentence(*d.Bound), EstimateInPlain(*d.Bound))
	}
	return ""
}

// EstimateInPlain is an estimate in plain numbers; one that was never seen is its bound.
func EstimateInPlain(e Estimate) string {
	if e.Value == 0 {
		return "at most " + InPlain(e.High)
	}
	return InPlain(e.Value)
}

// leastPlain is the least probability that plain numbers say anything of.
const leastPlain = 1e-7

// InPlain is a probability in plain numbers, two digits of it: "1.3 in 1000".
func InPlain(p float64) string {
	of, name := 1e3, "1000"
	switch {
	case !(p > 0):
		return "none"
	case p < leastPlain:
		return Probability(p, 0.9*p, 1.1*p)
	case p < 1e-4:
		of, name = 1e6, "a million"
	case p > 0.995: // two figures make it all
		return "more than 99 in 100"
	}
	unit := math.Pow(10, math.Floor(math.Log10(p*of))-1)
	return Plain(math.Round(p*of/unit)*unit) + " in " + name
}

// allRequirements counts the verdicts over the mission.
func (f Front) allRequirements() string {
	var verdicts []string
	judged := 0 // besides the study as written, which has no row where the conditions take all of the time
	if m := f.Run.Mission; m != nil {
		for _, q := range m.Requirements {
			verdicts = append(verdicts, q.Verdict)
		}
		for _, c := range m.Members {
			if !c.Informative && c.Name != asWritten {
				judged++
			}
		}
	} else {
		for _, q := range f.Run.Requirements {
			verdicts = append(verdicts, q.Verdict)
		}
	}
	var parts []string
	for _, v := range []string{"not met", "undecided", "met", "no target"} {
		n := 0
		for _, got := range verdicts {
			if got == v {
				n++
			}
		}
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, v))
		}
	}
	text := fmt.Sprintf("%d: %s", len(verdicts), strings.Join(parts, ", "))
	if len(parts) == 1 {
		text = "all " + parts[0]
	}
	if d := f.Run.Decision; d != nil && d.NotAllowed != "" {
		text = "by the targets alone, " + text
	}
	if judged > 0 {
		text += fmt.Sprintf("; judged as written and in %s, the worst of them counts", Counted(judged, "condition"))
	}
	return text
}

// forDrawing is the line for the drawing, or why there is none.
func (t Torque) forDrawing() string {
	switch {
	case t.Verdict == "yes" && t.notMet() == nil && t.noTolerance():
		return "none is recommended: " + t.oneStep()
	case t.Verdict == "yes" && t.Advice != nil && t.notMet() == nil:
		return t.drawingLine()
	case t.NotAllowed:
		return "none is recommended: " + t.disjoint(" ("+t.allowedWords()+")")
	case t.Mission == nil && t.Verdict == "no":
		return "none: no torque holds every requirement"
	case t.Mission != nil && t.narrow():
		return fmt.Sprintf("none is recommended: every requirement holds in %s from %s, but no step of the tool, %s, lies inside", t.scope(), t.window(t.Mission.Lower.Torque, t.Mission.Upper.Torque), t.both(t.Allowed.Step))
	case t.Lower.Safe < t.Upper.Safe:
		return fmt.Sprintf("none is recommended: as written every requirement holds on average from %s; but %s", t.onAverage(), t.holdsNowhere("no torque"))
	}
	return "none is recommended: no torque is shown to hold every requirement"
}

// inShort is the verdict on a change with the numbers behind it.
func (c Change) inShort() string {
	text := strings.ToUpper(c.Verdict) + withCaution(c.caution())
	if len(c.Differences) == 0 {
		return text + ": the studies are the same in every input"
	}
	q := c.Requirements[c.Deciding]
	if q.Untouched {
		return text + ": no requirement that decides is touched"
	}
	return fmt.Sprintf("%s: %s, %s before, %s after; change, on draws common to both, %s, margin %s", text, q.Label, inSentence(q.Before), inSentence(q.After), q.intervalText(), c.Margin)
}

// test names what thermal readings have narrowed.
func (f Front) test() string {
	var parts []string
	for _, in := range f.Inputs.Inputs {
		if test, after := strings.CutPrefix(in.Source, f.FromTest); after {
			parts = append(parts, fmt.Sprintf("%s is %s (P1 … P99) after %s", in.Key, in.RangeText, test))
		}
	}
	if len(parts) == 0 {
		return "none: no input rests on a thermal test of the hardware"
	}
	return strings.Join(parts, "; ")
}

// mostAssumptions are named one by one.
const mostAssumptions = 4

// assumptions is what must be true for the decision, the weightiest first.
func (f Front) assumptions() *Table {
	shares, head, of := f.weights()
	t := newTable("assumptions", "What must be true", texts("assumption"), numbers("as stated, P1 … P99", head), texts("source"))
	var unknown []Input
	for _, in := range f.Inputs.Inputs {
		if in.Knowledge {
			unknown = append(unknown, in)
		}
	}
	slices.SortStableFunc(unknown, func(a, b Input) int { return cmp.Compare(shares[b.Key], shares[a.Key]) })
	for _, in := range unknown[:min(mostAssumptions, len(unknown))] {
		weight := "small"
		if share := shares[in.Key]; share > 0 {
			weight = Number(100*share, 0) + " %"
		}
		t.AddRow(in.Key, in.RangeText, weight, in.Source)
	}
	if rest := unknown[min(mostAssumptions, len(unknown)):]; len(rest) > 0 {
		sum := f.restOf(shares, unknown[:mostAssumptions], rest)
		t.AddRow(fmt.Sprintf("%d more, not known", len(rest)), "", Number(100*sum, 0)+" %", "marked * under Basis")
	}
	if d := f.Run.Decision; d != nil {
		for _, key := range d.Assumed {
			t.AddRow(key, "", "taken as known", "assumed by the study's [verdict]")
		}
	}
	open := f.Inputs.open()
	if n := len(open.all()); n > 0 {
		t.AddRow(fmt.Sprintf("%d of %d inputs not backed", n, len(f.Inputs.Inputs)), "", "taken as stated", open.counts("invented or assumed", "without a source", "defaults of the tool")+": see Basis")
	}
	t.AddRow("hardware stays as stated", "", "not counted", "no creep, no fretting, no tilting pieces: see Model")
	if len(unknown) > 0 {
		t.note(head + ": " + of + ".")
	}
	return t
}

// restOf is what is left for the inputs that are not listed one by one. Shares of what is not known make up the whole, the small ones
// that nobody lists included.
func (f Front) restOf(shares map[string]float64, listed, rest []Input) (sum float64) {
	if d := f.Run.Decision; d != nil && len(d.Needed) > 0 {
		sum = 1
		for _, in := range listed {
			sum -= shares[in.Key]
		}
		return max(0, sum)
	}
	for _, in := range rest {
		sum += shares[in.Key]
	}
	return sum
}

// weights are the shares of what is not known, where it was taken apart, else of the
// spread; with what they are shares of, as the head of a column and in full.
func (f Front) weights() (shares map[string]float64, head, of string) {
	shares = map[string]float64{}
	if d := f.Run.Decision; d != nil && len(d.Needed) > 0 {
		for _, n := range d.Needed {
			if len(n.Inputs) == 1 {
				shares[n.Inputs[0]] = n.Share
			}
		}
		return shares, "part of what is not known", "share of the variance that what is not known gives the probability that decides, as a normal score"
	}
	for _, s := range f.Drivers.Spread {
		if len(s.Inputs) == 1 && !s.Total.Indistinguishable {
			shares[s.Inputs[0]] = s.Total.Value
		}
	}
	return shares, "part of the spread", "share of the variance of the " + f.Drivers.Label + ", " + f.Drivers.Condition()
}

// beyondMeans is what it means that cards were computed outside a range.
var beyondMeans = map[string]string{
	"event.self_locking":         "the clamp may not let go when loosened; temperatures are not touched",
	"event.pressure_below_range": "the spot law is extended to faces that hardly touch; gas carries most of their heat",
	"event.pressure_above_range": "the spot law follows its exact model within 1.5 % up to P/H = 0.023 and is extended beyond; contact.factor has to cover that",
	"event.over_yield":           "a body flows under the face; its flatness closes further than the elastic law says",
	"event.outside_range":        "the tail of an input is cut where the model ends",
}

// applicability is the share of cards outside a correlation's range.
func (f Front) applicability() Block {
	t := newTable("applicability", "Where the model was used outside its range", texts("what"), numbers(f.Run.Provenance.counted()), texts("what it means"))
	for _, e := range f.Run.RangeOfUse {
		if e.PerCard.Count > 0 {
			t.AddRow(e.Label, Number(100*e.PerCard.Value, 1)+" %", beyondMeans[e.Name])
		}
	}
	if len(t.Rows) == 0 {
		return Paragraph("Applicability: no card was computed outside a correlation's range of use.")
	}
	return t
}

// revisions has the study's revision and a row to fill in.
func (f Front) revisions() *Table {
	t := newTable("revisions", "Revisions", texts("revision", "date", "by", "what changed"))
	t.AddRow(f.Revision, f.Date, f.Author, "")
	t.AddRow("", "", "", "")
	return t
}

// signatures are left empty: the tool computes, people decide.
func signatures(roles ...string) *Table {
	t := newTable("signatures", "Signatures", texts("role", "name", "decision", "date", "signature"))
	for _, role := range roles {
		t.AddRow(role, "", "", "", "")
	}
	return t
}
