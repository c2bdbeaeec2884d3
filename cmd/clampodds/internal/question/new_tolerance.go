package question

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/joint/card"
)

// The forms of a value on a drawing: inches by a double prime and in fractions; a roughness with its letters; a largest
// value; two limits; a tolerance whose sides differ, as +0.1/-0.05, 0/-0.1, -0.05/-0.1 or +.002 -.000.
var (
	inchMark   = regexp.MustCompile(`([0-9.])\s*["”″]`)
	fraction   = regexp.MustCompile(`(^|[^0-9.])(?:([0-9]+)[ -])?([0-9]+)/(2|4|8|16|32|64)\b`)
	letters    = regexp.MustCompile(`(?i)^Ra\s*=?\s*(.+)$`)
	smallest   = regexp.MustCompile(`(?i)^(?:(?:min\.?|at least)\s+|≥\s*|>=?\s*)(.+)$|^(.+?)\s*\bmin\.?$`)
	largest    = regexp.MustCompile(`(?i)^(?:(?:max\.?|up to)\s+|≤\s*|<=?\s*)(.+)$|^(.+?)\s*\bmax\.?$`)
	limitsOf   = regexp.MustCompile(`^(.*[^ .])(?:\s+to\s+|\s*(?:\.\.\.?|…)\s*)(\S.*)$`)
	hyphened   = regexp.MustCompile(`^([+-]?[0-9.]+(?:[^-0-9.].*?)?)\s*-\s*([+-]?[0-9.].*)$`) // a unit may hold a hyphen, in-lb, and no number behind it
	deviation  = `([0-9.,]+(?:\s*[^-0-9+/\s][^-0-9+/]*)?)`
	leading    = regexp.MustCompile(`^[0-9]*\.?[0-9]+`)
	hintedUnit = regexp.MustCompile(`^for instance "[0-9.eE+-]+ (.+)"$`)
	// What stands on drawings and is not taken: limits with a slash between them, and a fit of ISO 286, whose deviations go with the size.
	slashed  = regexp.MustCompile(`^([0-9.]+)\s*([^0-9\s/]*)\s*/\s*([0-9.]+)\s*([^0-9\s/]*)$`)
	isoFit   = regexp.MustCompile(`^[0-9.]+\s*(?:mm\s*)?((?:[A-Z]{1,2}|[a-z]{1,2})(?:[5-9]|1[0-8]))(?:\s*/.*)?$`)
	said     = regexp.MustCompile(`(?i)^(?:flat(?:ness)?|within|to within)\b[\s:=]*(?:(?:of|to|within)\s+)*`)
	twoSided = regexp.MustCompile(`^(.+?)(?:\s*([+-])\s*|\s+)` + deviation + `\s*(?:/\s*([+-]?)|([+-]))\s*` + deviation + `$`)
)

// plain writes an answer with the characters of a study: signs of one byte, inches by their name and as decimals.
func (q NewQuestion) plain(text string) string {
	text = strings.NewReplacer("±", "+-", "+/-", "+-", "−", "-", "–", "-", "—", "-", "‐", "-", "‑", "-", "‒", "-").Replace(strings.TrimSpace(text))
	text = units.DecimalPoint(text)
	if q.quantity() != "m" {
		return text
	}
	text = fraction.ReplaceAllStringFunc(text, func(found string) string {
		m := fraction.FindStringSubmatch(found)
		whole, _ := strconv.Atoi(m[2]) // none is 0
		over, _ := strconv.Atoi(m[3])
		under, _ := strconv.Atoi(m[4])
		return m[1] + strconv.FormatFloat(float64(whole)+float64(over)/float64(under), 'f', -1, 64)
	})
	return inchMark.ReplaceAllString(text, "$1 in")
}

func (q NewQuestion) parameter() card.Parameter { return dist.Must(study.AsInput(q.input)) }
func (q NewQuestion) quantity() units.Quantity  { return units.Quantity(q.parameter().Unit) }

