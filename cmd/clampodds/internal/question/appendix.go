package question

import (
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// Appendix is everything a report says. Its JSON is report.json.
type Appendix struct {
	Schema  string           `json:"schema"`
	Run     reports.Run      `json:"run"`
	Inputs  reports.Inputs   `json:"inputs"`
	Nominal reports.Nominal  `json:"nominal"`
	Drivers reports.Drivers  `json:"drivers"`
	Torque  reports.Torque   `json:"torque"`
	Change  *reports.Change  `json:"change,omitempty"`
	Compare *reports.Compare `json:"compare,omitempty"`
	Explore *reports.Explore `json:"explore,omitempty"`

	Checks   reports.Validation   `json:"-"`
	Study    *study.Study         `json:"-"`
	Found    *sim.Result          `json:"-"`
	Verdicts []sim.Verdict        `json:"-"` // of the run and of the change
	Changed  *decide.EffectResult `json:"-"`
	// Command is the command line that gives the same report.
	Command string `json:"-"`
	// Date is printed as it is given; empty: a line to fill in.
	Date string `json:"-"`
}

// appendixSchema names the form of report.json.
const appendixSchema = "clampodds.report/1"

// Document puts the appendix together in the order of a reviewer: the decision, what it
// rests on, the model, results, what drives them, how the tool was checked, and what
// reproduces it. Tables and figures for who looks closer are attached.
func (a *Appendix) Document() reports.Document {
	d := reports.Document{Title: a.title()}
	a.addFront(&d)
	a.addBasis(&d)
	a.addModel(&d)
	a.addResults(&d)
	a.addSensitivities(&d)
	a.addTorque(&d)
	a.addComparisons(&d)
	a.addValidation(&d)
	a.addReproduction(&d)
	return d
}

func (a *Appendix) title() string {
	if a.Study.Project == "" {
		return a.Study.Title
	}
	return a.Study.Project + ": " + a.Study.Title
}

// addFront puts the first page: what is decided, what must be true, room for signatures.
func (a *Appendix) addFront(d *reports.Document) {
	if cause := a.Nominal.Cause(); cause != "" {
		d.Add(reports.Paragraph(cause))
	}
	f := reports.Front{
		Run: &a.Run, Inputs: &a.Inputs, Drivers: &a.Drivers, Change: a.Change,
		Document: a.Study.Document, Revision: a.Study.Revision, Author: a.Study.Author, Date: a.Date, FromTest: study.PosteriorSource,
	}
	if a.Study.OnlyApart(TorqueKey) == nil {
		f.Torque = &a.Torque
	}
	d.Running = f.Running(d.Title)
	d.Add(f.Blocks()...)
}

// addBasis lists the conditions, then every input with its source and the limits: the long
// table last, since it fills pages.
func (a *Appendix) addBasis(d *reports.Document) {
	d.Add(reports.Heading("Basis"))
	for _, b := range a.Inputs.Tables() {
		if t := b.(*reports.Table); t.Key == "conditions" {
			d.Add(t)
		} else {
			d.Attach(t)
		}
	}
	basis := a.Inputs.Basis()
	if a.Study.OnlyApart(TorqueKey) == nil {
		basis.Notes = append(basis.Notes, TorqueKey+": "+a.Torque.OfStudy()+". All results but those under Torque window are at it.")
	}
	d.Add(basis)
}

func (a *Appendix) addModel(d *reports.Document) {
	summary := modelSummary
	if a.Study.Chassis != nil {
		summary = append(slices.Clone(summary), chassisSummary)
	}
	d.Add(reports.Heading("Model"), summary, modelSources)
	nominal := a.Nominal.Document()
	d.Attach(of(nominal, "limits", "faces_left", "pieces_left")...)
	d.Add(a.figures(a.heatSplit, a.clampLength)...)
	d.Attach(of(nominal, "heat_paths")...)
	d.Attach(a.figures(a.alongClamp)...)
}

func (a *Appendix) addResults(d *reports.Document) {
	run := a.Run.Document()
	d.Add(reports.Heading("Results"), a.Run.BriefRequirements())
	d.Add(a.figures(a.exceedance)...)
	if a.Run.Mission != nil {
		d.Add(a.Run.Mission.Brief())
	}
	d.Add(reports.Paragraph(a.notKnown()))
	d.Add(of(run, "knowledge", "needed")...)
	d.Add(a.Run.Brief(), a.Run.BriefMisfits())
	d.Attach(a.figures(a.distribution, a.convergence)...)
	d.Attach(of(run, "requirements", "mission", "temperatures", "heat_shares", "resistances", "forces", "utilisations", "misfits", "range_of_use")...)
}

func (a *Appendix) addSensitivities(d *reports.Document) {
	whole := a.Drivers.Document()
	d.Add(reports.Heading("Sensitivities"), reports.Paragraph(a.Drivers.Opening()))
	d.Add(a.figures(a.driverBars)...)
	d.Add(a.Drivers.Brief()...)
	d.Attach(of(whole, "spread", "exceedance", "percentile", "slopes")...)
}

func (a *Appendix) addTorque(d *reports.Document) {
	d.Add(reports.Heading("Torque window"))
	if err := a.Study.OnlyApart(TorqueKey); err != nil {
		d.Add(reports.Paragraph("No window was looked for: " + err.Error() + "."))
		return
	}
	blocks := body(a.Torque.Document())
	blocks = attached(d, blocks, "course", "needed")
	d.Add(afterTheAnswer(blocks, a.figures(a.torqueWindow))...)
	if a.Explore != nil {
		d.Add(a.figures(a.contactFactor)...)
		d.Add(a.Explore)
		d.Attach(a.Explore.Table())
		if t := a.Explore.FactorTable(); t != nil {
			d.Attach(t)
		}
	}
}

func (a *Appendix) addComparisons(d *reports.Document) {
	if a.Change != nil {
		d.Add(reports.Heading("Change from " + a.Change.Provenance.Title))
		blocks := body(a.Change.Document())
		if len(a.Change.Steps) == 1 { // all together: what stands in the tables above
			blocks = attached(d, blocks, "steps")
		}
		for _, b := range blocks {
			if t, ok := b.(*reports.Table); ok && t.Key == "requirements" {
				t.Key = "change_requirements" // those of the study keep their name as a file
			}
		}
		i := slices.IndexFunc(blocks, isTable) // the figure is high, and the sentences end on the page of the torque
		d.Add(slices.Insert(blocks, i+1, a.figures(a.baseAndNew)...)...)
	}
	if a.Compare != nil {
		d.Add(reports.Heading("Designs side by side"))
		d.Add(afterTheAnswer(body(a.Compare.Document()), a.figures(a.designs))...)
	}
}

// attached takes the tables with these keys out of a section: they stay in the files.
func attached(d *reports.Document, blocks []reports.Block, keys ...string) []reports.Block {
	taken := of(reports.Document{Blocks: blocks}, keys...)
	d.Attach(taken...)
	return slices.DeleteFunc(blocks, func(b reports.Block) bool { return slices.Contains(taken, b) })
}

// afterTheAnswer puts the figures of a section behind the sentences that it opens with.
func afterTheAnswer(blocks, figures []reports.Block) []reports.Block {
	i := slices.IndexFunc(blocks, func(b reports.Block) bool {
		_, ok := b.(reports.Paragraph)
		return !ok
	})
	if i < 0 {
		i = len(blocks)
	} else if _, ok := blocks[i].(reports.Code); ok {
		i-- // the sentence says what the line is
	}
	return slices.Insert(blocks, i, figures...)
}

func (a *Appendix) addValidation(d *reports.Document) {
	d.Add(reports.Heading("Validation"), reports.Paragraph("Outside checks of this version: the value a source gives against the value obtained. Those that differ are in the files with the reason; the command clampodds check --validation prints every one with its source and tolerance."), a.Checks.Brief())
	d.Attach(a.Checks.Summary())
	d.Attach(a.Checks.Misses())
}

func (a *Appendix) addReproduction(d *reports.Document) {
	d.Add(reports.Heading("Reproduction"), reports.Paragraph("Computed by the command: "+a.Command),
		reports.Paragraph("The folder of this report has every table as CSV and every figure as SVG and PNG, those that are not printed too, all results in report.json, and files.sha256 to check them."), a.provenance())
	if list := a.warnings(); len(list) > 0 {
		d.Add(reports.Subheading("Warnings"), list)
	}
	d.Add(reports.Terms())
}

// warnings lists what each part warns of, with the parts that do.
func (a *Appendix) warnings() (list reports.List) {
	var texts []string
	parts := map[string][]string{}
	add := func(part string, all []reports.Warning) {
		for _, w := range all {
			if len(parts[w.Text]) == 0 {
				texts = append(texts, w.Text)
			}
			if !slices.Contains(parts[w.Text], part) {
				parts[w.Text] = append(parts[w.Text], part)
			}
		}
	}
	add("study", a.Run.Provenance.StudyWarnings)
	add("run", a.Run.Warnings)
	add("drivers", a.Drivers.Warnings)
	add("torque window", a.Torque.Warnings)
	if a.Change != nil {
		add("change", a.Change.Warnings)
	}
	if a.Compare != nil {
		add("comparison", a.Compare.Warnings)
	}
	for _, text := range texts {
		list = append(list, strings.Join(parts[text], ", ")+": "+text)
	}
	return list
}

// of takes the tables with these keys from a document.
func of(d reports.Document, keys ...string) (blocks []reports.Block) {
	for _, b := range d.Blocks {
		if t, ok := b.(*reports.Table); ok && slices.Contains(keys, t.Key) && len(t.Rows) > 0 {
			blocks = append(blocks, t)
		}
	}
	return blocks
}

func isTable(b reports.Block) bool { _, ok := b.(*reports.Table); return ok }

// body is a document as a section of the appendix: without what that says once for
// all, warnings, cautions, provenance and figures.
func body(d reports.Document) (blocks []reports.Block) {
	for i := 0; i < len(d.Blocks); i++ {
		switch b := d.Blocks[i].(type) {
		case reports.Heading:
			if b == "Cautions" || b == "Warnings" {
				i++ // and the list below
				continue
			}
			blocks = append(blocks, reports.Subheading(b))
			continue
		case *reports.Table:
			if b.Key == "provenance" {
				continue
			}
		case *reports.Figure:
			continue // the appendix draws its own
		}
		blocks = append(blocks, d.Blocks[i])
	}
	return blocks
}

// provenance has the digests of all studies; what the study warns of is in the list of warnings.
func (a *Appendix) provenance() *reports.Table {
	p := a.Run.Provenance
	p.StudyWarnings = nil
	t := p.Table()
	if a.Change != nil {
		t.AddRow("baseline", a.Change.Provenance.Study)
		t.AddRow("its digest (SHA-256)", a.Change.Provenance.Digest)
	}
	if a.Compare != nil {
		for _, d := range a.Compare.Designs[1:] {
			t.AddRow("compared with", d.Study)
			t.AddRow("its digest (SHA-256)", d.Digest)
		}
	}
	return t
}

// Names are the files of the studies, the report's own first.
func (a *Appendix) Names() []string {
	if a.Compare == nil {
		return []string{a.Study.Name}
	}
	var names []string
	for _, d := range a.Compare.Designs {
		names = append(names, d.Study)
	}
	return names
}

var modelSummary = reports.List{
	"Screw: torque less running torque over thread and head friction gives the axial force; part of it is lost (VDI 2230, ISO 16047).",
	"Wedge train: each ramp turns axial force into transverse force, sliding pieces lose wall friction; cards that do not go in and clamps out of travel are outcomes of their own.",
	"Contact: plastic spots, gas in the gaps, flatness that the pressure closes in part, films; one factor for what the correlations do not know, the same for all faces, and one for each face.",
	"Network: flange, pieces, ramps, rails, card, components; heat put in equals heat that leaves.",
	"Limits: temperatures, screw stress, thread stripping, bearing pressure, holding.",
}

const chassisSummary = "Chassis: the wall at a slot is as warm as stated, warmed by its resistance times the heat of all cards, and by the coolant: the heat upstream and half the slot's own over its heat capacity rate (first law, steady flow). It leaves out heat along the wall and between cards, coolant that leaks past, and the film between coolant and wall where the flow changes."

var modelSources = reports.Paragraph("Sources: VDI 2230, ISO 16047, ISO 965-1, FED-STD-H28 (screw); Cooper, Mikic and Yovanovich 1969, Yovanovich 1982, Mikic 1974, Antonetti 1983, Song and Yovanovich 1987, Westergaard 1939, Johnson 1985, Veziroglu and Chandra 1969 (contact); US Standard Atmosphere 1976; Incropera and DeWitt (network); JCGM 101:2008, Clopper and Pearson 1934, Korn and Graubard 1998 (statistics).")
