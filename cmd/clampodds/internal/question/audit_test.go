package question

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/reports"
)

// The plan for loose screws, which break limits, is not hidden behind that for the one over-tight screw that the clamp maker does not
// allow; and what the maker's least says of loose ones is told.
func TestThePlanByTheLimitsComesFirst(t *testing.T) {
	loose := reports.AuditSide{Name: "loose", ReadsText: "0.60 N·m", Cases: []reports.AuditCase{{Torque: 0.30, TorqueText: "0.30 N·m", Breaking: 86}}, Plans: []reports.AuditPlan{{Sample: 13}}, Plan: &reports.AuditPlan{Sample: 450, Accept: 71}}
	tight := reports.AuditSide{Name: "over-tight", Upper: true, ReadsText: "0.80 N·m", Cases: []reports.AuditCase{{Torque: 1.2, TorqueText: "1.2 N·m", Breaking: 1, AboveMost: true}}, Plan: &reports.AuditPlan{Sample: 450}}
	a := &Audit{Lot: 500, ConsumersRisk: 0.1}
	r := &reports.Audit{Sides: []reports.AuditSide{loose, tight}, Sample: 450, MostText: "0.80 N·m"}
	assert.Equal(t, "read 13 of 500 screws and accept the lot only with none below 0.60 N·m. A lot with 86 or more loose screws, taken as 0.30 N·m, may break a limit, and is caught with a chance of 90 % or more."+
		" So for the loose screws alone, which is what the limits ask. The clamp maker allows no screw above 0.80 N·m; to catch one of those in a lot, too, "+
		"read 450 of 500 screws and accept the lot only with at most 71 below 0.60 N·m and none above 0.80 N·m. A lot with 86 or more loose screws, taken as 0.30 N·m, or any over-tight screw, taken as 1.2 N·m, above the 0.80 N·m that the clamp maker allows, is not to pass, and is caught with a chance of 90 % or more.", a.planned(r))

	tight.Cases[0].AboveMost = false
	r.Sides[1].Chosen = -1
	assert.Equal(t, a.reads(r, a.sidesToPlan(r.Sides), 450, []reports.AuditPlan{*loose.Plan, *tight.Plan})+" For the loose screws alone it is enough to read 13 and accept with none outside.", a.planned(r), "both by limits: one sample, and the smaller one of a side")
}
