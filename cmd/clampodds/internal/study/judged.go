package study

import (
	"fmt"
	"strings"
)

// judgedBy are the inputs without which the model does not judge an output. Where
// any one of them is enough, some is true.
var judgedBy = map[string]struct {
	keys []string
	some bool
}{
	"utilisation.screw":     {keys: []string{"screw.yield"}},
	"utilisation.stripping": {keys: []string{"screw.engagement", "screw.nut_shear"}},
	"utilisation.bearing":   {keys: []string{"clamp.allowable", "flange.allowable", "rail.allowable"}, some: true},
	"utilisation.holding":   {keys: []string{"card.mass", "card.acceleration"}},
}

// judgeLimits refuses limits on what is not judged: there is nothing to hold against
// them.
func (r *reader) judgeLimits(s *Study) {
	for i := range s.Limits {
		l := &s.Limits[i]
		needed := judgedBy[l.Output]
		var off []string
		for _, key := range needed.keys {
			if in := s.Input(key); in != nil && in.Dist == nil && in.Nominal == 0 {
				off = append(off, key)
			}
		}
		if len(off) == 0 || needed.some && len(off) < len(needed.keys) {
			continue
		}
		joint := " and "
		if needed.some {
			joint = " or "
		}
		e := r.entries["limits."+l.Name]
		r.refuse(e, "", e.value, "nothing is held against this limit without "+strings.Join(off, joint),
			"give "+strings.Join(needed.keys, joint)+", or leave the limit out")
	}
}

// judgeConditions warns about conditions that change nothing; derived are their studies.
func (s *Study) judgeConditions(derived []*Study) {
	for i, c := range s.Conditions {
		if len(Differences(s, derived[i])) > 0 {
			continue
		}
		s.Warnings = append(s.Warnings, Warning{
			Code: ConditionChangesNothing, File: c.File, Line: c.Line, Key: "condition",
			Message: fmt.Sprintf("%q changes nothing: %s as in the study as written", c.Name, strings.Join(c.Replaced, ", ")),
		})
	}
}
