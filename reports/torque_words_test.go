package reports

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/sim/rare"
)

// answered is a torque window from 0.60 to 0.62 N·m without what the cases add.
func answered() Torque {
	unit := Unit{Label: "N·m", Of: func(x float64) float64 { return x }}
	return Torque{
		Verdict: "undecided", AsWritten: "yes", Inside: "no", Now: 0.7, Shown: unit, Other: unit, Provenance: Provenance{Complete: true},
		Allowed: TorqueAllowed{Step: 0.05},
		Mission: &TorqueMission{Lower: TorqueMissionEnd{Torque: 0.60, Requirement: "spot", Label: "hottest spot", Condition: "hot day", Beyond: "undecided"}, Upper: TorqueMissionEnd{Torque: 0.62}},
	}
}

func TestAWindowNarrowerThanAStepIsTold(t *testing.T) {
	narrow := answered()
	assert.True(t, strings.HasPrefix(narrow.headline(), "UNDECIDED: every requirement holds in every condition from 0.600 to 0.620 N·m"), narrow.headline())
	assert.Contains(t, narrow.headline(), "no step of the tool, 0.0500 N·m, lies inside. Below it, hottest spot is undecided, hot day.")
	assert.Equal(t, "none is recommended: every requirement holds in every condition from 0.600 to 0.620 N·m (0.600 to 0.620 N·m), but no step of the tool, 0.0500 N·m (0.0500 N·m), lies inside", narrow.forDrawing(), "page one says the same")
	none := answered()
	none.Mission.Lower.None = true
	assert.Contains(t, none.headline(), "with what is not known kept apart, no torque in it is shown to hold in every condition. At every torque searched hottest spot is undecided, hot day.")
	none.Mission.Lower.Beyond, none.Mission.Lower.Least = "not met", &TorquePoint{Torque: 0.9, Estimate: Estimate{Value: 0.25, Interval: Interval{Low: 0.24, High: 0.26}}}
	assert.Contains(t, none.headline(), "But no torque in it holds in every condition. At every torque searched hottest spot is not met, hot day; the least is 0.250 per card, at 0.900 N·m (0.900 N·m).")
	none.Lower.Safe, none.Upper.Safe = 0.5, 0.8
	assert.Contains(t, none.forDrawing(), "; but no torque holds in every condition")
}

// Before and after is told where anything is seen, and what is not met is never left out.
func TestBeforeAndAfterIsOfWhatIsSeen(t *testing.T) {
	unseen, seen := Judged{Verdict: "met"}, Judged{PerCard: Estimate{Value: 1e-4}, Verdict: "met"}
	open := Judged{Verdict: "undecided"}
	torque := answered()
	torque.Advice = &TorqueSetting{Torque: 0.6, Step: 0.05}
	torque.Compared = []TorqueCompared{{Label: "a", Now: unseen, Recommended: unseen}, {Label: "b", Now: seen, Recommended: unseen}, {Label: "c", Now: open, Recommended: unseen}}
	table := torque.compared().(*Table)
	assert.Len(t, table.Rows, 2)
	assert.Equal(t, []string{"b", "c"}, []string{table.Rows[0][0], table.Rows[1][0]})
	assert.Contains(t, table.Notes[0], "1 of 3 are left out")
	torque.Compared = torque.Compared[:1]
	assert.Contains(t, string(torque.compared().(Paragraph)), "No card was seen to exceed a limit")
}

