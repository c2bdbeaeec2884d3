package main

import (
	"fmt"
	"slices"
	"strings"

	"clampodds/reports"
	"clampodds/sim"
)

// document puts the appendix together: the verdict first, what reproduces it last.
func (a *appendix) document() reports.Document {
	d := reports.Document{Title: a.study.Title}
	d.Add(a.titleBlock())
	d.Add(reports.Heading("Purpose and verdict"))
	d.Add(reports.Paragraph(a.purpose()))
	for _, sentence := range a.verdictSentences() {
		d.Add(reports.Paragraph(sentence))
	}
	if sentence := a.changeSentence(); sentence != "" {
		d.Add(reports.Paragraph(sentence))
	}
	d.Add(reports.Paragraph(a.leastMargin()))
	d.Add(a.of(a.Run.Document(), "requirements")...)
	d.Add(a.figures(a.distribution, a.exceedance)...)
	d.Add(reports.Heading("Percentiles"))
	d.Add(a.of(a.Run.Document(), "temperatures", "heat_shares", "resistances", "forces", "utilisations")...)
	d.Add(a.rest(a.Run.Document())...)
	d.Add(reports.Heading("Heat paths at nominal values"))
	d.Add(a.of(a.Nominal.Document(), "heat_paths")...)
	d.Add(a.figures(a.heatSplit, a.alongClamp)...)
	d.Add(a.of(a.Nominal.Document(), "limits", "faces_left", "pieces_left")...)
	d.Add(reports.Heading("What drives the spread and the exceedance"))
	d.Add(a.figures(a.driverBars)...)
	d.Add(body(a.Drivers.Document())...)
	d.Add(reports.Heading("Torque window"))
	d.Add(a.figures(a.torqueWindow)...)
	d.Add(body(a.Torque.Document())...)
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
	d.Add(a.of(a.Run.Document(), "misfits", "range_of_use")...)
	d.Add(a.figures(a.convergence)...)
	d.Add(reports.Heading("Validation"), reports.Paragraph("Outside checks of this version: the value a source gives against the value obtained; testdata/VALIDATION.md lists every one with its source and tolerance."), validationSummary())
	d.Add(reports.Heading("Cautions"), reports.Cautions)
	d.Add(reports.Heading("How to reproduce this"), reports.Paragraph(a.command()), a.Run.Provenance.Table())
	return d
}

// titleBlock has the study's free texts.
func (a *appendix) titleBlock() *reports.Table {
	t := &reports.Table{Key: "title", Caption: "Document", Columns: []reports.Column{{Head: "item"}, {Head: "text"}}}
	for _, row := range [][2]string{
		{"project", a.study.Project}, {"document", a.study.Document}, {"revision", a.study.Revision}, {"author", a.study.Author},
		{"study", a.study.Name}, {"prepared with", "clampodds " + version},
	} {
		if row[1] != "" {
			t.AddRow(row[0], row[1])
		}
	}
	return t
}

func (a *appendix) purpose() string {
	return fmt.Sprintf("This appendix states how likely the limits of %q are exceeded when torque, friction, flatness and slot width scatter as stated under Inputs, from %d simulated cards.",
		a.study.Title, a.found.Rows)
}

// mostNamed keeps a sentence to a length that is read, and that no renderer cuts;
// the tables have all requirements.
const mostNamed = 8

// listed names requirements, the first ones where there are many.
func listed(names []string) string {
	if len(names) <= mostNamed {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:mostNamed], ", "), len(names)-mostNamed)
}

// byVerdict has a sentence for each verdict that occurs, the worst first.
func byVerdict(about string, names map[string][]string) (sentences []string) {
	for _, v := range []sim.Verdict{sim.NotMet, sim.Undecided, sim.Met} {
		if n := names[v.String()]; len(n) > 0 {
			sentences = append(sentences, fmt.Sprintf("%s, %s: %s.", about, v, listed(n)))
		}
	}
	return sentences
}

// verdictSentences say which requirements are met, by the study as written and in
// every condition of the mission.
func (a *appendix) verdictSentences() []string {
	names := map[string][]string{}
	for _, q := range a.Run.Requirements {
		names[q.Verdict] = append(names[q.Verdict], q.Label)
	}
	sentences := byVerdict("As written", names)
	if len(sentences) == 0 {
		return []string{"The study sets no target, so there is no verdict."}
	}
	if a.Run.Mission == nil {
		return sentences
	}
	names = map[string][]string{}
	for _, q := range a.Run.Mission.Requirements {
		names[q.Verdict] = append(names[q.Verdict], q.Label)
	}
	return append(sentences, byVerdict("In every condition of the mission", names)...)
}

