package question

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// The answer on a model whose window is known: edge 395 K - 60 K/(N m)
// torque + 2 K b against 358.15 K, screw 0.8/(N m) torque + 0.05 c against 1; the
// tool scatters by 0.03 N m.
func TestTorqueAnswersTheClosedForm(t *testing.T) {
	model := linear{outputs: []string{"edge.spot", "utilisation.screw"}, offset: []float64{395, 0}, weight: [][]float64{{-60, 2, 0}, {0.8, 0, 0.05}}}
	asked := &torque{study: loadDemo(t)}
	require.NoError(t, asked.search("", ""))
	assert.InDelta(t, 0.7/3, asked.From, 1e-12)
	assert.InDelta(t, 2.1, asked.To, 1e-12)
	asked.Setup = linearSetup(20_000)
	asked.At = func(setting float64) (sim.Scenario, error) {
		return sim.Scenario{Inputs: normals(t, setting, 0.03, 0, 1, 0, 1), Model: model, Requirements: []sim.Requirement{
			{Name: "spot", Output: "edge.spot", Limit: 358.15, Target: 2e-3}, {Name: "screw_stress", Output: "utilisation.screw", Limit: 1, Target: 1e-3},
		}}, nil
	}
	result, w, err := asked.answer(t.Context())
	require.NoError(t, err)
	low := (395 - 358.15 - dist.NormalQuantile(2e-3)*math.Hypot(60*0.03, 2)) / 60
	high := (1 + dist.NormalQuantile(1e-3)*math.Hypot(0.8*0.03, 0.05)) / 0.8
	assert.LessOrEqual(t, result.Lower.Low, low)
	assert.GreaterOrEqual(t, result.Lower.High, low)
	assert.LessOrEqual(t, result.Upper.Low, high)
	assert.GreaterOrEqual(t, result.Upper.High, high)
	assert.Equal(t, "yes", result.AsWritten)
	assert.Equal(t, sim.Met, w.Answer)
	assert.InDelta(t, 0.05, asked.step, 1e-12, "that of the tool")
	every := asked.everyCondition(t.Context(), w)
	assert.False(t, every.LowSearched || every.HighSearched, "limits set both ends")
	w.Lower.Requirement = ""
	assert.True(t, asked.everyCondition(t.Context(), w).LowSearched, "nothing sets that")
	result.Verdict, result.Inside = "yes", "no"
	result.Mission = &reports.TorqueMission{
		Lower: reports.TorqueMissionEnd{Torque: result.Lower.Safe, Requirement: "spot", Label: "hottest spot of the edges", Condition: "hot day", Beyond: "undecided"},
		Upper: reports.TorqueMissionEnd{Torque: result.Upper.Safe},
	}
	result.Advice = &reports.TorqueSetting{Torque: 0.8, Tolerance: 0.1, Step: 0.05}

	text := reportText(t, result.Document())
	assert.Contains(t, text, "YES: every requirement holds in every condition from")
	assert.Contains(t, text, "is outside")
	assert.Contains(t, text, "in·lbf")
	assert.Contains(t, text, "Below it, hottest spot of the edges is undecided, hot day. Above it, screw stress over 0.9 yield is not shown to hold, as written.")

	// What is to be copied is pasted as it was printed, however wide the terminal is.
	result.Advice.StudyLine = asked.study.TorqueLine(0.8)
	path, err := filepath.Abs("../../../../testdata/studies/two-face.toml")
	require.NoError(t, err)
	written, err := os.ReadFile(path)
	require.NoError(t, err)
	line := func(start, text string) string {
		return regexp.MustCompile("(?m)^" + start + " += .*$").FindString(text)
	}
	for _, width := range []int{60, 80, 200} {
		var b bytes.Buffer
		require.NoError(t, reports.Terminal{Width: width}.Write(&b, result.Document()))
		for _, pasted := range []string{
			strings.Replace(string(written), line("torque", string(written)), line("torque", b.String()), 1),
			"extends = '" + path + "'\n" + line(`screw\.torque`, b.String()) + "\n[screw]\nhead_friction = 0.2\n",
		} {
			to := filepath.Join(t.TempDir(), "pasted.toml")
			require.NoError(t, os.WriteFile(to, []byte(pasted), 0o600))
			s, err := study.Load(to)
			if strings.HasPrefix(pasted, "extends") {
				assert.ErrorContains(t, err, "screw", "that is why it says: without a table [screw]")
				require.NoError(t, os.WriteFile(to, []byte(strings.Split(pasted, "[screw]")[0]), 0o600))
				s, err = study.Load(to)
			}
			require.NoError(t, err)
			assert.InDelta(t, 0.8, s.Input("screw.torque").Nominal, 1e-9)
		}
		assert.Regexp(t, `(?m)^TIGHTEN CLAMP SCREW TO .* in·lbf\)$`, b.String())
	}
}