// What is allowed is told apart from what holds, with the screws that the tool's scatter takes beyond it.
func TestWhatIsAllowedIsToldApart(t *testing.T) {
	torque := answered()
	torque.Verdict, torque.Mission.Upper.Torque, torque.Allowed = "yes", 2.2, TorqueAllowed{Most: 2, Step: 0.05}
	torque.Advice = &TorqueSetting{Torque: 1.9, Tolerance: 0.1, Step: 0.05, MostBinds: true, AboveMost: 0.4996}
	assert.Contains(t, torque.headline(), "0.600 to 2.00 N·m (0.600 to 2.00 N·m) of nominal torque is allowed, and every requirement holds there in every condition. By the requirements alone it could be 0.600 to 2.20 N·m (0.600 to 2.20 N·m).")
	assert.Equal(t, "CAUTION: with the tool set to 2.00 N·m (2.00 N·m), 50 % of the screws get more than the clamp maker's most, 2.00 N·m (2.00 N·m), by its scatter: one is too many.", torque.caution())
	assert.Contains(t, torque.headline(), "YES, with a caution: ")
	assert.Equal(t, []Block{Code(torque.drawingLine()), Paragraph(torque.caution())}, torque.lines()[1:3], "beside the line for the drawing, and not in it")
	front := Front{Run: &Run{}, Inputs: &Inputs{}, Torque: &torque}.decision()
	at := slices.IndexFunc(front.Rows, func(row []string) bool { return row[0] == "torque for the drawing" })
	assert.Equal(t, []string{"caution", strings.TrimPrefix(torque.caution(), cautionMark)}, front.Rows[at+1])
	torque.Advice.WithinMost, torque.Advice.Few = 1.85, 5e-5
	assert.Contains(t, torque.caution(), "one is too many; set to 1.85 N·m (1.85 N·m) or less, 50 in a million at most.")

	torque.Widening = []TorqueWidening{{End: "lower", InputShare: InputShare{Key: "friction.ramp"}}, {End: "upper", InputShare: InputShare{Key: "screw.head_friction"}}}
	assert.Len(t, torque.restsOn(), 1, "the window's upper end is not the one that binds")
	assert.Contains(t, torque.lines()[3], "screw.torque rests on readings or lots")

	// Room without a caution comes before room with one.
	torque.Advice.Room, torque.Advice.ToleranceBinds, torque.Advice.UsualShare = 0.4, true, 0.1
	torque.Advice.NoCaution = &TorqueRoom{From: 1.5, To: 1.95, Room: 0.05, Torque: 1.7, Most: 0.2}
	assert.Contains(t, torque.bounds(), "; without a caution the tool may be set to 1.50 to 1.95 N·m (1.50 to 1.95 N·m), ± 0.05 N·m about the torque recommended and ± 0.20 about 1.70; with one there is room for ± 0.400 N·m")
	torque.Advice.NoCaution = &TorqueRoom{}
	assert.Contains(t, torque.bounds(), "; without a caution there is no room; with one there is room for ± 0.400 N·m")
	torque.Advice.NoCaution = nil
	assert.Contains(t, torque.bounds(), "otherwise; there is room for ± 0.400 N·m")
	torque.Advice.AboveMost = 2e-4
	assert.Contains(t, torque.caution(), "0.02 % of the screws get more")

	torque.Mission.Lower.Requirement, torque.Advice.AboveMost = "", 0
	assert.Contains(t, torque.bounds(), "below, nothing that was searched, so that the torque stays near the study's")
	assert.Empty(t, torque.caution())
}

// Page one, basis and section say of the study's torque the same: whether it is allowed, and whether it is the drawing's.
func TestTheStudysTorqueIsToldAlike(t *testing.T) {
	torque := answered()
	assert.Equal(t, "0.7 N·m", torque.OfStudy())
	torque.Allowed.Most = 0.65
	const not = "not allowed: outside the clamp maker's most, 0.650 N·m (0.650 N·m)"
	assert.Equal(t, "0.7 N·m, "+not, torque.OfStudy())
	assert.Equal(t, "The study's torque, 0.700 N·m, is "+not+". At it the study is not met, whatever the targets say.", torque.inside())
	torque.Checked = []TorqueChecked{{Torque: 0.7, Recommended: true, Decision: Decision{Verdict: "undecided"}}}
	assert.Contains(t, torque.bad(), "At 0.700 N·m, "+not+", it is by the targets alone undecided: ", "page one has not met")
	torque.Advice = &TorqueSetting{Torque: 0.65, Step: 0.05, NoCaution: &TorqueRoom{}}
	assert.True(t, strings.HasPrefix(torque.bounds(), "What bounds it: "))
	assert.NotContains(t, torque.bounds(), "room", "nothing is recommended")
	torque.Checked, torque.NotAllowed, torque.Advice = nil, true, nil
	for _, words := range []string{torque.advice(), torque.forDrawing()} {
		assert.Contains(t, words, "the torques that are shown to hold are not allowed")
	}

	torque = answered()
	torque.Verdict, torque.Advice = "yes", &TorqueSetting{Torque: 0.8, Tolerance: 0.05, Step: 0.05, StudyLine: "screw.torque = 0.8"}
	assert.Equal(t, "0.7 N·m, outside the 0.800 ± 0.050 N·m for the drawing", torque.OfStudy())
	assert.NotEmpty(t, torque.elsewhere())
	torque.Inside = "yes"
	assert.Equal(t, "The study's torque, 0.700 N·m, is inside the window, outside the 0.800 ± 0.050 N·m for the drawing.", torque.inside())
	torque.Now = 0.85
	assert.Equal(t, "0.85 N·m, within the 0.800 ± 0.050 N·m for the drawing", torque.OfStudy())
	torque.Now = 0.8 * (1 + 1e-15)
	assert.Equal(t, "0.8 N·m, the nominal of the 0.800 ± 0.050 N·m for the drawing", torque.OfStudy())
	assert.Empty(t, torque.elsewhere())
	front := Front{Run: &Run{}, Inputs: &Inputs{}, Torque: &torque}.decision()
	assert.Contains(t, front.Rows, []string{"torque of the study", torque.OfStudy() + "; the other numbers of this page are at it"})
}

