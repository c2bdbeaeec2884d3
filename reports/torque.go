package reports

import "slices"

// TorqueSchema names the form of the JSON of a torque window.
const TorqueSchema = "clampodds.torque/1"

// Torque is the answer to "which torque goes on the drawing?". Torques are
// nominal ones, N*m; what the tool scatters about them is in the probabilities.
type Torque struct {
	Schema     string     `json:"schema"`
	Provenance Provenance `json:"provenance"`
	// Verdict says whether there is a window: "yes", "no", "undecided"; Inside
	// whether the study's torque is in it. AsWritten says whether there is one as written, on
	// average over what is not known.
	Verdict   string  `json:"verdict"`
	AsWritten string  `json:"window_as_written"`
	Inside    string  `json:"study_torque_inside"`
	Now       float64 `json:"study_torque"`
	// Shown is the unit of the study, Other that of the other system.
	Unit  string `json:"unit"`
	Shown Unit   `json:"-"`
	Other Unit   `json:"-"`
	// Tool is the torque input in words, Scatter how it moves along.
	Tool    string         `json:"tool"`
	Scatter string         `json:"scatter"`
	From    float64        `json:"searched_from"`
	To      float64        `json:"searched_to"`
	Lower   TorqueEnd      `json:"lower_end"`
	Upper   TorqueEnd      `json:"upper_end"`
	Advice  *TorqueSetting `json:"recommended,omitempty"`
	// Mission is the window in every condition, with both kinds of not knowing; null where the
	// study as written has none.
	Mission *TorqueMission `json:"in_every_condition"`
	// Checked are the torques judged by the numbers of record, in every condition.
	Checked []TorqueChecked `json:"checked"`
	// Compared holds the recommended torque against the study's; Allowed is what the
	// recommendation keeps to; NotAllowed says that what is allowed by it and what is shown to
	// hold have nothing in common.
	Compared   []TorqueCompared `json:"compared,omitempty"`
	Allowed    TorqueAllowed    `json:"allowed"`
	NotAllowed bool             `json:"shown_not_allowed,omitempty"`
	Missed     []TorqueMissed   `json:"never_held,omitempty"`
	// Curves are the probabilities against the torque, from GridRows single cards, or chassis, at
	// each unless their method says otherwise.
	GridRows int           `json:"grid_rows"`
	GridOf   string        `json:"grid_of"`
	Curves   []TorqueCurve `json:"curves"`
	// Bounds are those over what is not known, of record, of the requirements that set an end or decide at a torque that was
	// judged; none where it is not kept apart.
	Bounds   []TorqueBound    `json:"bounds,omitempty"`
	Widening []TorqueWidening `json:"widening,omitempty"`
	Warnings []Warning        `json:"warnings,omitempty"`
}

// TorqueEnd is an end of the torques at which a requirement holds. Torque is the
// estimate; the true end lies between Low and High with the confidence of the
// run, each null where it is beyond the search; Safe is the end on the safe side.
type TorqueEnd struct {
	Requirement string  `json:"requirement,omitempty"` // empty: none sets it
	Label       string  `json:"label,omitempty"`
	Torque      float64 `json:"torque"`
	Interval
	Safe float64 `json:"safe"`
}

// TorqueMission is the window in every condition.
type TorqueMission struct {
	Lower TorqueMissionEnd `json:"lower_end"`
	Upper TorqueMissionEnd `json:"upper_end"`
	// Within is how near to where it is no longer met an end is found.
	Within float64 `json:"ends_found_within,omitempty"`
}

// TorqueMissionEnd is the last torque that is met; beyond it the requirement is not, in
// the condition: undecided, or not met. None names one where the window of the study as
// written ends first.
type TorqueMissionEnd struct {
	Torque      float64 `json:"torque"`
	Requirement string  `json:"requirement,omitempty"`
	Label       string  `json:"label,omitempty"`
	Condition   string  `json:"condition,omitempty"`
	Beyond      string  `json:"beyond,omitempty"`
	// None says that it is met at no torque that was looked at. Least is then the least probability among these, null where only one
	// was.
	None  bool         `json:"none"`
	Least *TorquePoint `json:"least,omitempty"`
}

// TorqueSetting is a recommendation: good from Torque - Tolerance to Torque +
// Tolerance, in steps of the tool.
type TorqueSetting struct {
	Torque    float64 `json:"torque"`
	Tolerance float64 `json:"tolerance"`
	Step      float64 `json:"step"`
	// StudyLine is the line for the study; empty where the input holds more than numbers.
	StudyLine string `json:"study_line,omitempty"`
	// LeastBinds, MostBinds and ToleranceBinds say that what is allowed set it, not the window.
	LeastBinds     bool `json:"least_binds,omitempty"`
	MostBinds      bool `json:"most_binds,omitempty"`
	ToleranceBinds bool `json:"largest_tolerance_binds,omitempty"`
	// Room is the tolerance that the window and what is allowed leave; UsualShare holds it, over
	// the torque, where the study has no largest.
	Room       float64 `json:"tolerance_room"`
	UsualShare float64 `json:"usual_tolerance_share"`
	// NoCaution is where the tool's scatter takes no more screws than Few beyond what the clamp maker allows; nil where that cuts
	// nothing off.
	NoCaution *TorqueRoom `json:"without_a_caution,omitempty"`
	// BelowLeast and AboveMost are the shares of screws that get less, or more, than is allowed, by the tool's
	// scatter, with the tool set as low, or as high, as the tolerance goes.
	BelowLeast float64 `json:"share_below_least,omitempty"`
	AboveMost  float64 `json:"share_above_most,omitempty"`
	// NominalBelow and NominalAbove are those with it set to Torque.
	NominalBelow float64 `json:"share_below_least_at_nominal,omitempty"`
	NominalAbove float64 `json:"share_above_most_at_nominal,omitempty"`
	// Few is the share of screws that may get what is not allowed without a word. WithinLeast is the least setting with as few
	// below what is allowed, WithinMost the largest with as few above; 0 where the recommendation has no more.
	Few         float64 `json:"share_without_a_word,omitempty"`
	WithinLeast float64 `json:"setting_within_least,omitempty"`
	WithinMost  float64 `json:"setting_within_most,omitempty"`
}

