package question

import (
	"bufio"
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strconv"
	"strings"
	"text/template"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/joint/force"
)

// NewQuestion is one that the command new asks. Usual is an answer of ordinary size.
type NewQuestion struct {
	Name, Text, Usual string
	// input is the study's key of a quantity, which has the unit and the range that are allowed; empty for a text or a
	// number. forms are ways to write one.
	input, forms string
	// spreads says that a tolerance may follow, uneven that its two sides may differ, most that the answer is a largest
	// value, least a smallest one.
	spreads, uneven, most, least bool
	// words are the only answers, where there are few; check judges other texts, and returns
	// them as a study has them.
	words []string
	check func(text string) (string, error)
}

// noAnswer is the answer to what need not be.
const noAnswer = "none"

// sizes are the forms of a size on a drawing.
const sizes = "6.4 mm +- 0.1 mm, 6.4 mm +0.1/-0.05, 6.4 mm 0/-0.1, 6.3 to 6.4 mm, 1/4 in"

// NewQuestions are all of them, in order.
var NewQuestions = []NewQuestion{
	{Name: "title", Text: "What is the card called?", Usual: "Card behind a wedge clamp"},
	{Name: "drawing", Text: "Which drawings do the answers come from?", Usual: "drawings"},
	{Name: "family", Text: "Clamp: two-face or four-face?", Usual: "two-face", words: []string{"two-face", "four-face"}},
	{Name: "length", Text: "Clamp: length along the card's edge", Usual: "130 mm", input: "clamp.length", forms: sizes, spreads: true, uneven: true},
	{Name: "width", Text: "Clamp: width of its pieces across the edge", Usual: "6 mm", input: "clamp.width", forms: sizes, spreads: true, uneven: true},
	{Name: "height", Text: "Clamp: height from flange to rail, relaxed", Usual: "8 mm +- 0.05 mm", input: "clamp.height", forms: sizes, spreads: true, uneven: true},
	{Name: "pieces", Text: "Clamp: number of pieces, ends included", Usual: "7", check: wholeNumber},
	{Name: "thread", Text: "Screw: thread (check --known lists them)", Usual: "M3", check: knownThread},
	{Name: "torque", Text: "Screw: torque on the drawing, with the tool's scatter", Usual: "0.70 N*m +- 6 %", input: "screw.torque", forms: "0.65 N*m +- 6 %, 0.65 N*m +- 0.05 N*m, 0.60 to 0.70 N*m", spreads: true},
	{Name: "maker", Text: "Screw: largest torque that the clamp maker allows", Usual: noAnswer, input: "screw.torque", forms: "0.80 N*m, max 7 in*lbf, none", most: true},
	{Name: "least", Text: "Screw: least torque that the clamp maker allows", Usual: noAnswer, input: "screw.torque", forms: "0.60 N*m, min 5 in*lbf, none", least: true},
	{Name: "flange", Text: "Card: thickness of the edge flange", Usual: "3 mm +- 0.05 mm", input: "flange.thickness", forms: sizes, spreads: true, uneven: true},
	{Name: "slot", Text: "Chassis: slot width, rail to rail", Usual: "11.60 mm +- 0.05 mm", input: "slot.width", forms: sizes, spreads: true, uneven: true},
	{Name: "flatness", Text: "Flatness of flange and rail together (two callouts: their sum at worst, or the root of the sum of squares)", Usual: "25 um", input: "face.direct.flatness", forms: "30 um, 0.03 mm max, ≤ 0.001 in", most: true},
	{Name: "roughness", Text: "Roughness Ra of the faces, the drawing's limit", Usual: "1.6 um", input: "clamp.roughness", forms: "Ra 1.6, 1.6 um max, 63 uin", most: true},
	{Name: "wall", Text: "Cold wall: temperature under the rails, with its scatter", Usual: "55 degC +- 3 K", input: "wall.temperature", forms: "55 degC +- 3 K, 52 to 58 degC, 131 degF +- 5 degF", spreads: true},
	{Name: "altitude", Text: "Altitude of the gas in the gaps", Usual: "0 km", input: "gas.altitude", forms: "9 km, 30 kft"},
	{Name: "power", Text: "Heat of the card, with its scatter", Usual: "80 W +- 5 %", input: "card.power", forms: "80 W +- 5 %, 76 to 84 W", spreads: true},
	{Name: "limit", Text: "Edge temperature that is allowed", Usual: "85 degC", input: "wall.temperature", forms: "85 degC, max 185 degF", most: true},
	{Name: "target", Text: "Share of the cards that may exceed it", Usual: "2e-3", check: probability},
}

