package question

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
)

// The figures of a chassis have one curve of what its slots have alike, none twice, and those that end the window.
func TestCurvesOfAChassisAreFew(t *testing.T) {
	limit := func(label string, target float64, values ...float64) (q reports.ExploreRequirement) {
		q.Label, q.Target = label, target
		for _, p := range values {
			q.Points = append(q.Points, reports.ExplorePoint{Value: p, Interval: reports.Interval{Low: p / 2, High: 2 * p}})
		}
		return q
	}
	written := []reports.ExploreRequirement{
		limit("screw stress, slot a", 1e-3, 1e-4, 2e-3), limit("screw stress, slot b", 1e-3, 1e-4, 3e-3),
		limit("hottest spot, slot a", 1e-3, 1e-5, 1e-6), limit("hottest spot, slot b", 1e-3, 1e-5, 1e-6),
	}
	hot := append(append([]reports.ExploreRequirement{}, written[:2]...), limit("hottest spot, slot a", 1e-3, 3e-5, 1e-6), limit("hottest spot, slot b", 1e-3, 2e-4, 1e-6))
	a := Appendix{Study: &study.Study{}, Explore: &reports.Explore{Conditions: []reports.ExploreCondition{{Name: "as written", Requirements: written}, {Name: "hot", Requirements: hot}}}}
	a.Torque.Mission = &reports.TorqueMission{Lower: reports.TorqueMissionEnd{Label: "hottest spot, slot b", Condition: "hot"}}

	var f settingFigure
	f.explored(&a, []float64{0.6, 0.8}, func(q reports.ExploreRequirement) []reports.ExplorePoint { return q.Points })
	require.Len(t, f.Curves, 2)
	assert.Equal(t, "screw stress, slot b", f.Curves[0].Name, "of the slots the worst, once: the condition changes nothing of it")
	assert.Equal(t, "hottest spot, slot b, hot", f.Curves[1].Name, "it ends the window")
	assert.Equal(t, "; of the slots the worst", f.slots)
	assert.NotEqual(t, f.Curves[0].Style, f.Curves[1].Style)
}