// TorqueRoom is a part of the window, From to To, where both are 0 none of it: Room is the tolerance that it leaves about the recommended torque, and
// Most the most, about Torque; in steps of the tool.
type TorqueRoom struct {
	From   float64 `json:"from"`
	To     float64 `json:"to"`
	Room   float64 `json:"tolerance_room"`
	Torque float64 `json:"widest_about"`
	Most   float64 `json:"widest_tolerance"`
}

// TorqueAllowed is what a recommendation keeps to; 0 is not asked. Torques in N*m.
type TorqueAllowed struct {
	Least float64 `json:"least"`
	Most  float64 `json:"most"`
	// LeastSetting and MostSetting are the settings from which, and up to which, no more than Beyond of the screws are beyond either limit by
	// the tool's scatter; the first is above the second where there is none.
	LeastSetting     float64 `json:"least_setting"`
	MostSetting      float64 `json:"most_setting"`
	Beyond           float64 `json:"share_that_may_be_beyond"`
	Margin           float64 `json:"margin_to_ends"`
	LargestTolerance float64 `json:"largest_tolerance"`
	// Step is the resolution of the tool, or a round number where the study gives none.
	Step float64 `json:"tool_step"`
	// ToolClass is the deviation that the tool's class permits, over the torque.
	ToolClass float64 `json:"tool_class"`
}

// TorqueCompared is one limit in one condition at the study's torque and at the recommended
// one.
type TorqueCompared struct {
	Name        string  `json:"name"`
	Label       string  `json:"label"`
	Condition   string  `json:"condition"`
	Target      float64 `json:"target"`
	Now         Judged  `json:"study_torque"`
	Recommended Judged  `json:"recommended"`
}

// TorqueChecked is the decision at a torque: a recommended one, or the study's.
type TorqueChecked struct {
	Torque      float64  `json:"torque"`
	Recommended bool     `json:"recommended"`
	Decision    Decision `json:"decision"`
}

// TorqueMissed is a requirement that holds at no torque.
type TorqueMissed struct {
	Label  string   `json:"label"`
	Target float64  `json:"target"`
	Torque float64  `json:"best_torque"`
	Best   Estimate `json:"best"`
	// Flat: more or less torque hardly matters there.
	Flat   bool         `json:"flat"`
	Inputs []InputShare `json:"inputs"`
}

// InputShare is an input with its share of the way to an exceedance.
type InputShare struct {
	Key     string  `json:"key"`
	Meaning string  `json:"meaning"`
	Words   string  `json:"words"`
	Source  string  `json:"source"`
	Share   float64 `json:"share"`
}

// TorqueCurve is the probability of exceeding a limit, per card, against the
// torque.
type TorqueCurve struct {
	Name   string        `json:"name"`
	Label  string        `json:"label"`
	Limit  float64       `json:"limit"`
	Unit   string        `json:"unit"`
	Shown  Unit          `json:"-"`
	Target float64       `json:"target"`
	Lower  TorqueEnd     `json:"lower_end"`
	Upper  TorqueEnd     `json:"upper_end"`
	Points []TorquePoint `json:"points"`
}

// TorquePoint is one point of a curve.
type TorquePoint struct {
	Torque float64 `json:"torque"`
	Tail   bool    `json:"by_tail_methods"`
	Estimate
}

// TorqueBound is how high the probability may be, at the confidence over what is not known, at the torques where that was
// looked at.
type TorqueBound struct {
	Name      string        `json:"name"`
	Label     string        `json:"label"`
	Condition string        `json:"condition"`
	Target    float64       `json:"target"`
	Points    []TorquePoint `json:"points"`
}

// TorqueWidening is what half the spread of an input would bring: the end moves
// outward by Shift.
type TorqueWidening struct {
	End string `json:"end"` // lower, upper
	// Condition is where the end is that of the window in every condition; empty where it is the end of the study as written.
	Condition string `json:"condition,omitempty"`
	InputShare
	Shift   float64 `json:"shift"`
	AtLeast bool    `json:"at_least"` // it goes further than was looked
}

// Document draws the answer for people, the verdict first.
func (t Torque) Document() Document {
	d := Document{Title: "Which torque goes on the drawing? " + t.Provenance.Title}
	for _, p := range slices.Concat([]string{t.headline(), t.caution(), t.bad()}, t.missed(), []string{t.advice(), t.bounds(), t.tool(), t.inside()}, t.restsOn(), []string{t.basis()}) {
		d.AddFilled(Paragraph(p))
	}
	d.Add(t.needed()...)
	d.Add(t.lines()...)
	d.AddFilled(t.compared())
	d.AddFilled(t.missionEnds())
	d.Add(t.ends())
	d.AddFilled(t.widening())
	d.Add(t.course())
	d.addEnd(t.Warnings, t.Provenance.Table())
	return d
}

// Records draws the answer for programs: every point in a row of its own.
func (t Torque) Records() Document {
	d := Document{Title: "torque"}
	d.Add(t.verdict())
	d.AddFilled(t.missionEnds())
	d.Add(t.ends())
	d.AddFilled(t.widening())
	d.Add(t.points(), t.Provenance.Table())
	return d
}
