package reports

import (
	"bytes"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// front is a first page with made-up numbers: undecided for want of knowledge.
func front() Front {
	estimate := func(value, low, high float64) Estimate {
		return Estimate{Value: value, Interval: Interval{Low: low, High: high}}
	}
	bound := estimate(0.00673, 0.00614, 0.00736)
	left := 0.22
	d := &Decision{Verdict: "undecided", Requirement: "spot", Label: "hottest spot above 85 °C", Condition: "hot day", Target: 0.002, PerCard: estimate(0.00128, 0.00119, 0.00145),
		Bound: &bound, Rule: Rule{Confidence: 0.95}, Wanting: "knowledge", Chance: 0.9, Needed: []Needed{{Inputs: []string{"contact.factor"}, Share: 0.46, SpreadLeft: &left}}}
	seen := Event{Name: "event.over_yield", Label: "a local pressure beyond the yield", PerCard: estimate(0.556, 0.55, 0.56)}
	seen.PerCard.Count = 5560
	return Front{
		Run: &Run{Decision: d, RangeOfUse: []Event{seen, {Name: "event.outside_range"}}, Requirements: []Requirement{{Verdict: "undecided"}, {Verdict: "met"}},
			Provenance: Provenance{Tool: "clampodds", Version: "1", Study: "a.toml", Digest: "0123456789abcdef", Samples: 10000}},
		Inputs: &Inputs{Inputs: []Input{
			{Key: "contact.factor", Knowledge: true, RangeText: "0.44 … 2.3", Source: "posterior from 4 rows", File: "a.toml"},
			{Key: "card.power", Source: "power budget, invented", File: "a.toml"}, {Key: "card.place", Source: "default"}, {Key: "card.mass", Source: "weighed", File: "a.toml"},
		}},
		Drivers: &Drivers{}, FromTest: "posterior from ",
	}
}

func TestFrontSaysWhatIsDecided(t *testing.T) {
	f := front()
	rows := map[string]string{}
	for _, r := range f.decision().Rows {
		rows[r[0]] = r[1]
	}
	assert.Equal(t, map[string]string{
		"verdict":                "UNDECIDED, for want of knowledge: on average the target holds, with what is not known it is not shown to",
		"number of record":       "hottest spot above 85 °C: 1.28e-3 (1.19e-3 to 1.45e-3) per card, 1.3 in 1000; target 2e-3, 2 in 1000",
		"with what is not known": "with 95 % confidence at most 6.73e-3 (6.14e-3 to 7.36e-3), 6.7 in 1000",
		"worst condition":        "hot day", "all requirements": "2: 1 undecided, 1 met",
		"what would decide": "No number of cards decides that; knowing more would (chance 90 %): contact.factor to 22 % of its present spread.",
		"thermal test":      "contact.factor is 0.44 … 2.3 (P1 … P99) after 4 rows",
	}, rows)
	assert.Equal(t, [][]string{
		{"contact.factor", "0.44 … 2.3", "46 %", "posterior from 4 rows"},
		{"2 of 4 inputs not backed", "", "taken as stated", "1 invented or assumed and 1 defaults of the tool: see Basis"},
	}, f.assumptions().Rows[:2])
	f.Inputs.Inputs = append(f.Inputs.Inputs, Input{Key: "component.q1.power", File: "a.toml"})
	assert.Equal(t, "1 invented or assumed, 1 without a source and 1 defaults of the tool: see Basis", f.assumptions().Rows[1][3], "typed, and nobody says where it comes from")
	left := f.Inputs.left()
	assert.Equal(t, Paragraph("Of 5 inputs 1 are assumed or invented, 1 without a source and 1 the tool's own default: listed last."), left[0])
	assert.Equal(t, []string{"component.q1.power", "", "none given"}, left[1].(*Table).Rows[2])
	f.Inputs.Inputs[len(f.Inputs.Inputs)-1].Source = "card drawing; nickel: two maker's sheets (judgement)"
	assert.Equal(t, "1 invented or assumed, 1 by judgement or from memory and 1 defaults of the tool: see Basis", f.assumptions().Rows[1][3], "the drawing says which row of the table, and no more")
	celsius := Unit{"°C", func(k float64) float64 { return k - 273.15 }}
	f.Run.Requirements = append(f.Run.Requirements, Requirement{Name: "spot", Label: "hottest spot", Limit: 358.15, Shown: celsius})
	f.Run.Temperatures = []Quantity{{Label: "hottest spot", Shown: celsius, Percentiles: []Percentile{
		{0.5, Estimate{Value: 340}}, {0.99, Estimate{Value: 354.35, Interval: Interval{Low: 354.15, High: 354.55}}}, {0.999, Estimate{Value: 357, Interval: Interval{Low: 356, High: math.Inf(1)}}}}}}
	assert.Equal(t, "hottest spot: P99 81.20 °C (81.00 to 81.40); limit 85 °C", f.temperature(), "what has no bound is left out")
	f.Run.Requirements = f.Run.Requirements[:len(f.Run.Requirements)-1]
	f.Run.Decision.NotAllowed = "too much"
	assert.Equal(t, "by the targets alone, 2: 1 undecided, 1 met", f.allRequirements(), "the verdict is not met")
	f.Run.Decision.NotAllowed = ""
	f.Run.Mission = &Mission{Members: []MissionMember{{Name: "as written"}, {Name: "hot day"}, {Name: "aged"}, {Name: "a mistake", Informative: true}}}
	assert.Contains(t, f.allRequirements(), "; judged as written and in 2 conditions, the worst of them counts")
	f.Run.Mission.Members = f.Run.Mission.Members[1:]
	assert.Contains(t, f.allRequirements(), "; judged as written and in 2 conditions, the worst of them counts", "the conditions take all of the time")
	applies, ok := f.applicability().(*Table)
	require.True(t, ok)
	assert.Equal(t, [][]string{{"a local pressure beyond the yield", "55.6 %", beyondMeans["event.over_yield"]}}, applies.Rows, "what was not seen is left out")
}

// The head of the page and the foot of every sheet say which document it is; what nobody says is a line to fill in.
func TestEverySheetSaysOfWhichDocumentItIs(t *testing.T) {
	f := front()
	assert.Equal(t, Paragraph("Document: ____________ · Revision: ____________ · Date: ____________ · By: ____________"), f.Blocks()[0])
	assert.Equal(t, "Six slots", f.Running("Six slots"))
	f.Document, f.Revision, f.Date = `TQ-7 "<x>`, "B", "2030-01-02"
	assert.Contains(t, f.Blocks()[0], `Document: TQ-7 "<x> · Revision: B · Date: 2030-01-02 · By: _`)
	d := Document{Title: "t", Running: f.Running("t"), Blocks: f.Blocks()}
	var page, tex, word bytes.Buffer
	require.NoError(t, WriteHTML(&page, d))
	assert.Contains(t, page.String(), `@page{@bottom-left{content:"TQ-7 \22\3cx\3e, revision B";`)
	require.NoError(t, WriteLatex(&tex, d))
	assert.Contains(t, tex.String(), `\def\@oddfoot{\footnotesize TQ-7 {\char34}\textless{}x\textgreater{}, revision B\hfil\thepage}`)
	require.NoError(t, WriteDOCX(&word, d))
	assert.Contains(t, docxPart(t, word.Bytes(), "word/footer.xml"), "TQ-7 &#34;&lt;x&gt;, revision B</w:t>")
}

// A verdict for want of cards says what the cards did not show.
func TestWhatCardsLeaveOpen(t *testing.T) {
	decision := func(value, low, high float64) Decision {
		return Decision{Verdict: "undecided", Requirement: "spot", Label: "spot", Target: 1e-3, PerCard: Estimate{Value: value, Interval: Interval{Low: low, High: high}}, Wanting: "cards"}
	}
	assert.Contains(t, decision(9e-4, 8e-4, 1.1e-3).Sentence(), "their interval reaches above the target")
	assert.Contains(t, decision(5e-5, 4e-5, 2e-4).Sentence(), "On average the target holds")
	searched := decision(6e-13, 0, 3e-5)
	searched.PerCard.Warnings = []Warning{{Code: "not-established"}}
	assert.Contains(t, searched.Sentence(), "did not establish that")
	bounded, bound := decision(3e-4, 2.8e-4, 3.2e-4), Estimate{Value: 9e-4, Interval: Interval{Low: 8e-4, High: 1.2e-3}}
	bounded.Bound = &bound
	assert.Contains(t, bounded.Sentence(), "their interval reaches above the target", "that of the bound")
	bounded.SettledBy = &Settling{Accuracy: 0.05, Rows: 4, Chance: 0.91}
	assert.Contains(t, bounded.Sentence(), "target. [verdict] accuracy = 0.05 in the study, about 4 times as many cards, would settle that with a chance of 91 % or more.")
	bounded.SettledBy.Chance = 0.03
	assert.Contains(t, bounded.Sentence(), "No finer accuracy is likely to settle that")

	change := func(high float64, bound *Estimate) Change {
		q := ChangeRequirement{Wanting: "cards", Verdict: "undecided", Bound: bound}
		q.High = high
		return Change{MarginKind: "absolute", MarginValue: 5e-4, Requirements: []ChangeRequirement{q}}
	}
	assert.Contains(t, change(6e-4, nil).open(), "the interval reaches above the margin")
	assert.Contains(t, change(5e-5, nil).open(), "On average it is within the margin")
	assert.Contains(t, change(5e-5, &bound).open(), "the interval reaches above the margin")
	above := change(7e-4, nil)
	above.Requirements[0].Low, above.Judged = 6e-4, 8
	assert.Contains(t, above.open(), "By itself it is above the margin. At the level that the 8 differences judged together share")
}

// Page one of the word processor file has, in this order, what a reviewer signs, and nothing else: what follows begins a page.
func TestPageOneOfTheWordProcessorFile(t *testing.T) {
	d := Document{Title: "Page one"}
	d.Add(front().Blocks()...)
	d.Add(Heading("Basis"))
	d.Number("A")
	var b bytes.Buffer
	require.NoError(t, WriteDOCX(&b, d))
	text := docxPart(t, b.Bytes(), "word/document.xml")
	at := 0
	for _, part := range []string{"Page one", "Table A-1. Decision", "verdict", "number of record", "worst condition", "with what is not known", "all requirements", "does not replace a test", "Table A-2. What must be true",
		"Table A-3. Where the model was used outside its range", "Table A-4. Signatures", "approved", "Table A-5. Revisions", "what changed", "<w:pageBreakBefore/>", "Basis"} {
		next := strings.Index(text[at:], part)
		require.GreaterOrEqual(t, next, 0, part)
		at += next + len(part)
	}
	assert.Equal(t, 1, strings.Count(text, "<w:pageBreakBefore/>"))
}

func TestDrawingLine(t *testing.T) {
	one := func(x float64) float64 { return x }
	r := Torque{Verdict: "yes", Shown: Unit{"N·m", one}, Other: Unit{"in·lbf", func(x float64) float64 { return x / 0.112985 }}, Advice: &TorqueSetting{Torque: 0.8, Tolerance: 0.1, Step: 0.05}}
	assert.Equal(t, "TIGHTEN CLAMP SCREW TO 0.80 ± 0.10 N·m (7.08 ± 0.89 in·lbf)", r.forDrawing())
	r.Allowed.Step, r.Advice.Tolerance = 0.05, 0
	assert.Equal(t, "none is recommended: around 0.800 N·m (7.08 in·lbf) no tolerance of a step, 0.0500 N·m, is shown to hold and allowed", r.forDrawing())
	assert.Nil(t, r.lines())
	r.Advice.Tolerance = 0.1
	r.Checked = []TorqueChecked{{Recommended: true, Decision: Decision{Verdict: "undecided"}}}
	assert.Contains(t, r.forDrawing(), "none is recommended", "one of its ends does not hold")
	assert.Equal(t, "none: no torque holds every requirement", Torque{Verdict: "no"}.forDrawing())
}

func TestInPlain(t *testing.T) {
	for p, want := range map[float64]string{0.0011: "1.1 in 1000", 0.128: "130 in 1000", 7.2e-4: "0.72 in 1000", 3e-5: "30 in a million", 0.002: "2 in 1000", 0: "none", 6e-9: "6.00e-9", 0.9986: "more than 99 in 100", 1: "more than 99 in 100"} {
		assert.Equal(t, want, InPlain(p))
	}
}

// What is the same of several bodies is one row; the two edges where they agree.
func TestBriefTablesFold(t *testing.T) {
	hardness := func(of, source string, knowledge bool) Input {
		return Input{Key: of + ".hardness", Level: "design", Source: source, Knowledge: knowledge}
	}
	r := Inputs{Maker: []InputLimit{{Label: "most torque"}}, Inputs: []Input{hardness("flange", "book", true), hardness("rail", "book", true), hardness("clamp", "read", true), hardness("face", "book", false)}}
	var names []string
	for _, row := range r.Basis().Rows {
		names = append(names, row[0])
	}
	assert.Equal(t, []string{"limit: most torque", "flange.hardness, rail.hardness *", "clamp.hardness *", "face.hardness"}, names)

	at := func(name string, low, high float64) Quantity {
		return Quantity{Name: name, Label: Label(name), Percentiles: []Percentile{{Probability: 0.5, Estimate: Estimate{Interval: Interval{Low: low, High: high}}}}}
	}
	folded := foldEdges([]Quantity{at("resistance.left", 1, 2), at("resistance.right", 1.5, 2.5), at("force.face.left", 1, 2), at("force.face.right", 3, 4)})
	var labels []string
	for _, q := range folded {
		labels = append(labels, q.Label)
	}
	assert.Equal(t, []string{"thermal resistance, either edge", "force on the lower rail, left", "force on the lower rail, right"}, labels, "edges that differ stay apart")
}

func TestDriversOfWhatIsNotEstablished(t *testing.T) {
	r := Drivers{Label: "spot", Quantity: "edge.spot", Percentile: 0.99, Agreement: "not established", Shown: Unit{"°C", func(x float64) float64 { return x }}, Before: 69, Limit: 75}
	assert.Equal(t, "spot: P99 69.00 °C. Above 75 °C: probability not established.", r.Headline())
	assert.Equal(t, Paragraph(r.Headline()), r.Document().Blocks[0], "all of it was asked for")
	r.ByDefault = []string{"--limit", "--condition"}
	assert.Equal(t, Paragraph("Without --limit and --condition this is about spot above 75 °C, as written. The first sentence of run names the limit and the condition that decide: give these to drivers."), r.Document().Blocks[0])
}

func TestLeastRoomOnAverage(t *testing.T) {
	at := 1.49
	end := ToleranceEnd{MetTo: Position{State: "found", At: &at}, OnAverage: &OnAverage{MetTo: Position{State: "found", At: &at}}}
	r := Loosen{Tolerances: []Tolerance{{Input: "slot.width", Kind: "spread", Ends: []ToleranceEnd{end}}}}
	assert.Equal(t, " The spread with the least room is that of slot.width: it may grow 1.49-fold.", r.leastRoom())
	r.OnAverage = true
	assert.Equal(t, " The spread with the least room is that of slot.width: it may grow 1.49-fold on average.", r.leastRoom())
}

func TestRecordOfTheSameStudies(t *testing.T) {
	has := func(c Change) bool {
		return slices.ContainsFunc(c.Record().Blocks, func(b Block) bool {
			table, ok := b.(*Table)
			return ok && table.Key == "requirements"
		})
	}
	assert.Equal(t, Paragraph("Request: ____________ · Date: ____________"), Change{Deciding: -1}.Record().Blocks[0], "it is filed with the request")
	assert.False(t, has(Change{Same: true, Deciding: -1}), "there is no difference to list")
	assert.True(t, has(Change{Deciding: -1}))
}

// The inputs that are not listed have what the listed ones leave of the whole, the small ones included.
func TestTheRestOfWhatIsNotKnownMakesUpTheWhole(t *testing.T) {
	f := front()
	f.Run.Decision.Needed = nil
	for i, share := range []float64{0.47, 0.20, 0.08, 0.08, 0.06, 0.05, 0.03, 0, 0} {
		key := string(rune('a' + i))
		f.Inputs.Inputs = append(f.Inputs.Inputs, Input{Key: key, Knowledge: true})
		if share > 0 {
			f.Run.Decision.Needed = append(f.Run.Decision.Needed, Needed{Inputs: []string{key}, Share: share})
		}
	}
	assert.Equal(t, []string{"6 more, not known", "", "17 %", "marked * under Basis"}, f.assumptions().Rows[mostAssumptions])
}

// Who signs needs more room than who is named.
func TestThereIsRoomToSign(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, WriteLatexTable(&b, signatures("prepared"), "signatures"))
	assert.Contains(t, b.String(), `p{0.15\linewidth}>{\raggedright\arraybackslash}p{0.30\linewidth}@{}}`)
}