// changeSentence is the verdict on the change, empty without one.
func (a *appendix) changeSentence() string {
	if a.Change == nil {
		return ""
	}
	return fmt.Sprintf("The change from %q is %s: margin %s.", a.Change.Provenance.Title, a.Change.Verdict, a.Change.Margin)
}

// leastMargin names the requirement nearest to its target.
func (a *appendix) leastMargin() string {
	nearest, ratio := -1, 0.0
	for i, q := range a.Run.Requirements {
		if q.Target > 0 && float64(q.PerCard.High/q.Target) > ratio {
			nearest, ratio = i, float64(q.PerCard.High/q.Target)
		}
	}
	if nearest < 0 {
		return "No requirement has a target to be near to."
	}
	q := a.Run.Requirements[nearest]
	return fmt.Sprintf("The nearest to its target is the %s: with %s %% confidence at most %s of the cards exceed %s, against a target of %s.",
		q.Label, reports.Plain(100*float64(a.Run.Provenance.Confidence)), reports.Probability(float64(q.PerCard.High), 0, 0),
		q.Shown.Text(float64(q.Limit)), reports.Probability(float64(q.Target), 0, 0))
}

// of takes the tables with these keys from a document.
func (a *appendix) of(d reports.Document, keys ...string) (blocks []reports.Block) {
	for _, b := range d.Blocks {
		if t, ok := b.(*reports.Table); ok && slices.Contains(keys, t.Key) && len(t.Rows) > 0 {
			blocks = append(blocks, t)
		}
	}
	return blocks
}

// runTables are the tables of a run that have their own place in the appendix.
var runTables = []string{"requirements", "temperatures", "heat_shares", "resistances", "forces", "utilisations", "misfits", "range_of_use", "provenance"}

// rest is what a run has besides: conditions, lack of knowledge, warnings.
func (a *appendix) rest(d reports.Document) (blocks []reports.Block) {
	for _, b := range body(d) {
		if t, ok := b.(*reports.Table); ok && slices.Contains(runTables, t.Key) {
			continue
		}
		if _, ok := b.(*reports.Figure); ok {
			continue // the appendix draws its own
		}
		blocks = append(blocks, b)
	}
	return blocks
}

// body is a document without what the appendix says once for all: cautions and
// provenance.
func body(d reports.Document) (blocks []reports.Block) {
	for i := 0; i < len(d.Blocks); i++ {
		switch b := d.Blocks[i].(type) {
		case reports.Heading:
			if b == "Cautions" {
				i++ // and the list below
				continue
			}
		case *reports.Table:
			if b.Key == "provenance" {
				continue
			}
		}
		blocks = append(blocks, d.Blocks[i])
	}
	return blocks
}

// command is the command line that gives the same report.
func (a *appendix) command() string {
	line := fmt.Sprintf("clampodds report %s -o DIR --seed %d --samples %d --plan %s", strings.Join(a.names(), " "), a.found.Seed, a.found.Samples, a.planWord())
	if a.Change != nil {
		line += " --baseline " + a.Change.Provenance.Study
	}
	return line
}

// names are the files of the studies, the report's own first.
func (a *appendix) names() []string {
	if a.Compare == nil {
		return []string{a.study.Name}
	}
	var names []string
	for _, d := range a.Compare.Designs {
		names = append(names, d.Study)
	}
	return names
}

// planWord is the run's plan as a word of the command line.
func (a *appendix) planWord() samplerName {
	for _, s := range samplers {
		if s.Name() == a.found.Sampler {
			return planWord(s)
		}
	}
	return samplerName(a.found.Sampler)
}

var modelSummary = reports.List{
	"Screw: torque less running torque over thread and head friction gives the axial force; part of it is lost (VDI 2230, ISO 16047).",
	"Wedge train: each ramp turns axial force into transverse force, sliding pieces lose wall friction; cards that do not go in and clamps out of travel are outcomes of their own.",
	"Contact: plastic spots, gas in the gaps, flatness that the pressure closes in part, films; one factor for what the correlations do not know, the same for all faces, and one for each face.",
	"Network: flange, pieces, ramps, rails, card, components; heat put in equals heat that leaves.",
	"Limits: temperatures, screw stress, thread stripping, bearing pressure, holding.",
}

var modelSources = reports.Paragraph("Sources: VDI 2230, ISO 16047, ISO 965-1, FED-STD-H28 (screw); Cooper, Mikic and Yovanovich 1969, Yovanovich 1982, Mikic 1974, Antonetti 1983, Song and Yovanovich 1987, Westergaard 1939, Johnson 1985, Veziroglu and Chandra 1969 (contact); US Standard Atmosphere 1976; Incropera and DeWitt (network); JCGM 101:2008, Clopper and Pearson 1934, Korn and Graubard 1998 (statistics).")
