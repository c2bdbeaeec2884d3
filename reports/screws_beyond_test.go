package reports

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A run, and whatever else is decided at the study's torque, is told of the screws that the tool takes beyond the clamp maker's limits,
// with the verdict as it is; where the torque itself is not allowed that comes alone.
func TestADecisionSaysHowManyScrewsAreBeyondTheMakersLimits(t *testing.T) {
	d := Decision{Verdict: "met", Requirement: "spot", Label: "spot above 72 °C", Condition: "as written", Target: 1e-3, ByMaker: ByMaker{
		BelowLeast: &ScrewsBeyond{Limit: 0.6, Share: 0.02, Below: true, LimitText: "0.6 N·m", Reach: "0.55 N·m"}, AboveMost: &ScrewsBeyond{Limit: 0.8, Share: 1.2e-3, LimitText: "0.8 N·m"}}}
	const words = "2 % of the screws get less than the clamp maker's least, 0.6 N·m, by the tool's scatter as the study states it, down to 0.55 N·m; 0.12 % of the screws get more than the clamp maker's most, 0.8 N·m, by the tool's scatter as the study states it: one is too many."
	run := Run{Decision: &d, Provenance: Provenance{Complete: true}}
	told := run.Document().Blocks
	assert.Contains(t, string(told[0].(Paragraph)), "MET, with a caution: every target holds")
	assert.Equal(t, Paragraph("CAUTION: "+words), told[1])
	front := Front{Run: &run, Inputs: &Inputs{}}
	assert.Contains(t, front.decision().Rows, []string{"caution, study's torque", words})
	assert.Contains(t, front.decision().Rows[0][1], "MET, with a caution")
	assert.Equal(t, "CAUTION: "+words, d.Words())

	c := Compare{Designs: []CompareDesign{{Results: Run{Decision: &d}}}}
	assert.Contains(t, c.targets(), "A met, with a caution.")
	torque := answered()
	torque.Provenance.Complete, torque.Checked, torque.Inside = true, []TorqueChecked{{Decision: d}}, "yes"
	assert.True(t, strings.HasSuffix(torque.inside(), "is inside the window. CAUTION: there "+words), torque.inside())

	d.Verdict, d.ByTargets, d.NotAllowed = "not met", "met", "the screw's torque of 0.9 N·m is more than the clamp maker allows, torque.most = 0.8 N·m"
	assert.NotContains(t, string(d.Sentence()), "caution")
	after := Document{}
	after.addDecision(&d)
	assert.Len(t, after.Blocks, 1)
	assert.Equal(t, "NOT ALLOWED: "+d.NotAllowed+".", d.Words())
}

// What has no part in a verdict is told with it: limits without a target, and conditions that are only shown.
func TestWhatIsNotJudgedIsToldWithTheVerdict(t *testing.T) {
	d := Decision{Verdict: "met", Requirement: "spot", Label: "spot above 85 °C", Condition: "as written", NotJudged: []string{"fpga above 90 °C", "edge above 80 °C"}, ShownOnly: []string{"a mistake"}}
	assert.Contains(t, d.Sentence(), "MET, with a caution")
	assert.Contains(t, d.Sentence(), "Shown only, and not judged: a mistake.")
	assert.Equal(t, "CAUTION: without a target no verdict is of fpga above 90 °C and edge above 80 °C.", d.caution())
	assert.Equal(t, "every judged condition", d.scope())
	assert.Contains(t, Audit{Decision: d, Answer: "YES" + d.WithCaution() + ": none."}.Document().Blocks, Paragraph(d.caution()), "audit tells it too")
	d.NoTemperature = true
	assert.Equal(t, 1, strings.Count(d.notOf("CAUTION: 5 % of the screws."), "CAUTION"), "one after the other")

	both := ByMaker{BelowLeast: &ScrewsBeyond{Share: 0.2, Below: true}, AboveMost: &ScrewsBeyond{Share: 0.2}}
	both.NotTooMany(0.01)
	assert.NotContains(t, both.notAllowed(), "another torque")
}