// What was searched is no end of a window, and what is not allowed is told of it.
func TestTheEndOfTheSearchIsNoEnd(t *testing.T) {
	torque := answered()
	torque.Mission.Lower.None, torque.Lower.Safe, torque.Upper.Safe = true, 0.217, 0.948
	torque.Upper.Requirement, torque.Allowed.Most = "screw_stress", 0.8
	assert.Contains(t, torque.headline(), "every requirement holds from 0.217 to 0.948 N·m (0.217 to 0.948 N·m); lower ones were not searched (--from); what is outside the clamp maker's most, 0.800 N·m (0.800 N·m), is not allowed. But with what is not known kept apart, no torque")
	torque.Mission.Lower.Beyond, torque.Mission.Upper.Beyond = "not met", "not met"
	assert.Contains(t, torque.headline(), "is not allowed. But no torque in it holds in every condition. At every torque searched hottest spot is not met, hot day.", "on average already")
	assert.Contains(t, torque.forDrawing(), "none is recommended: as written every requirement holds on average from")
	torque.Upper.Requirement, torque.Allowed.Most = "", 0
	assert.Contains(t, torque.headline(), ", which is all that was searched (--from, --to). But")
}

// What more evaluations may establish names the flag.
func TestWhatIsNotEstablishedHasANextStep(t *testing.T) {
	tail := Tail{Reason: "the search for ways to fail was cut short", Probability: rare.Probability{Value: 1e-4}}
	assert.Contains(t, tail.standing(), "cut short. More --evaluations may establish it.")
	tail.Established = true
	assert.NotContains(t, tail.standing(), "--evaluations")
}

// Every end says of which condition it is: the window's of the one beyond it, those of single requirements of the study as written.
func TestEachEndNamesItsCondition(t *testing.T) {
	torque := answered()
	torque.Mission.Lower = TorqueMissionEnd{Torque: 0.6, Requirement: "spot", Label: "hottest spot", Condition: "harbour day", Beyond: "undecided"}
	torque.Mission.Upper, torque.Upper = TorqueMissionEnd{Torque: 0.9}, TorqueEnd{Requirement: "screw_stress", Label: "screw stress"}
	rows := torque.missionEnds().Rows
	assert.Equal(t, []string{"lowest", "0.600", "0.600", "hottest spot", "harbour day", "undecided"}, rows[0])
	assert.Equal(t, []string{"highest", "0.900", "0.900", "screw stress", "as written", "not shown to hold"}, rows[1])
	torque.Upper.Requirement = ""
	assert.Equal(t, "not searched (--from, --to)", torque.missionEnds().Rows[1][3])
	torque.Mission.Lower.None = true
	rows = torque.missionEnds().Rows
	assert.Len(t, rows, 1, "nothing holds, so that there is no other end")
	assert.Equal(t, []string{"none holds", "", "", "hottest spot", "harbour day", "undecided"}, rows[0])
	assert.Contains(t, torque.ends().Caption, ", as written, averaged over what is not known")
	torque.Provenance.Condition = "harbour day"
	assert.Contains(t, torque.ends().Caption, ", harbour day, averaged")
}
