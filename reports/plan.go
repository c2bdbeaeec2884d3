package reports

import (
	"fmt"
	"strings"
)

// ReadingsPlanSchema names the form of the JSON of a planned test.
const ReadingsPlanSchema = "clampodds.readings-plan/1"

// ReadingsPlan is how many readings a test takes that is not made yet.
type ReadingsPlan struct {
	Schema  string `json:"schema"`
	Version string `json:"version"`
	// Mean and SD are those to be expected of a normal process, in Unit.
	Mean   float64        `json:"mean"`
	SD     float64        `json:"sd"`
	Unit   string         `json:"unit,omitempty"`
	Limits []PlannedLimit `json:"limits"`
	// Target is the largest probability of parts beyond a limit, shown with the Confidence; Wanted is the chance
	// that the test shows it.
	Target     float64 `json:"target"`
	Confidence float64 `json:"confidence"`
	Wanted     float64 `json:"chance"`
}

// PlannedLimit is one limit.
type PlannedLimit struct {
	Side     string          `json:"side"` // "above" or "below"
	Limit    float64         `json:"limit"`
	Beyond   float64         `json:"beyond"` // probability under the process expected
	Readings int             `json:"readings"`
	Chances  []PlannedChance `json:"chances"`
}

// PlannedChance is the chance that so many readings show it.
type PlannedChance struct {
	Readings int     `json:"readings"`
	Chance   float64 `json:"chance"`
}

// Document draws the plan.
func (p ReadingsPlan) Document() Document {
	d := Document{Title: "How many readings?"}
	most := 0
	for _, l := range p.Limits {
		most = max(most, l.Readings)
	}
	where := "the limit"
	if len(p.Limits) > 1 {
		where = "each limit (each with that chance)"
	}
	d.Add(Paragraph(fmt.Sprintf("%d READINGS: with a chance of %s %% they show, with %s %% confidence, that no more than %s of the parts are beyond %s, if the process is normal with mean %s and standard deviation %s.",
		most, Plain(100*p.Wanted), Plain(100*p.Confidence), ExactProbability(p.Target), where,
		strings.TrimSpace(Plain(p.Mean)+" "+p.Unit), strings.TrimSpace(Plain(p.SD)+" "+p.Unit))))
	t := newTable("chances", "Chance that the test shows it", numbers(Unit{Label: p.Unit}.Head("limit")), texts("side"), numbers("parts beyond", "readings", "chance"))
	t.note("Exact for normal readings (noncentral t). A process with nearly as much beyond as the target takes very many; what is then wanting is a better process.")
	for _, l := range p.Limits {
		for _, c := range l.Chances {
			t.AddRow(Plain(l.Limit), l.Side, Probability(l.Beyond, 0, 0), fmt.Sprint(c.Readings), Number(c.Chance, 3))
		}
	}
	d.Add(t)
	return d
}
