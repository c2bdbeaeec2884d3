package question

import (
	"runtime/debug"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/reports"
	"clampodds/sim"
)

// Provenance is what a result says of its study; a run adds the sampling.
func Provenance(s *study.Study) reports.Provenance {
	return reports.Provenance{
		Tool: "clampodds", Version: Version, Build: Build(), Study: s.Name, Title: s.Title, Condition: s.ConditionName, Digest: s.Digest,
		CardsPerChassis: s.Run.CardsPerChassis, Complete: true,
		StudyWarnings: studyWarnings(s),
	}
}

// studyWarnings are those of the studies themselves.
func studyWarnings(studies ...*study.Study) (all []reports.Warning) {
	for _, s := range studies {
		for _, w := range s.Warnings {
			all = append(all, reports.Warning{Code: sim.WarningCode(w.Code), Text: w.String()})
		}
	}
	return all
}

// ShownUnit is the unit that all values of a table's column are printed in,
// chosen for a typical one; like is a unit as typed somewhere in the study.
func ShownUnit(typical float64, unit, like string) reports.Unit {
	label, convert := units.Shown(typical, units.Quantity(unit), like)
	return reports.Unit{Label: label, Of: convert}
}

// typedUnit is the unit that the study's author uses for a quantity: for
// temperatures that of their first limit, for all else that of the torque, which
// fits a torque and tells metric from inch-pound for the rest.
func typedUnit(s *study.Study, unit string) string {
	if units.Quantity(unit) == units.Temperature {
		if l := firstTemperature(s); l != nil {
			return l.Unit
		}
		return s.At("wall.temperature", 0).Unit
	}
	return s.At("screw.torque", 0).Unit
}

// Version is printed with every result.
const Version = "0.1.0"

// Build says what the program was built from, as far as the build stamped it: the revision of the
// source, whether that was changed, and Go's version.
func Build() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return ""
	}
	return build(info)
}

func build(info *debug.BuildInfo) string {
	parts := []string{"no revision"}
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			parts[0] = "revision " + s.Value
		case s.Key == "vcs.modified" && s.Value == "true":
			parts = append(parts, "modified")
		}
	}
	return strings.Join(append(parts, info.GoVersion), ", ")
}
