package reports

import (
	"fmt"
	"strings"
)

// ScrewsBeyond is the share of screws that the tool's scatter takes beyond a limit of the clamp maker. Torques in N*m.
type ScrewsBeyond struct {
	Limit float64 `json:"limit_Nm"`
	Share float64 `json:"share"`
	// Before is the share before a change; nil where there is none.
	Before *float64 `json:"share_before,omitempty"`
	// Condition is where it is so, empty for the study as written.
	Condition string `json:"condition,omitempty"`
	// Below says that the limit is the least, else it is the most. LimitText is the limit in the unit of the study, Reach how
	// far the torque goes, empty without an end.
	Below     bool   `json:"-"`
	LimitText string `json:"-"`
	Reach     string `json:"-"`
}

// withCaution stands behind a verdict that has one.
func withCaution(caution string) string {
	if caution == "" {
		return ""
	}
	return ", with a caution"
}

// hasCaution is that in a cell.
func hasCaution(caution string) string {
	if caution == "" {
		return "no"
	}
	return "yes"
}

// cautionMark begins a caution among sentences.
const cautionMark = "CAUTION: "

// words say it of "the screws".
func (b ScrewsBeyond) words() string {
	than, name, to := "more", "most", "up"
	if b.Below {
		than, name, to = "less", "least", "down"
	}
	reach, before := "", ""
	if b.Reach != "" {
		reach = fmt.Sprintf(", %s to %s", to, b.Reach)
	}
	switch {
	case b.Before == nil:
	case *b.Before > 0:
		before = fmt.Sprintf(" (before it %s)", Percent(*b.Before))
	default:
		before = " (before it none)"
	}
	return InCondition(b.Condition) + fmt.Sprintf("%s of the screws get %s than the clamp maker's %s, %s, by the tool's scatter as the study states it%s%s", Percent(b.Share), than, name, b.LimitText, reach, before)
}

// InCondition begins what is so in a condition; empty for the study as written.
func InCondition(name string) string {
	if name == "" {
		return ""
	}
	return fmt.Sprintf("in the condition %q ", name)
}

// cautionOf says it of either limit; empty for none.
func cautionOf(when string, ends ...*ScrewsBeyond) string {
	var parts []string
	for _, b := range ends {
		if b != nil {
			parts = append(parts, b.words())
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return cautionMark + when + strings.Join(parts, "; ") + ": one is too many."
}

// ByMaker is what the clamp's maker says of the torque of a study. The zero value: it is allowed, or nobody says.
type ByMaker struct {
	// NotAllowed says why the torque is not allowed.
	NotAllowed string `json:"not_allowed,omitempty"`
	// BelowLeast and AboveMost are how many screws get less, or more, than is allowed, by the scatter of the tool; null where
	// they are too few to matter beside the targets.
	BelowLeast *ScrewsBeyond `json:"torque_below_makers_least,omitempty"`
	AboveMost  *ScrewsBeyond `json:"torque_above_makers_most,omitempty"`
	// Helps says what does where it is the scatter that is not allowed.
	Helps string `json:"what_helps,omitempty"`
}

// NotTooMany does not allow the torque where more than a share of the screws are beyond either limit.
func (m *ByMaker) NotTooMany(most float64) {
	var parts []string
	for _, b := range []*ScrewsBeyond{m.BelowLeast, m.AboveMost} {
		if b != nil && b.Share > most {
			parts = append(parts, b.words())
		}
	}
	if len(parts) > 0 {
		m.NotAllowed = fmt.Sprintf("%s, where at most %s may (if each were damage, the smallest target would be missed)", strings.Join(parts, "; "), Percent(most))
		m.Helps = "a finer tool or another torque helps: torque tells which is allowed"
		if len(parts) > 1 {
			m.Helps = "a finer tool helps"
		}
	}
}

// notAllowed is why the torque is not allowed, with what helps.
func (m ByMaker) notAllowed() string {
	if m.Helps == "" {
		return m.NotAllowed
	}
	return m.NotAllowed + "; " + m.Helps
}

// caution is that of the screws, unless the torque itself is not allowed.
func (m ByMaker) caution() string { return m.cautionAt("") }

func (m ByMaker) cautionAt(where string) string {
	if m.NotAllowed != "" {
		return ""
	}
	return cautionOf(where, m.BelowLeast, m.AboveMost)
}

// Words say it; empty for nothing.
func (m ByMaker) Words() string {
	if m.NotAllowed != "" {
		return "NOT ALLOWED: " + m.notAllowed() + "."
	}
	return m.caution()
}
