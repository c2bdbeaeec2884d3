package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// verdict is the answer as a table: what is recommended, the window that holds in every condition, what of it the clamp's maker
// allows, and the window as written on average.
func (t Torque) verdict() *Table {
	var heads, cells []string
	window := func(name string, shown bool, from, to float64) {
		heads = append(heads, t.Shown.Head(name+"from"), t.Shown.Head(name+"to"))
		if shown {
			cells = append(cells, t.text(from), t.text(to))
		} else {
			cells = append(cells, "", "")
		}
	}
	recommended, holds := []string{"", ""}, t.Verdict == "yes" && t.Mission != nil
	if t.Advice != nil {
		recommended = []string{t.fixed(t.Shown, t.Advice.Torque), t.fixed(t.Shown, t.Advice.Tolerance)}
	}
	var from, to, least, most float64
	if holds {
		from, to, least, most = t.Mission.Lower.Torque, t.Mission.Upper.Torque, t.Mission.Lower.Torque, t.Mission.Upper.Torque
		if t.Advice != nil {
			least, most = t.allowedPart()
		}
	}
	window("allowed ", holds, least, most)
	window("", holds, from, to)
	window("as written on average ", t.AsWritten == "yes", t.Lower.Safe, t.Upper.Safe)
	table := newTable("verdict", "", texts("verdict", "study inside", "caution"), numbers(t.Shown.Head("recommended"), t.Shown.Head("tolerance")), numbers(heads...))
	table.AddRow(slices.Concat([]string{t.Verdict, t.Inside, hasCaution(t.caution())}, recommended, cells)...)
	return table
}

// ofOneCondition is the condition that the ends of single requirements are of.
func (t Torque) ofOneCondition() string { return cmp.Or(t.Provenance.Condition, asWritten) }

// missionEnds are those of the window of the first sentence, with the requirement and the condition beyond them; nothing where the
// search did not come to it.
func (t Torque) missionEnds() *Table {
	table := newTable("mission_ends", "Window of the nominal torque in "+t.scope()+", by the rule that decides",
		texts("end"), numbers(t.Shown.Head("torque"), t.Other.Head("torque")), texts("beyond it", "condition", "there it is"))
	m := t.Mission
	if m == nil {
		return table
	}
	for _, end := range []struct {
		name    string
		mission TorqueMissionEnd
		written TorqueEnd
	}{{"lowest", m.Lower, t.Lower}, {"highest", m.Upper, t.Upper}} {
		e := end.mission
		row := []string{end.name, t.text(e.Torque), t.other(e.Torque), e.Label, e.Condition, e.Beyond}
		switch {
		case e.None:
			row[0], row[1], row[2] = "none holds", "", ""
		case m.Lower.None || m.Upper.None:
			continue // nothing holds, so that there is no other end
		case e.Requirement == "" && end.written.Requirement != "":
			row[3], row[4], row[5] = end.written.Label, t.ofOneCondition(), notShown
		case e.Requirement == "":
			row[3] = "not searched (--from, --to)"
		}
		table.AddRow(row...)
	}
	if a := t.Advice; a != nil && (a.LeastBinds || a.MostBinds) {
		table.note("Of it the clamp maker allows " + t.window(t.allowedPart()) + ": an end that is not in the table is the maker's.")
	}
	if m.Within > 0 {
		table.note("Each end is the last torque that was met, found within " + t.both(m.Within) + "; the tool's scatter moves along with the torque. loosen and audit leave the scatter as it is and search by themselves: their ends differ by up to as much.")
	}
	return table
}

func (t Torque) ends() *Table {
	table := newTable("ends", "Nominal torque that each requirement needs (at least) or allows (at most), "+t.ofOneCondition()+", averaged over what is not known",
		texts("requirement"), numbers("target"), texts("bound"), numbers(t.Shown.Head("torque"), "low", "high", t.Other.Head("torque")), texts("sets it"))
	table.note("low, high: interval of the end, carried through the curve from that of the probability (rows about the limit: weighted counts).")
	for _, c := range t.Curves {
		target := ExactProbability(c.Target)
		rows := 0
		for _, e := range []struct {
			word string
			end  TorqueEnd
			sets bool
		}{{"at least", c.Lower, t.Lower.Requirement == c.Name}, {"at most", c.Upper, t.Upper.Requirement == c.Name}} {
			if math.IsInf(e.end.Torque, 0) {
				continue
			}
			mark := ""
			if e.sets {
				mark = "yes"
			}
			table.AddRow(c.title(), target, e.word, t.text(e.end.Torque), t.beyond(e.end.Low), t.beyond(e.end.High), t.other(e.end.Torque), mark)
			rows++
		}
		if rows == 0 {
			word := heldThroughout
			if math.IsInf(c.Lower.High, 1) || math.IsInf(c.Upper.Low, -1) {
				word = notShown
			}
			if i := slices.IndexFunc(t.Missed, func(m TorqueMissed) bool { return m.Label == c.Label }); i >= 0 {
				if word = notShown; t.Missed[i].shown() {
					word = "holds nowhere"
				}
			}
			table.AddRow(c.title(), target, word, "", "", "", "", "")
		}
	}
	table.foldHeld()
	return table
}