// Who signs does so on page one, before what is filled in later.
func TestPageOneHasTheSignatures(t *testing.T) {
	engine, err := exec.LookPath("pdflatex")
	if err != nil {
		t.Skip("no pdflatex")
	}
	f := front()
	for _, key := range []string{"face.direct.flatness_across", "rail.coat.conductivity", "flange.coat.conductivity", "friction.wall_share"} {
		f.Inputs.Inputs = append(f.Inputs.Inputs, Input{Key: key, Knowledge: true, RangeText: "0.149 … 2.42 W/mK", Source: "chemical conversion film: a hydrated oxide gel, 0.2 to 2 W/mK; no measurement found (judgement)"})
	}
	d := Document{Title: "A title of an ordinary length, two-face clamp, flatness 0.05 mm", Blocks: append(f.Blocks(), Heading("Basis"), Paragraph("What follows."))}
	files, err := FolderFiles(d, nil)
	require.NoError(t, err)
	folder := t.TempDir()
	for name, text := range files {
		require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(folder, name)), 0o755))
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), text, 0o600))
	}
	for range 3 {
		run := exec.Command(engine, "-interaction=batchmode", "report.tex")
		run.Dir = folder
		require.NoError(t, run.Run())
	}
	log, err := os.ReadFile(filepath.Join(folder, "report.log"))
	require.NoError(t, err)
	assert.NotContains(t, string(log), "Rerun LaTeX")
	page, err := exec.Command("pdftotext", "-l", "1", filepath.Join(folder, "report.pdf"), "-").Output()
	if err != nil {
		t.Skip("no pdftotext")
	}
	assert.Contains(t, string(page), "approved")
}
