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

	Checks   reports.Validation `json:"-"`
	Study    *study.Study       `json:"-"`
	Found    *sim.Result        `json:"-"`
	Verdicts []sim.Verdict      `json:"-"` // of the run and of the change
	Changed  *decide.Shown      `json:"-"`
	// Command is the command line that gives the same report.
	Command string `json:"-"`
}

// AppendixSchema names the form of report.json.
const AppendixSchema = "clampodds.report/1"

// Document puts the appendix together: the verdict first, what reproduces it last.
func (a *Appendix) Document() reports.Document {
	d := reports.Document{Title: a.Study.Title}
	d.Add(a.titleBlock())
	run, nominal := a.Run.Document(), a.Nominal.Document()
	d.Add(reports.Heading("Purpose and verdict"))
	for _, sentence := range []string{a.Nominal.Cause(), a.decision(), a.purpose(), a.Verdict(), a.leastMargin(), a.changeSentence()} {
		if sentence != "" {
			d.Add(reports.Paragraph(sentence))
		}
	}
	d.Add(of(run, "requirements")...)
	d.Add(a.figures(a.distribution, a.exceedance)...)
	d.Add(reports.Heading("Percentiles"))
	d.Add(of(run, "temperatures", "heat_shares", "resistances", "forces", "utilisations")...)
	if a.Run.Mission != nil {
		d.Add(reports.Heading("Conditions of the mission"))
		d.Add(of(run, "mission")...)
	}
	d.Add(reports.Heading("Lack of knowledge"), reports.Paragraph(a.notKnown()))
	d.Add(of(run, "knowledge", "needed")...)
	d.Add(reports.Heading("Heat paths at nominal values"))
	d.Add(of(nominal, "heat_paths")...)
	d.Add(a.figures(a.heatSplit, a.alongClamp)...)
	d.Add(of(nominal, "limits", "faces_left", "pieces_left")...)
	d.Add(reports.Heading("What drives the spread and the exceedance"))
	d.Add(reports.Paragraph("Drivers have samples of their own: their probability and percentile are of other cards than those above."))
	d.Add(a.figures(a.driverBars)...)
	d.Add(body(a.Drivers.Document())...)
	d.Add(reports.Heading("Torque window"))
	if err := a.Study.OnlyApart(TorqueKey); err != nil {
		d.Add(reports.Paragraph("No window was looked for: " + err.Error() + "."))
	} else {
		d.Add(a.figures(a.torqueWindow)...)
		d.Add(body(a.Torque.Document())...)
	}
	if a.Change != nil {
		d.Add(reports.Heading("Change from " + a.Change.Provenance.Title))
		d.Add(a.figures(a.baseAndNew)...)
		d.Add(body(a.Change.Document())...)
	}
	if a.Compare != nil {
		d.Add(reports.Heading("Designs side by side"))
		d.Add(body(a.Compare.Document())...)
	}
	d.Add(reports.Heading("Inputs"))
	d.Add(a.Inputs.Tables()...)
	d.Add(reports.Heading("Model"), modelSummary, modelSources)
	d.Add(of(run, "misfits", "range_of_use")...)
	d.Add(a.figures(a.convergence)...)
	d.Add(reports.Heading("Validation"), reports.Paragraph("Outside checks of this version: the value a source gives against the value obtained. The command clampodds check --validation prints every one with its source and tolerance."), a.Checks.Summary(), a.Checks.Misses())
	if list := a.warnings(); len(list) > 0 {
		d.Add(reports.Heading("Warnings"), list)
	}
	d.Add(reports.Heading("Cautions"), reports.Cautions)
	d.Add(reports.Heading("How to reproduce this"), reports.Paragraph(a.Command), a.provenance())
	return d
}

// titleBlock has the study's free texts.
func (a *Appendix) titleBlock() *reports.Table {
	t := &reports.Table{Key: "title", Caption: "Document", Columns: []reports.Column{{Head: "item"}, {Head: "text"}}}
	for _, row := range [][2]string{
		{"project", a.Study.Project}, {"document", a.Study.Document}, {"revision", a.Study.Revision}, {"author", a.Study.Author},
		{"study", a.Study.Name}, {"prepared with", "clampodds " + Version + " (" + Build() + ")"},
	} {
		if row[1] != "" {
			t.AddRow(row[0], row[1])
		}
	}
	return t
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

// provenance has the digests of all studies.
func (a *Appendix) provenance() *reports.Table {
	t := a.Run.Provenance.Table()
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

var modelSources = reports.Paragraph("Sources: VDI 2230, ISO 16047, ISO 965-1, FED-STD-H28 (screw); Cooper, Mikic and Yovanovich 1969, Yovanovich 1982, Mikic 1974, Antonetti 1983, Song and Yovanovich 1987, Westergaard 1939, Johnson 1985, Veziroglu and Chandra 1969 (contact); US Standard Atmosphere 1976; Incropera and DeWitt (network); JCGM 101:2008, Clopper and Pearson 1934, Korn and Graubard 1998 (statistics).")