const (
	notShown       = "not shown to hold"
	heldThroughout = "holds throughout"
	mostHeld       = 8 // have rows of their own; those of a chassis are more
)

// foldHeld turns the rows of the requirements that hold throughout into a note, where they are many.
func (t *Table) foldHeld() {
	var held []string
	rows := slices.DeleteFunc(slices.Clone(t.Rows), func(row []string) bool {
		if row[2] != heldThroughout {
			return false
		}
		held = append(held, row[0])
		return true
	})
	if len(held) > mostHeld {
		t.Rows = rows
		t.note(fmt.Sprintf("%d more hold throughout: %s.", len(held), strings.Join(held, "; ")))
	}
}

// title is the requirement with its limit.
func (c TorqueCurve) title() string { return c.Label + " ≤ " + c.Shown.Text(c.Limit) }

// beyond prints an end that may lie outside the search.
func (t Torque) beyond(x float64) string {
	switch {
	case math.IsInf(x, -1):
		return "< " + t.text(t.From)
	case math.IsInf(x, 1):
		return "> " + t.text(t.To)
	}
	return t.text(x)
}

func (t Torque) widening() *Table {
	table := newTable("widening", "What would widen the window most: half the spread of one input",
		texts("end", "condition", "input"), numbers("share", t.Shown.Head("end moves out by")))
	table.note("share: how much of what carries a card over the limit is this input's scatter. The move is an estimate, averaged over what is not known, on the same draws for all inputs.")
	if t.Advice != nil && (t.Advice.LeastBinds || t.Advice.MostBinds) {
		table.note("An end that the clamp maker sets nothing here moves.")
	}
	for _, w := range t.Widening {
		shift := Number(t.Shown.Of(w.Shift), torqueDigits(t.Shown, t.Now))
		if w.AtLeast {
			shift = "> " + shift
		}
		table.AddRow(w.End, cmp.Or(w.Condition, t.ofOneCondition()), w.Key, Number(100*w.Share, 0)+" %", shift)
	}
	return table
}

// course has the probabilities against the torque, a column for each
// requirement that was seen exceeded at one.
func (t Torque) course() *Table {
	table := newTable("course", "Probability of exceeding each limit against the nominal torque, per card, "+t.ofOneCondition(), numbers(t.Shown.Head("torque")))
	table.note("≤: none seen, upper bound. *: by the tail methods; ?*: not established. The JSON has every point with its interval.",
		"Of record at another torque: run a study that extends this one and replaces screw.torque, as clampodds example torque-change writes one.")
	var torques []float64
	var seen []TorqueCurve
	for _, c := range t.Curves {
		if slices.ContainsFunc(c.Points, func(p TorquePoint) bool { return p.Value > 0 || p.Tail }) {
			seen = append(seen, c)
		}
	}
	if left := len(t.Curves) - len(seen); left > 0 {
		table.note(fmt.Sprintf("Left out: %d of %d limits, which no card exceeds at any torque.", left, len(t.Curves)))
	}
	for _, c := range seen {
		table.Columns = append(table.Columns, numbers(strings.TrimPrefix(c.Name, "component."))...)
		for _, p := range c.Points {
			if !slices.Contains(torques, p.Torque) {
				torques = append(torques, p.Torque)
			}
		}
	}
	slices.Sort(torques)
	for _, x := range torques {
		row := []string{t.text(x)}
		for _, c := range seen {
			row = append(row, c.at(x))
		}
		table.AddRow(row...)
	}
	return table
}

// at prints the probability at a torque, if it was looked at.
func (c TorqueCurve) at(x float64) string {
	for _, p := range c.Points {
		switch {
		case p.Torque != x:
		case p.Tail && p.Low == 0 && p.High == 1:
			return "?*"
		case p.Tail:
			return estimateText(p.Estimate) + "*"
		default:
			return estimateText(p.Estimate)
		}
	}
	return ""
}

func (t Torque) points() *Table {
	table := newTable("points", "", texts("requirement"), numbers("limit", "target", t.Shown.Head("torque"), "probability", "low", "high", "samples"), texts("method"))
	for _, c := range t.Curves {
		for _, p := range c.Points {
			table.AddRow(append(append([]string{c.Name, c.Shown.Text(c.Limit), ExactProbability(c.Target), Plain(t.Shown.Of(p.Torque))},
				probabilityCells(p.Estimate)...), fmt.Sprint(p.N), p.Method)...)
		}
	}
	return table
}