// Answers are the answers by the names of the questions.
type Answers map[string]NewAnswer

// Given is the number of answers that are no assumption.
func (d Answers) Given() (n int) {
	for _, a := range d {
		if !a.assumed {
			n++
		}
	}
	return n
}

// newValues is what the template of a study has room for.
type newValues struct {
	Answers
	Title, Drawing, Family, Pieces, Thread string
	Maker, Least, Target, ChangeMargin     string
	Travel, Bearing, Engagement            string
	PrevailingLow, PrevailingHigh          string
}

// values adds what follows from the answers.
func (d Answers) values() (newValues, error) {
	v := newValues{Answers: d, Title: d["title"].text, Drawing: d["drawing"].text, Family: d["family"].text, Pieces: d["pieces"].text, Thread: d["thread"].text, Target: d["target"].text}
	if maker := d["maker"].text; maker != noAnswer {
		v.Maker = maker
	}
	if least := d["least"]; least.text != noAnswer {
		if most := d["maker"]; v.Maker != "" && !(least.si < most.si) {
			return v, fmt.Errorf("the least torque that the clamp maker allows, %s, must be below the largest, %s", least.text, most.text)
		}
		v.Least = least.text
	}
	target, err := strconv.ParseFloat(v.Target, 64)
	if err != nil {
		return v, err
	}
	v.ChangeMargin = strconv.FormatFloat(target/4, 'g', 3, 64)
	play := d["slot"].si - d["flange"].si - d["height"].si
	if !(play > 0) {
		return v, fmt.Errorf("slot %s less flange %s less clamp %s leaves no play: the card would not go in", d["slot"].text, d["flange"].text, d["height"].text)
	}
	thread, err := force.ThreadNamed(v.Thread)
	if err != nil {
		return v, err
	}
	millimetres := func(x float64) string { return strconv.FormatFloat(1e3*x, 'g', 4, 64) + " mm" }
	typed, err := units.Parse(d["torque"].text, "N*m")
	if err != nil {
		return v, err
	}
	v.Travel, v.Bearing, v.Engagement = millimetres(play+0.5e-3), millimetres(1.4*thread.MajorDiameter), millimetres(2*thread.MajorDiameter)
	v.PrevailingLow, v.PrevailingHigh = tomlText(typedAs(typed.Unit, "N*m", 0.04*typed.SI, 2)), tomlText(typedAs(typed.Unit, "N*m", 0.13*typed.SI, 2))
	return v, nil
}

// Source is what stands behind an answer.
func (d Answers) Source(name string) string { return tomlText(d.source(name)) }

func (d Answers) source(name string) string {
	a := d[name]
	switch {
	case a.assumed:
		return "assumed: nothing was answered"
	case a.drawn != "":
		return d["drawing"].text + ", drawn as " + a.drawn
	}
	return d["drawing"].text
}

// toleranceSource is that of an answer whose tolerance was given: no drawing says how many are inside, so that check lists it.
func (d Answers) toleranceSource(name, otherwise string) string {
	return tomlText(d.source(name) + "; assumed: " + otherwise)
}

// Text is an answer in quotes.
func (d Answers) Text(name string) string { return tomlText(d[name].text) }

// Value is an entry with its source.
func (d Answers) Value(name string) string {
	return fmt.Sprintf("{ value = %s, source = %s }", d.Text(name), d.Source(name))
}

// Spread is an entry that scatters by its tolerance, where one was given: of wall and
// power as twice the standard deviation, of sizes on a drawing anywhere inside.
func (d Answers) Spread(name string) string {
	a := d[name]
	switch {
	case a.low != "":
		return fmt.Sprintf("{ shape = \"uniform\", low = %s, high = %s, source = %s }", tomlText(a.low), tomlText(a.high), d.Source(name))
	case a.tolerance == "":
		return d.Value(name)
	case name == "wall" || name == "power":
		return fmt.Sprintf("{ shape = \"normal\", nominal = %s, plus_minus = %s, coverage = 0.95, per = %s, source = %s }", d.Text(name), tomlText(a.tolerance), map[string]string{"wall": `"chassis"`, "power": `"card"`}[name], d.toleranceSource(name, "95 % are inside the tolerance (coverage = 0.95)"))
	}
	return fmt.Sprintf("{ shape = \"uniform\", nominal = %s, plus_minus = %s, source = %s }", d.Text(name), tomlText(a.tolerance), d.Source(name))
}