// The tool's scatter, 6 % at 95 %, takes half of the screws beyond a largest torque that the tool is set to, and 6 in 1000
// below a least one that is 2.5 standard deviations down.
func TestScrewsBeyondWhatIsAllowed(t *testing.T) {
	asked := &torque{study: loadDemo(t)}
	require.NoError(t, asked.search("", ""))
	asked.study.Tool.Least, asked.study.Tool.Most = 0.60, 0.75
	none := &decide.Mission{Worst: decide.Place{Member: -1}}
	var r reports.Torque
	window := &decide.MissionWindow{Available: true, Recommended: 0.70, Tolerance: 0.05, Started: none, Checked: []decide.CheckedSetting{{Setting: 0.70, Mission: none}}, Lower: decide.Reached{Met: 0.3}, Upper: decide.Reached{Met: 0.9}}
	asked.addMission(&r, window)
	assert.InDelta(t, 0.5, r.Advice.AboveMost, 1e-9)
	assert.InDelta(t, dist.NormalCDF((0.60/0.65-1)*1.96/0.06), r.Advice.BelowLeast, 1e-4, "the cuts, far out, are left out here")
	cut := dist.NormalSurvival((0.80/0.70 - 1) * 1.96 / 0.06) // on either side, moving along
	z := -dist.NormalQuantile(cut+fewNotAllowed(asked.study)*(1-2*cut)) * 0.06 / 1.96
	up, down := func(x float64) float64 { return math.Ceil(1000*x) / 1000 }, func(x float64) float64 { return math.Floor(1000*x) / 1000 } // to three digits, inwards
	assert.InDelta(t, down(0.75/(1+z)), r.Advice.WithinMost, 1e-9, "as few above")
	assert.InDelta(t, up(0.60/(1-z)), r.Advice.WithinLeast, 1e-9)
	assert.Equal(t, &reports.TorqueRoom{}, r.Advice.NoCaution, "0.68 to 0.67 are none")
	most := -dist.NormalQuantile(cut+mostNotAllowed(asked.study)*(1-2*cut)) * 0.06 / 1.96
	assert.InDeltaSlice(t, []float64{up(0.60 / (1 - most)), down(0.75 / (1 + most))}, []float64{asked.leastSetting(), asked.mostSetting()}, 1e-9, "the settings allowed, 0.67 to 0.68")

	// In steps of 0.05 N·m: 0.5 to 0.65 are free of it, and 0.70, the torque recommended, is not.
	asked.study.Tool.Least = 0.40
	asked.addMission(&r, window)
	free := *r.Advice.NoCaution
	assert.InDelta(t, up(0.40/(1-z)), free.From, 1e-9)
	assert.InDelta(t, down(0.75/(1+z)), free.To, 1e-9)
	assert.InDeltaSlice(t, []float64{0, 0.55, 0.05}, []float64{free.Room, free.Torque, free.Most}, 1e-9)
	asked.study.Tool.Least, asked.study.Tool.Most = 0, 0
	asked.addMission(&r, window)
	assert.Nil(t, r.Advice.NoCaution, "nobody says")
}

