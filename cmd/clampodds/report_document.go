package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"clampodds/reports"
	"clampodds/sim"
)

// document puts the appendix together: the verdict first, what reproduces it last.
func (a *appendix) document() reports.Document {
	d := reports.Document{Title: a.study.Title}
	d.Add(a.titleBlock())
	run, nominal := a.Run.Document(), a.Nominal.Document()
	d.Add(reports.Heading("Purpose and verdict"))
	for _, sentence := range []string{a.purpose(), a.verdict(), a.leastMargin(), a.changeSentence()} {
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
	d.Add(of(run, "knowledge")...)
	d.Add(reports.Heading("Heat paths at nominal values"))
	d.Add(of(nominal, "heat_paths")...)
	d.Add(a.figures(a.heatSplit, a.alongClamp)...)
	d.Add(of(nominal, "limits", "faces_left", "pieces_left")...)
	d.Add(reports.Heading("What drives the spread and the exceedance"))
	d.Add(reports.Paragraph("Drivers have samples of their own: their probability and percentile differ from those of the run above, within the intervals."))
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
	d.Add(of(run, "misfits", "range_of_use")...)
	d.Add(a.figures(a.convergence)...)
	d.Add(reports.Heading("Validation"), reports.Paragraph("Outside checks of this version: the value a source gives against the value obtained; testdata/VALIDATION.md lists every one with its source and tolerance."), validationSummary())
	if list := a.warnings(); len(list) > 0 {
		d.Add(reports.Heading("Warnings"), list)
	}
	d.Add(reports.Heading("Cautions"), reports.Cautions)
	d.Add(reports.Heading("How to reproduce this"), reports.Paragraph(a.command()), a.provenance())
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

// longestSentence is one that is read, and that no renderer cuts.
const longestSentence = 380

// verdict is a sentence that says which requirements are met, by the study as
// written and in every condition of the mission; of those that are not, it names as
// many as there is room for.
func (a *appendix) verdict() (sentence string) {
	written, mission := map[string][]string{}, map[string][]string{}
	for _, q := range a.Run.Requirements {
		written[q.Verdict] = append(written[q.Verdict], q.Label)
	}
	if a.Run.Mission != nil {
		for _, q := range a.Run.Mission.Requirements {
			mission[q.Verdict] = append(mission[q.Verdict], q.Label)
		}
	}
	for named := len(a.Run.Requirements); named > 0; named-- {
		first, all := byVerdict(written, named), byVerdict(mission, named)
		switch {
		case first == "":
			return "The study sets no target, so there is no verdict."
		case all == "":
			sentence = fmt.Sprintf("As written, %s.", first)
		default:
			sentence = fmt.Sprintf("As written, %s; over all conditions of the mission, %s.", first, all)
		}
		if len(sentence) <= longestSentence {
			break
		}
	}
	return sentence
}

// byVerdict counts requirements by their verdict, the worst first, and names up to
// so many of those that are not met.
func byVerdict(names map[string][]string, named int) string {
	all := 0
	for _, n := range names {
		all += len(n)
	}
	var parts []string
	for _, v := range []sim.Verdict{sim.NotMet, sim.Undecided, sim.Met} {
		n := names[v.String()]
		if len(n) == 0 {
			continue
		}
		of, are := "", "are"
		if len(parts) == 0 {
			of = fmt.Sprintf("of %d requirements ", all)
		}
		if len(n) == 1 {
			are = "is"
		}
		part := fmt.Sprintf("%d %s%s %s", len(n), of, are, v)
		if len(n) == all {
			part = fmt.Sprintf("all %d requirements are %s", all, v)
		}
		if v != sim.Met {
			part += " (" + listed(n, named) + ")"
		}
		parts = append(parts, part)
	}
	if len(parts) > 1 {
		return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
	}
	return strings.Join(parts, "")
}

// listed names requirements, the first ones where there are many.
func listed(names []string, most int) string {
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
}

// changeSentence is the verdict on the change, empty without one.
func (a *appendix) changeSentence() string {
	if a.Change == nil {
		return ""
	}
	return fmt.Sprintf("The change from %q is %s: margin %s.", a.Change.Provenance.Title, a.Change.Verdict, a.Change.Margin)
}

// leastMargin names the requirement nearest to its target or furthest beyond it.
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
	what, bound, p := "nearest to its target", "at most", q.PerCard.High
	if q.Verdict == sim.NotMet.String() {
		what, bound, p = "furthest beyond its target", "at least", q.PerCard.Low
	}
	return fmt.Sprintf("The %s is %s: with %s %% confidence %s %s of the cards exceed %s, against a target of %s.", q.Label, what,
		reports.Plain(100*float64(a.Run.Provenance.Confidence)), bound, reports.Probability(float64(p), 0, 0),
		q.Shown.Text(float64(q.Limit)), reports.Probability(float64(q.Target), 0, 0))
}

// notKnown states which inputs are not known, and what that means.
func (a *appendix) notKnown() string {
	var keys []string
	for _, in := range a.Inputs.Inputs {
		if in.Knowledge {
			keys = append(keys, in.Key)
		}
	}
	switch {
	case len(keys) == 0:
		return "The study takes every input as known up to its scatter from card to card, lot to lot or chassis to chassis: no lack of knowledge is in the probabilities."
	case len(a.Run.Knowledge) == 0:
		return fmt.Sprintf("%s not known and the same for all cards. The probabilities above mix this with the scatter: a measurement would move them all together. They are not kept apart here, because fewer than %d cards exceeded a limit.",
			subject(keys), reports.FewestSeen)
	}
	return subject(keys) + " not known and the same for all cards. The probabilities above mix this with the scatter: a measurement would move them all together. The table keeps the two apart."
}

// subject opens a sentence about inputs.
func subject(keys []string) string {
	if len(keys) == 1 {
		return "One input, " + keys[0] + ", is"
	}
	return fmt.Sprintf("%d inputs, marked * in the table of inputs, are", len(keys))
}

// warnings lists what each part warns of, with the parts that do.
func (a *appendix) warnings() (list reports.List) {
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
// all, warnings, cautions and provenance.
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
		}
		blocks = append(blocks, d.Blocks[i])
	}
	return blocks
}

// provenance has the digests of all studies.
func (a *appendix) provenance() *reports.Table {
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

// command is the command line that gives the same report.
func (a *appendix) command() string {
	line := fmt.Sprintf("clampodds report %s -o DIR --seed %d --samples %d --plan %s", strings.Join(a.names(), " "), a.found.Seed, a.found.Samples, a.planWord())
	a.flags.Visit(func(f *pflag.Flag) {
		if slices.Contains([]string{"baseline", "evaluations", "prefix"}, f.Name) {
			line += fmt.Sprintf(" --%s %s", f.Name, f.Value)
		}
	})
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