// read understands a quantity, with its tolerance where one may follow.
func (a *NewAnswer) read(q NewQuestion, typed string) error {
	text, err := q.value(q.plain(typed))
	if err == nil {
		err = q.notLimits(text)
	}
	if err != nil {
		return err
	}
	if err = a.understand(q, typed, text); err != nil {
		return q.unitBehind(text, err)
	}
	return nil
}

// unitBehind is the error of an answer whose unit is missing, with the whole answer in the hint, its tolerance too, where it is taken so.
func (q NewQuestion) unitBehind(text string, err error) error {
	wrong, missing, number := new(units.Error), new(units.Error), leading.FindString(text)
	if !errors.As(err, &wrong) || number == "" || number == text {
		return err
	}
	if _, alone := units.Parse(number, q.quantity()); !errors.As(q.hinted(alone), &missing) || missing.Message != wrong.Message {
		return err
	}
	if m := hintedUnit.FindStringSubmatch(missing.Hint); m != nil {
		whole := text + " " + m[1]
		if new(NewAnswer).understand(q, whole, whole) == nil {
			return &units.Error{Message: wrong.Message, Hint: fmt.Sprintf("for instance %q", whole)}
		}
	}
	return err
}

// understand takes the text of an answer.
func (a *NewAnswer) understand(q NewQuestion, typed, text string) (err error) {
	a.text = text
	if nominal, either, found := strings.Cut(text, "+-"); found {
		err = a.either(q, nominal, either)
	} else if m := limitsOf.FindStringSubmatch(text); m != nil {
		err = a.limits(q, m[1], m[2])
	} else if m := twoSided.FindStringSubmatch(text); m != nil {
		err = a.sides(q, m[1], m[2]+m[3], m[4]+m[5]+m[6])
	} else if m := hyphened.FindStringSubmatch(text); m != nil && !q.isOne(text) {
		err = a.limits(q, m[1], m[2])
	}
	if err != nil {
		return err
	}
	value, err := units.Parse(a.text, q.quantity())
	if err != nil {
		return q.hinted(err)
	}
	p := q.parameter()
	if !(value.SI >= p.Low && value.SI <= p.High) {
		return fmt.Errorf("allowed is %s to %s", units.Format(p.Low, q.quantity(), value.Unit), units.Format(p.High, q.quantity(), value.Unit))
	}
	a.text, a.si = value.Typed, value.SI
	if typed != text || a.low != "" || a.tolerance != "" && !strings.Contains(text, "+-") {
		a.drawn = typed
	}
	return nil
}

// isOne says that a text is one quantity: 1e-3 m holds a hyphen, and is no range.
func (q NewQuestion) isOne(text string) bool {
	_, err := units.Parse(text, q.quantity())
	return err == nil
}

// value is the text without the letters of a roughness and without the mark of a largest value. A bare number behind the
// letters is in um on a metric drawing and in uin on an inch drawing; which one shows where it is not whole, since the inch
// series is 1, 2, 4, 8, 16, 32, 63 and so on and the metric one 0.8, 1.6, 3.2 (common practice, no source).
func (q NewQuestion) value(text string) (string, error) {
	named := q.input == "clamp.roughness" && letters.MatchString(text)
	if named {
		text = letters.FindStringSubmatch(text)[1]
	}
	if q.Name == "flatness" {
		text = said.ReplaceAllString(text, "")
	}
	if m := smallest.FindStringSubmatch(text); m != nil && q.least {
		text = m[1] + m[2]
	}
	if m := largest.FindStringSubmatch(text); m != nil {
		text = m[1] + m[2]
		if !q.most {
			return text, errors.New("a largest value is not enough here: give its smallest too, or a tolerance")
		}
	}
	if named && bare(text) {
		if _, err := strconv.Atoi(text); err == nil {
			return text, fmt.Errorf("the unit is missing: write %q or %q", text+" uin", text+" um")
		}
		text += " um"
	}
	return text, nil
}