// Collisions and requirements that torque does not help are said as such.
func TestTorqueSaysWhyThereIsNone(t *testing.T) {
	ask := func(cooling, offset float64) reports.Torque {
		model := linear{outputs: []string{"edge.spot", "utilisation.screw"}, offset: []float64{offset, 0}, weight: [][]float64{{-cooling, 2, 0}, {0.8, 0, 0.05}}}
		asked := &torque{study: loadDemo(t)}
		require.NoError(t, asked.search("", "2 N*m"))
		asked.Setup = linearSetup(20_000)
		asked.At = func(setting float64) (sim.Scenario, error) {
			return sim.Scenario{Inputs: normals(t, setting, 0.03, 0, 1, 0, 1), Model: model, Requirements: []sim.Requirement{
				{Name: "spot", Output: "edge.spot", Limit: 358.15, Target: 1e-3}, {Name: "screw_stress", Output: "utilisation.screw", Limit: 1, Target: 1e-3},
			}}, nil
		}
		result, w, err := asked.answer(t.Context())
		require.NoError(t, err)
		assert.Equal(t, sim.NotMet, w.Answer)
		result.Verdict = "no"
		return result
	}
	assert.Contains(t, reportText(t, ask(40, 400).Document()), "They collide by")
	flat := reportText(t, ask(0.2, 353).Document())
	assert.Contains(t, flat, "more of it does not help")
	assert.Contains(t, flat, "What decides is b")
}

// An interrupt leaves the window as written, and decides nothing.
func TestAnInterruptedTorqueLeavesTheWindowAsWritten(t *testing.T) {
	asked := &torque{study: loadDemo(t)}
	require.NoError(t, asked.search("", ""))
	asked.Setup = linearSetup(0)
	result := reports.Torque{Provenance: recordProvenance(asked.study, asked.Setup), AsWritten: "yes", Shown: reports.Unit{Label: "N·m", Of: func(x float64) float64 { return x }}}
	result.Other = result.Shown
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := asked.check(ctx, &result, &decide.Window{Answer: sim.Met, Lower: decide.Bound{End: decide.End{Interval: sim.Interval{Low: 0.5}}}, Upper: decide.Bound{End: decide.End{Interval: sim.Interval{High: 0.9}}}})
	assert.Equal(t, ErrIncomplete, err)
	assert.Equal(t, []string{"undecided", "undecided"}, []string{result.Verdict, result.Inside})
	assert.Contains(t, reportText(t, result.Document()), "INCOMPLETE: the search was stopped")
}

// A requirement that neither rows about the limit nor the tail methods settle is said to be
// open; no infinite torque is printed.
func TestTorqueSaysWhatIsNotShown(t *testing.T) {
	all := math.Inf(1)
	open := reports.TorqueEnd{Requirement: "bearing", Label: "bearing pressure over allowable", Torque: all, Interval: reports.Interval{Low: -all, High: all}, Safe: 0.2}
	shown, other := torqueUnits(0.7, "")
	result := reports.Torque{
		Verdict: "undecided", AsWritten: "undecided", Inside: "undecided", Now: 0.7, From: 0.2, To: 2, Shown: shown, Other: other, Mission: &reports.TorqueMission{},
		Lower: reports.TorqueEnd{Requirement: "spot", Label: "hottest spot of the edges", Torque: 0.7, Interval: reports.Interval{Low: -all, High: 0.8}, Safe: 0.8}, Upper: open,
		Curves: []reports.TorqueCurve{{Name: "bearing", Label: open.Label, Shown: shown, Lower: reports.TorqueEnd{Torque: -all, Interval: reports.Interval{Low: -all, High: -all}}, Upper: open}},
	}
	text := reportText(t, result.Document())
	assert.NotContains(t, text, "∞")
	assert.Contains(t, text, "hottest spot of the edges needs 0.700 N·m (6.20 in·lbf) (< 0.200 to 0.800)")
	assert.Contains(t, text, "seems to hold however far was looked")
	assert.Contains(t, text, "not shown to hold")
}

func TestOwnStepIsRoundInTheUnit(t *testing.T) {
	assert.InDelta(t, 0.01, ownStep(0.7, "N*m"), 1e-12)
	const inch = 0.112984829 // N m per in lbf
	assert.InDelta(t, 0.1*inch, ownStep(8*inch, "in*lbf"), 1e-9)
}
