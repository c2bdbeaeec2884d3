package question

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/reports/figure"
	"clampodds/sim"
)

// TestAVerdictIsNeverCut: a renderer bounds the length of a text, which must not
// take a requirement out of a verdict.
func TestAVerdictIsNeverCut(t *testing.T) {
	var a Appendix
	a.Run.Mission = new(reports.Mission)
	for range 40 {
		a.Run.Requirements = append(a.Run.Requirements, reports.Requirement{Label: "thread force over stripping strength", Verdict: "undecided"})
		a.Run.Mission.Requirements = append(a.Run.Mission.Requirements, reports.MissionRequirement{Label: "inertia over holding friction", Verdict: "undecided"})
	}
	a.Run.Requirements = append(a.Run.Requirements, reports.Requirement{Label: "hotter edge", Verdict: "not met"})
	verdict := a.Verdict()
	assert.Equal(t, "Over all conditions of the mission, all 40 requirements are undecided (inertia over holding friction, inertia over holding friction and 38 more); as written, 1 of 41 requirements is not met (hotter edge) and 40 are undecided (thread force over stripping strength, thread force over stripping strength and 38 more).", verdict)
	var b bytes.Buffer
	d := reports.Document{Blocks: []reports.Block{reports.Paragraph(verdict)}}
	require.NoError(t, reports.WriteMarkdown(&b, d))
	assert.NotContains(t, b.String(), "…")
}

// A reader who sees how many checks differ reads there why.
func TestChecksThatDifferSayWhy(t *testing.T) {
	checks, err := OutsideChecks()
	require.NoError(t, err)
	brief := checks.Brief()
	require.Len(t, brief.Notes, len(brief.Rows)-1, "of every part but the others")
	for i, note := range brief.Notes {
		assert.Regexp(t, "^"+brief.Rows[i][0]+", the "+brief.Rows[i][3]+" that differ: [a-z].{40}", note)
	}
}

func TestSentencesOfTheVerdict(t *testing.T) {
	var a Appendix
	assert.Equal(t, "The study sets no target, so there is no verdict.", a.Verdict())
	one := reports.Requirement{Label: "hotter edge", Limit: 1, Target: 0.01, Verdict: "met", PerCard: reports.Estimate{Value: 0.001, Interval: reports.Interval{Low: 5e-4, High: 0.002}}}
	a.Run.Requirements, a.Run.Provenance.Confidence = []reports.Requirement{one}, 0.95
	one.Shown.Of = func(x float64) float64 { return x }
	a.Run.Requirements[0] = one
	assert.Equal(t, "As written, the one requirement is met.", a.Verdict())
	// What is missed comes before what has a wider interval.
	wide, missed := one, one
	wide.Label, wide.Verdict, wide.PerCard.High = "wide", "undecided", 0.9
	missed.Label, missed.Verdict, missed.PerCard = "missed", "not met", reports.Estimate{Value: 0.02, Interval: reports.Interval{Low: 0.015, High: 0.03}}
	a.Run.Requirements = append(a.Run.Requirements, wide, missed)
	assert.Equal(t, "As written, 1 of 3 requirements is not met (missed), 1 is undecided (wide) and 1 is met.", a.Verdict())
	a.Run.Requirements = append(a.Run.Requirements, reports.Requirement{Label: "shown", Verdict: "no target"})
	assert.Equal(t, "As written, 1 of 4 requirements is not met (missed), 1 is undecided (wide), 1 is met and 1 has no target.", a.Verdict())
	a.Change = &reports.Change{Verdict: "not safe", Provenance: reports.Provenance{Study: "base.toml"}}
	assert.Contains(t, a.Verdict(), "1 has no target. The change from base.toml: not safe.", "the exit code counts it too")
}