// notLimits refuses what is meant as limits and does not say them.
func (q NewQuestion) notLimits(text string) error {
	if m := slashed.FindStringSubmatch(text); m != nil && q.spreads {
		one, _ := strconv.ParseFloat(m[1], 64)
		other, _ := strconv.ParseFloat(m[3], 64)
		low, high := m[1], m[3]
		if one > other {
			low, high = high, low
		}
		unit := strings.TrimSpace(m[4])
		if unit == "" {
			unit = strings.TrimSpace(m[2])
		}
		return fmt.Errorf("two values with a slash between them are not taken: limits are written %q", strings.TrimSpace(low+" to "+high+" "+unit))
	}
	if m := isoFit.FindStringSubmatch(text); m != nil && q.quantity() == "m" {
		return fmt.Errorf("%s is a fit of ISO 286, whose limits go with the size and are not in this tool: write them, as in %q", m[1], "6.3 to 6.4 mm")
	}
	return nil
}

// either takes a tolerance that is the same either way.
func (a *NewAnswer) either(q NewQuestion, nominal, tolerance string) error {
	if !q.spreads {
		return q.noTolerance()
	}
	tolerance = strings.TrimSpace(tolerance)
	a.text, a.tolerance = strings.TrimSpace(nominal), tolerance
	if _, err := units.Parse(a.text, q.quantity()); err != nil && !bare(a.text) {
		return err
	}
	without := bare(a.tolerance)
	if err := q.oneUnit(&a.text, &a.tolerance); err != nil {
		return err
	}
	value, err := units.Parse(a.text, q.quantity())
	if err != nil {
		return q.hinted(err)
	}
	a.si = value.SI
	switch share := a.share(q.quantity()); {
	case q.quantity() == units.Temperature: // its zero is no end
	case without && share > 0.5:
		meant := fmt.Sprintf("the tolerance %q without a unit would be %s of %s: is a %% forgotten? Write \"+- %s %%\"", tolerance, a.tolerance, a.text, tolerance)
		if share < 1 {
			meant += fmt.Sprintf(", or \"+- %s\"", a.tolerance)
		}
		return errors.New(meant)
	case !(share < 1):
		return fmt.Errorf("the tolerance, understood as %s either way, is as large as %s itself", a.tolerance, a.text)
	}
	return nil
}

func (q NewQuestion) noTolerance() error {
	return fmt.Errorf("want one value, such as %s: a tolerance has no place here", q.Usual)
}

// limits takes the two ends of a size or a range.
func (a *NewAnswer) limits(q NewQuestion, from, to string) error {
	if !q.spreads {
		return q.noTolerance()
	}
	read, err := q.alike(from, to)
	if err != nil {
		return err
	}
	low, high := read[0], read[1]
	if !(low.SI < high.SI) {
		return fmt.Errorf("want the smaller limit first, and two that differ: understood as %s to %s", low.Typed, high.Typed)
	}
	a.between(q, low.Unit, low.SI, high.SI)
	if q.uneven {
		return nil
	}
	unit := low.Unit
	if q.quantity() == units.Temperature {
		unit = units.DifferenceUnit(unit)
	}
	a.low, a.high, a.tolerance = "", "", typedAs(unit, q.quantity().Difference(), (high.SI-low.SI)/2, 6)
	return nil
}

// sides takes a tolerance with two sides, each with its sign; 0 needs none.
func (a *NewAnswer) sides(q NewQuestion, nominal, one, other string) error {
	if !q.uneven {
		return fmt.Errorf("want a tolerance that is the same either way here, such as %s", q.Usual)
	}
	read, err := q.alike(nominal, one, other)
	if err != nil {
		return err
	}
	size, first, second := read[0], read[1], read[2]
	for _, side := range []units.Value{first, second} {
		if side.SI != 0 && strings.IndexAny(side.Typed, "+-") != 0 {
			return fmt.Errorf("the tolerance %q has no sign", side.Typed)
		}
	}
	low, high := size.SI+min(first.SI, second.SI), size.SI+max(first.SI, second.SI)
	if !(low > 0 && low < high) {
		return fmt.Errorf("the tolerance, understood as %s to %s, leaves no size", typedAs(size.Unit, "m", low, 6), typedAs(size.Unit, "m", high, 6))
	}
	a.between(q, size.Unit, low, high)
	return nil
}