// Torque scatters with the tool, 95 in 100 inside its tolerance, and is cut at twice that.
func (d Answers) Torque() string {
	a := d["torque"]
	if a.tolerance == "" {
		return d.Value("torque")
	}
	cut := strconv.FormatFloat(min(200*a.share("N*m"), 90), 'g', 3, 64)
	return fmt.Sprintf("{ shape = \"normal\", nominal = %s, plus_minus = %s, coverage = 0.95, low = \"-%s %%\", high = \"+%s %%\", source = %s }", d.Text("torque"), tomlText(a.tolerance), cut, cut, d.toleranceSource("torque", "95 % are inside the tolerance, none beyond twice that (coverage = 0.95; low, high)"))
}

// Roughness is the drawing's limit as the 95th percentile of lots.
func (d Answers) Roughness() string {
	typed, _ := units.Parse(d["roughness"].text, "m") // it was read before
	return fmt.Sprintf("{ shape = \"lognormal\", median = %s, p95 = %s, per = \"lot\", source = %s }", tomlText(typedAs(typed.Unit, "m", 0.5*typed.SI, 3)), d.Text("roughness"), d.Source("roughness"))
}

//go:embed new.toml.tmpl
var newTemplate string

// Study is the study that the answers make, and its text, for a file of that name. What is wrong with answers that do not go
// together is told without the lines of a file that is not written.
func (d Answers) Study(file string) (text []byte, s *study.Study, err error) {
	if text, err = d.text(); err != nil {
		return nil, nil, err
	}
	s, err = study.Parse(file, text, func(string) ([]byte, error) { return nil, fs.ErrNotExist })
	problems := study.Problems{}
	if errors.As(err, &problems) {
		for i := range problems {
			problems[i].File, problems[i].Line = "the answers do not make a study", 0
		}
		err = problems
	}
	return text, s, err
}

func (d Answers) text() ([]byte, error) {
	t, err := template.New("study").Funcs(template.FuncMap{"quote": tomlText}).Parse(newTemplate)
	if err != nil {
		panic("clampodds: study template: " + err.Error())
	}
	values, err := d.values()
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = t.Execute(&b, values)
	return b.Bytes(), err
}

// Interview asks NewQuestions, of a person again after a wrong answer.
type Interview struct {
	In     *bufio.Reader
	Out    io.Writer
	Person bool // a person answers
	ended  bool
}

// introduction is for a person who types.
const introduction = `Enter takes the value in brackets, which the study then calls assumed. Type units, and a tolerance
where there is one: 11.60 mm +- 0.05 mm, 0.375 in +0.005/-0, 6.3 to 6.4 mm, 6 in*lbf +- 5 %, 140 degF +- 5 degF.

`

// Ask takes an answer that is given beforehand under the name of its question; what is wrong with those is told together,
// each as Refused.
func (i *Interview) Ask(flag func(name string) (string, bool)) (Answers, error) {
	all, wrong := Answers{}, []error{}
	for _, q := range NewQuestions {
		text, given := flag(q.Name)
		if !given {
			continue
		}
		a, err := q.Read(text)
		if err != nil {
			wrong = append(wrong, refused(q.Name, "%q: %w", text, err))
		}
		all[q.Name] = a
	}
	if len(wrong) > 0 {
		return nil, errors.Join(wrong...)
	}
	if i.Person {
		fmt.Fprint(i.Out, introduction)
	}
	for _, q := range NewQuestions {
		if _, given := all[q.Name]; given {
			continue
		}
		for {
			text, err := i.line(q)
			if err != nil {
				return nil, err
			}
			a, err := q.Read(text)
			if err == nil {
				all[q.Name] = a
				break
			}
			if !i.Person {
				return nil, fmt.Errorf("%s, %q: %w", q.Text, text, err)
			}
			fmt.Fprintln(i.Out, "  "+err.Error())
		}
	}
	return all, nil
}

// line reads one answer, empty after the end.
func (i *Interview) line(q NewQuestion) (string, error) {
	if i.ended {
		return "", nil
	}
	if i.Person {
		fmt.Fprintf(i.Out, "%s [%s]: ", q.Text, q.Usual)
	}
	text, err := i.In.ReadString('\n')
	if errors.Is(err, io.EOF) {
		i.ended, err = true, nil
	}
	if err != nil {
		return "", files.Failed{Err: err}
	}
	return strings.TrimSpace(strings.TrimPrefix(text, "\ufeff")), nil
}
