package reports

import (
	"fmt"
	"slices"
	"strings"
)

// Explore is how often each limit is exceeded at other torques, other limits of the
// temperature and, at the study's torque, at contact factors taken as known: computed
// beforehand, on draws common to all of them. It is a block of a
// document that only a page in a browser shows; the other forms have Table.
type Explore struct {
	// Torques are nominal ones, N*m, rising; Now is the place of the study's own.
	Torques []float64 `json:"torques_N_m"`
	Now     int       `json:"study_torque"`
	// Least and Most are the lowest and the highest setting that the clamp's maker allows, with the tool's scatter; 0 where nobody says.
	Least float64 `json:"least_setting,omitempty"`
	Most  float64 `json:"most_setting,omitempty"`
	// Factors multiply the conductance of every face, rising; none where the study gives
	// each edge its own.
	Factors []float64 `json:"contact_factors,omitempty"`
	Shown   Unit      `json:"-"`
	// Steps are those of a slider from one torque, or factor, to the next.
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
	// Points are in the order of the torques, AtFactors in that of the factors.
	Points    []ExplorePoint `json:"points"`
	AtFactors []ExplorePoint `json:"at_contact_factors,omitempty"`
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
	text := fmt.Sprintf("Explored, not of record: counted on %d single cards at each torque, the same draws at all, averaged over what is not known, level %s %%. The number of record is on the first page.", e.Cards, Plain(100*e.Level))
	if len(e.Factors) > 0 {
		text += " At a contact factor, which multiplies the conductance of every face, it is taken as known, and the torque is the study's."
	}
	return text
}

// noneAllowed says that no setting that is explored is allowed.
func (e *Explore) noneAllowed() bool {
	return e.Least > e.Torques[len(e.Torques)-1] || e.Most > 0 && e.Most < max(e.Least, e.Torques[0])
}

// ends are the settings allowed in the unit shown; empty where nobody says.
func (e *Explore) ends() (least, most string) {
	if e.Least > 0 {
		least = torqueIn(e.Shown, e.Least)
	}
	if e.Most > 0 {
		most = torqueIn(e.Shown, e.Most)
	}
	return least, most
}

// allowed says which settings are; empty where nobody says.
func (e *Explore) allowed() string {
	var parts []string
	least, most := e.ends()
	if least != "" {
		parts = append(parts, "from "+least)
	}
	if most != "" {
		parts = append(parts, "up to "+most)
	}
	switch {
	case parts == nil:
		return ""
	case e.noneAllowed():
		return "The clamp maker allows, with the tool's scatter, none of these torques, whatever the targets say."
	}
	return fmt.Sprintf("The clamp maker allows, with the tool's scatter, settings %s %s, whatever the targets say.", strings.Join(parts, " "), e.Shown.Label)
}

func (e *Explore) torque(i int) string { return torqueIn(e.Shown, e.Torques[i]) }

func (e *Explore) factor(i int) string { return Plain(e.Factors[i]) }

// Table has a row for each torque, with those of the study's own limits that are not
// shown to hold at all torques.
func (e *Explore) Table() *Table {
	t := newTable("by_torque", "Explored: probability per card at other torques", numbers(e.Shown.Head("torque")))
	t.note(e.notOfRecord())
	if text := e.allowed(); text != "" {
		t.note(text)
	}
	for i := range e.Torques {
		t.Rows = append(t.Rows, []string{e.torque(i)})
	}
	e.columns(t, func(q ExploreRequirement) []ExplorePoint { return q.Points })
	return t
}

// FactorTable has a row for each contact factor; nil without one, and where all limits are shown to hold at all.
func (e *Explore) FactorTable() *Table {
	if len(e.Factors) == 0 {
		return nil
	}
	t := newTable("by_contact_factor", "Explored: probability per card at contact factors taken as known, at the study's torque", numbers("contact factor"))
	for i := range e.Factors {
		t.Rows = append(t.Rows, []string{e.factor(i)})
	}
	e.columns(t, func(q ExploreRequirement) []ExplorePoint { return q.AtFactors })
	if len(t.Columns) == 1 {
		return nil
	}
	return t
}

// columns adds one for each of the study's own limits that is not shown to hold throughout.
func (e *Explore) columns(t *Table, of func(ExploreRequirement) []ExplorePoint) {
	for _, c := range e.Conditions {
		for _, q := range c.Requirements {
			if !q.Decides(of(q)) {
				continue
			}
			t.Columns = append(t.Columns, numbers(q.title()+", "+c.Name)...)
			for i, p := range of(q) {
				t.Rows[i] = append(t.Rows[i], p.cell())
			}
		}
	}
}

// Decides reports whether a limit is the study's own and not shown to hold at all points.
func (q ExploreRequirement) Decides(points []ExplorePoint) bool {
	return (q.Own || !q.Moved) && q.Target > 0 && slices.ContainsFunc(points, func(p ExplorePoint) bool { return p.High > q.Target })
}

func (q ExploreRequirement) title() string { return q.Label + " > " + q.Shown.Text(q.Limit) }

// pageExplore is what the page template prints of it.
type pageExplore struct {
	Least, Most       string // settings allowed; empty where nobody says
	Words             string
	Last, LastLimit   int // largest positions of the sliders
	Start, StartLimit int
	Steps             int
	LastFactor        int
	Torques, Factors  []string
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
	Cells, AtFactors    []string
}

func newPageExplore(e *Explore) *pageExplore {
	p := &pageExplore{Words: plain(strings.TrimSpace(e.notOfRecord() + " " + e.allowed())), Steps: e.Steps, Last: e.Steps * (len(e.Torques) - 1), Start: e.Steps * e.Now, Unit: plain(e.Shown.Label)}
	p.Least, p.Most = e.ends()
	for i := range e.Torques {
		p.Torques = append(p.Torques, e.torque(i))
	}
	for i := range e.Factors {
		p.Factors = append(p.Factors, e.factor(i))
	}
	if len(e.Factors) > 0 {
		p.LastFactor = 1 + e.Steps*(len(e.Factors)-1) // 0 is the study's own
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
			row.Cells, row.AtFactors = pageExploreCells(q.Points), pageExploreCells(q.AtFactors)
			condition.Rows = append(condition.Rows, row)
		}
		p.Conditions = append(p.Conditions, condition)
	}
	p.LastLimit = len(p.Limits) - 1
	return p
}

func pageExploreCells(points []ExplorePoint) (cells []string) {
	for _, p := range points {
		cells = append(cells, p.cell())
	}
	return cells
}