// between sets limits and their middle.
func (a *NewAnswer) between(q NewQuestion, unit string, low, high float64) {
	a.low, a.high = typedAs(unit, q.quantity(), low, 6), typedAs(unit, q.quantity(), high, 6)
	a.text = typedAs(unit, q.quantity(), (low+high)/2, 6)
}

// alike reads quantities; those without a unit have that of the first with one.
func (q NewQuestion) alike(texts ...string) (list []units.Value, err error) {
	unit := ""
	for _, text := range texts {
		if !bare(text) {
			unit = q.unitOf(text)
			break
		}
	}
	for _, text := range texts {
		if bare(text) {
			text = strings.TrimSpace(text) + " " + unit
		}
		value, err := units.Parse(text, q.quantity())
		if err != nil {
			return nil, q.hinted(err)
		}
		list = append(list, value)
	}
	return list, nil
}

// hinted names, where the unit is missing, one that gives an ordinary value.
func (q NewQuestion) hinted(err error) error {
	wrong := new(units.Error)
	if !errors.As(err, &wrong) {
		return err
	}
	p := q.parameter()
	return wrong.Within(q.quantity(), [2]float64{p.UsualLow, p.UsualHigh}, [2]float64{p.Low, p.High})
}

// oneUnit gives a nominal and a tolerance the unit that is written behind one of them, and
// judges the tolerance: a share, or the quantity's own unit.
func (q NewQuestion) oneUnit(nominal, tolerance *string) error {
	if share, ok := strings.CutSuffix(*tolerance, "%"); ok {
		return q.percent(*tolerance, share)
	}
	if bare(*tolerance) {
		*tolerance += " " + q.unitOf(*nominal)
	} else if bare(*nominal) {
		*nominal = strings.TrimSpace(*nominal) + " " + q.unitOf(*tolerance)
	}
	if value, err := units.Parse(*tolerance, q.quantity()); q.quantity() == units.Temperature && err == nil {
		*tolerance = strings.TrimSpace(strings.TrimSuffix(*tolerance, value.Unit)) + " " + units.DifferenceUnit(value.Unit) // as far as one degree goes
	}
	value, err := units.Parse(*tolerance, q.quantity().Difference())
	if err == nil && !(value.SI >= 0) {
		err = fmt.Errorf("tolerance %q: want one above 0", *tolerance)
	}
	return err
}

func (q NewQuestion) percent(tolerance, share string) error {
	if x, err := strconv.ParseFloat(strings.TrimSpace(share), 64); err != nil || !(x > 0) {
		return fmt.Errorf("tolerance %q: want a number above 0 before %%", tolerance)
	}
	if q.quantity() == units.Temperature {
		return fmt.Errorf("tolerance %q: that of a temperature is one in K", tolerance)
	}
	return nil
}

// share is a tolerance either way over its nominal.
func (a NewAnswer) share(q units.Quantity) float64 {
	if percent, ok := strings.CutSuffix(a.tolerance, "%"); ok {
		x, _ := strconv.ParseFloat(strings.TrimSpace(percent), 64) // it was read before
		return x / 100
	}
	value, _ := units.Parse(a.tolerance, q.Difference())
	return value.SI / a.si
}

// bare says that a text is a number without a unit.
func bare(text string) bool {
	_, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	return err == nil
}

// unitOf is the unit of a text, empty where it has none.
func (q NewQuestion) unitOf(text string) string {
	value, err := units.Parse(text, q.quantity())
	if err != nil {
		value, _ = units.Parse(text, q.quantity().Difference())
	}
	return value.Unit
}

// typedAs is a value with its unit, as a study has it.
func typedAs(unit string, q units.Quantity, si float64, digits int) string {
	_, of := units.Shown(si, q, unit)
	return strconv.FormatFloat(of(si), 'g', digits, 64) + " " + unit
}
