package reports

import (
	"fmt"
	"math"
)

// Until is the number that a run went on for, until it was known well enough.
type Until struct {
	// Goal is as typed, "edge=5%"; About says it in words.
	Goal string `json:"goal"`
	// Limit is the one whose probability it is, estimated by rows of its own; else empty.
	Limit string `json:"limit,omitempty"`
	About string `json:"about"`
	// Width is the half-width reached, Wanted the one asked for, in Unit; without
	// a unit they are fractions of the value. Null when there is no width yet.
	Width   float64 `json:"width"`
	Wanted  float64 `json:"wanted"`
	Unit    string  `json:"unit"`
	Shown   Unit    `json:"-"`
	Reached bool    `json:"reached"`
	// Plan laid out Rows cards in Looks stages. Needed is the number in all that
	// would do; 0 when reached, null when it cannot be told.
	Plan   string  `json:"plan"`
	Rows   int64   `json:"rows"`
	Looks  int     `json:"looks"`
	Needed float64 `json:"needed"`
}

// sentence says what became of the goal.
func (u Until) sentence() Paragraph {
	width := func(w float64) string {
		switch {
		case math.IsInf(w, 0) || math.IsNaN(w):
			return "no width yet"
		case u.Unit == "":
			return "±" + Number(100*w, 1) + " %"
		}
		return fmt.Sprintf("±%.3g %s", u.Shown.Of(w), u.Shown.Label)
	}
	effort := fmt.Sprintf("%d cards (%s), looked at %d times", u.Rows, u.Plan, u.Looks)
	if u.Looks == 1 {
		effort = fmt.Sprintf("%d cards (%s), looked at once", u.Rows, u.Plan)
	}
	if u.Reached {
		return Paragraph(fmt.Sprintf("REACHED: %s known to %s, asked %s, with %s.", u.About, width(u.Width), width(u.Wanted), effort))
	}
	needed := "How many would do cannot be told."
	if !math.IsInf(u.Needed, 0) {
		needed = fmt.Sprintf("About %.2g in all would do (--cap).", u.Needed)
	}
	return Paragraph(fmt.Sprintf("NOT REACHED: %s known to %s, asked %s, with %s. %s", u.About, width(u.Width), width(u.Wanted), effort, needed))
}