func TestEverIsNoLessThanTheWorst(t *testing.T) {
	estimate := func(value, low, high float64) sim.Estimate {
		return sim.Estimate{Value: value, Interval: reports.Interval{Low: low, High: high}}
	}
	counted := estimate(7e-5, 0, 1e-3)
	assert.Equal(t, estimate(2.5e-4, 2e-4, 1e-3), atLeast(counted, []sim.Estimate{estimate(1e-5, 0, 1e-4), estimate(2.5e-4, 2e-4, 4e-4)}))
	assert.Equal(t, estimate(2e-3, 1e-3, 2e-3), atLeast(counted, []sim.Estimate{estimate(2e-3, 1e-3, 3e-3)}), "at least as likely as in each")
	assert.Equal(t, counted, atLeast(counted, []sim.Estimate{estimate(1e-5, 0, 1e-4)}))
}

// What is not allowed is told from what is not shown to hold, in the figure as well.
func TestTorqueWindowMarksWhatIsAllowed(t *testing.T) {
	s, err := study.Load(demo)
	require.NoError(t, err)
	a := Appendix{Study: s}
	a.Torque.Now, a.Torque.Allowed.MostSetting = 0.7, 0.85
	a.Torque.Shown = ShownUnit(0.7, "N*m", "N*m")
	alt := a.torqueWindow().Alt
	assert.Contains(t, alt, "Marked, most allowed: 0.85 N·m.")
	assert.Contains(t, alt, "Hatched, above 0.85 N·m: not allowed by the clamp maker, with the tool's scatter.")
	assert.NotContains(t, alt, "least allowed")
}

// The curves are averages: the bound that decides stands beside them, in the caption, the legend and the words.
func TestTorqueWindowShowsTheBoundThatDecides(t *testing.T) {
	s, err := study.Load(demo)
	require.NoError(t, err)
	a := Appendix{Study: s, Inputs: Inputs(s)}
	a.Torque.Now, a.Torque.From, a.Torque.To = 0.7, 0.3, 1.5
	a.Torque.Shown, a.Torque.Provenance.Confidence = ShownUnit(0.7, "N*m", "N*m"), 0.95
	assert.True(t, strings.HasSuffix(a.torqueWindow().Caption, ", averaged over what is not known"), "no bound of record")
	estimate := sim.Estimate{Value: 6.65e-3, Interval: reports.Interval{Low: 6.06e-3, High: 7.37e-3}}
	point := func(at float64) reports.TorquePoint { return reports.TorquePoint{Torque: at, Estimate: estimate} }
	a.Torque.Bounds = []reports.TorqueBound{{Name: "spot", Label: "hottest spot of the edges", Condition: "re-used screw", Target: 2e-3, Points: []reports.TorquePoint{point(0.2), point(0.7), point(0.705), point(0.9)}}}
	f := a.torqueWindow()
	assert.Contains(t, f.Alt, "A target must hold for the bound over it as well, squares, at most, with 95 % confidence: hottest spot of the edges, re-used screw 6.65e-3 at 0.7, 6.65e-3 at 0.9.")
	assert.Contains(t, f.Caption, "squares: at most, with 95 % confidence over it")
	drawn := f.Drawing.(figure.Setting)
	require.Len(t, drawn.Bounds, 1)
	assert.Equal(t, "hottest spot of the edges, re-used screw: at most, with 95 % confidence", drawn.Bounds[0].Name)
	assert.InDeltaSlice(t, []float64{0.7, 0.9}, drawn.Bounds[0].X, 1e-9, "not outside, and none on top of another")
	assert.Len(t, drawn.Targets, 1)
}

// A figure does not come between a line to be copied and the sentence that says what it is.
func TestFiguresStandBeforeWhatIsToBeCopied(t *testing.T) {
	answer, copied, line, figure := reports.Paragraph("YES"), reports.Paragraph("To copy to the drawing:"), reports.Code("TIGHTEN"), &reports.Figure{}
	assert.Equal(t, []reports.Block{answer, figure, copied, line}, afterTheAnswer([]reports.Block{answer, copied, line}, []reports.Block{figure}))
	assert.Equal(t, []reports.Block{answer, figure}, afterTheAnswer([]reports.Block{answer}, []reports.Block{figure}))
}
