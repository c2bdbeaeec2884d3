package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Explore is how often each limit is exceeded at other torques and other limits of the
// temperature: computed beforehand, on draws common to all of them. It is a block of a
// document that only a page in a browser shows; the other forms have Table.
type Explore struct {
	// Torques are nominal ones, N*m, rising; Now is the place of the study's own.
	Torques []float64 `json:"torques_N_m"`
	Now     int       `json:"study_torque"`
	Shown   Unit      `json:"-"`
	// Steps are those of the slider from one torque to the next.
	Steps int     `json:"-"`
	Cards int64   `json:"cards"`
	Level float64 `json:"level"`
	// Conditions have the same requirements, in the same order.
	Conditions []ExploreCondition `json:"conditions"`
}

func (*Explore) block() {}

// ExploreCondition is the study as written, or one of its conditions.
type ExploreCondition struct {
	Name         string               `json:"name"`
	Requirements []ExploreRequirement `json:"requirements"`
}

// ExploreRequirement is a limit at every torque.
type ExploreRequirement struct {
	Label  string  `json:"label"`
	Limit  float64 `json:"limit"`
	Unit   string  `json:"unit"`
	Shown  Unit    `json:"-"`
	Target float64 `json:"target"` // null without
	// Moved marks the limits that the second slider goes through; Own the study's among
	// them.
	Moved bool `json:"moved"`
	Own   bool `json:"-"`
	// Points are in the order of the torques.
	Points []ExplorePoint `json:"points"`
}

// ExplorePoint is a probability per card with its interval.
type ExplorePoint struct {
	Value float64 `json:"value"`
	Interval
}

func (p ExplorePoint) cells() []string {
	return probabilityCells(Estimate{Value: p.Value, Interval: p.Interval})
}

// cell is a probability with its interval in one cell.
func (p ExplorePoint) cell() string {
	c := p.cells()
	if p.Value == 0 {
		return c[2]
	}
	return fmt.Sprintf("%s (%s … %s)", c[0], c[1], c[2])
}

// notOfRecord is what the numbers are, and what they are not.
func (e *Explore) notOfRecord() string {
	return fmt.Sprintf("Explored, not of record: counted on %d single cards at each torque, the same draws at all, averaged over what is not known, level %s %%. The number of record is on the first page.", e.Cards, Plain(100*e.Level))
}

func (e *Explore) torque(i int) string { return torqueIn(e.Shown, e.Torques[i]) }

// Table has a row for each torque, with those of the study's own limits that are not
// shown to hold at all torques.
func (e *Explore) Table() *Table {
	t := &Table{Key: "by_torque", Caption: "Explored: probability per card at other torques", Columns: []Column{{Head: e.Shown.Head("torque"), Number: true}}, Notes: []string{e.notOfRecord()}}
	var shown []ExploreRequirement
	for _, c := range e.Conditions {
		for _, q := range c.Requirements {
			if q.Moved && !q.Own || !(q.Target > 0) || !slices.ContainsFunc(q.Points, func(p ExplorePoint) bool { return p.High > q.Target }) {
				continue
			}
			shown = append(shown, q)
			t.Columns = append(t.Columns, Column{Head: q.title() + ", " + c.Name, Number: true})
		}
	}
	for i := range e.Torques {
		row := []string{e.torque(i)}
		for _, q := range shown {
			row = append(row, q.Points[i].cell())
		}
		t.AddRow(row...)
	}
	return t
}

// title is the requirement with its limit.
func (q ExploreRequirement) title() string { return q.Label + " > " + q.Shown.Text(q.Limit) }

// pageExplore is what the page template prints of it.
type pageExplore struct {
	Words             string
	Last, LastLimit   int // largest positions of the sliders
	Start, StartLimit int
	Steps             int
	Torques           []string
	Unit              string
	Limits            []string
	Conditions        []pageExploreCondition
}

type pageExploreCondition struct {
	Name string
	Rows []pageExploreRow
}

// pageExploreRow is a row of a table: the script reads what a reader reads.
type pageExploreRow struct {
	Name, Label, Target string
	Moved               int // 1 plus the place of the limit, 0 for one that stays
	Cells               []pageExploreCell
}

// pageExploreCell has the texts as shown and the numbers behind them.
type pageExploreCell struct{ Text, Numbers string }

func newPageExplore(e *Explore) *pageExplore {
	p := &pageExplore{Words: plain(e.notOfRecord()), Steps: e.Steps, Last: e.Steps * (len(e.Torques) - 1), Start: e.Steps * e.Now, Unit: plain(e.Shown.Label)}
	for i := range e.Torques {
		p.Torques = append(p.Torques, e.torque(i))
	}
	for k, c := range e.Conditions {
		condition, moved := pageExploreCondition{Name: plain(c.Name)}, 0
		for _, q := range c.Requirements {
			row := pageExploreRow{Name: plain(q.title()), Label: plain(q.Label)}
			if q.Target > 0 {
				row.Target = ExactProbability(q.Target)
			}
			if q.Moved {
				if q.Own {
					p.StartLimit = moved
				}
				if k == 0 {
					p.Limits = append(p.Limits, plain(q.Shown.Text(q.Limit)))
				}
				moved++
				row.Moved = moved
			}
			for _, point := range q.Points {
				row.Cells = append(row.Cells, pageExploreCell{Text: point.cell(), Numbers: numbersOf(point)})
			}
			condition.Rows = append(condition.Rows, row)
		}
		p.Conditions = append(p.Conditions, condition)
	}
	p.LastLimit = len(p.Limits) - 1
	return p
}

// numbersOf are the value and its interval for the script, three digits of each.
func numbersOf(p ExplorePoint) string {
	var all []string
	for _, x := range []float64{p.Value, p.Low, p.High} {
		if !(x >= 0) || math.IsInf(x, 0) {
			x = 0
		}
		all = append(all, fmt.Sprintf("%.3g", x))
	}
	return strings.Join(all, " ")
}
