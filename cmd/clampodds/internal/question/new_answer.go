package question

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/joint/force"
)

// NewAnswer is a value as typed with its tolerance; assumed where nothing was answered.
type NewAnswer struct {
	text string
	// tolerance holds either way, or upward where minus says how far it goes down.
	tolerance, minus string
	si               float64
	assumed          bool
}

// Read understands an answer; an empty one is the usual one, assumed.
func (q NewQuestion) Read(text string) (NewAnswer, error) {
	a := NewAnswer{assumed: text == ""}
	if a.assumed {
		text = q.Usual
	}
	var err error
	switch {
	case len(q.words) > 0:
		a.text, err = q.word(text)
	case q.check != nil:
		a.text, err = q.check(text)
	case q.quantity == "" || q.Usual == noAnswer && text == noAnswer:
		a.text = text
	default:
		err = a.read(q, text)
	}
	return a, err
}

// word is the one meant: "two face" is "two-face".
func (q NewQuestion) word(text string) (string, error) {
	for _, w := range q.words {
		if strings.HasPrefix(w, strings.ToLower(strings.ReplaceAll(text, " ", "-"))) {
			return w, nil
		}
	}
	return text, fmt.Errorf("want one of %s", strings.Join(q.words, ", "))
}

// Drawings mark inches by a double prime, and write a tolerance with two sides as +0.1/-0.05.
var (
	inchMark = regexp.MustCompile(`([0-9.])\s*["”″]`)
	twoSided = regexp.MustCompile(`^(.+?)\s+\+\s*(\S.*?)\s*/?\s*-\s*(\S.*)$`)
)

// read understands a quantity, with its tolerance where one may follow.
func (a *NewAnswer) read(q NewQuestion, text string) error {
	text = strings.ReplaceAll(strings.ReplaceAll(text, "±", "+-"), "−", "-")
	if q.quantity == "m" {
		text = inchMark.ReplaceAllString(text, "$1 in")
	}
	a.text = text
	if nominal, either, found := strings.Cut(text, "+-"); found {
		a.text, a.tolerance = nominal, either
	} else if m := twoSided.FindStringSubmatch(text); m != nil {
		a.text, a.tolerance, a.minus = m[1], m[2], m[3]
		if !q.uneven {
			return fmt.Errorf("want a tolerance that is the same either way here, such as %s", q.Usual)
		}
	}
	if a.tolerance != "" && !q.spreads {
		return fmt.Errorf("want one value, such as %s: a tolerance has no place here", q.Usual)
	}
	for _, side := range []*string{&a.tolerance, &a.minus} {
		if *side = strings.TrimSpace(*side); *side == "" {
			continue
		}
		if err := q.oneUnit(&a.text, side); err != nil {
			return err
		}
	}
	a.text = strings.TrimSpace(a.text)
	value, err := units.Parse(a.text, q.quantity)
	a.si = value.SI
	return err
}

// oneUnit gives a nominal and a tolerance the unit that is written behind one of them, and
// judges the tolerance: a share, or the quantity's own unit.
func (q NewQuestion) oneUnit(nominal, tolerance *string) error {
	if share, ok := strings.CutSuffix(*tolerance, "%"); ok {
		return q.share(*tolerance, share)
	}
	if bare(*tolerance) {
		*tolerance += " " + q.unitOf(*nominal)
	} else if bare(*nominal) {
		*nominal = strings.TrimSpace(*nominal) + " " + q.unitOf(*tolerance)
	}
	if value, err := units.Parse(*tolerance, q.quantity); q.quantity == "K" && err == nil && value.Unit != "K" {
		*tolerance = strings.TrimSpace(strings.TrimSuffix(*tolerance, value.Unit)) + " delta " + value.Unit // as far as one degree goes
	}
	value, err := units.Parse(*tolerance, q.quantity.Difference())
	if err == nil && !(value.SI >= 0) {
		err = fmt.Errorf("tolerance %q: want one above 0", *tolerance)
	}
	return err
}

func (q NewQuestion) share(tolerance, share string) error {
	if x, err := strconv.ParseFloat(strings.TrimSpace(share), 64); err != nil || !(x > 0) {
		return fmt.Errorf("tolerance %q: want a number above 0 before %%", tolerance)
	}
	if q.quantity == "K" {
		return fmt.Errorf("tolerance %q: that of a temperature is one in K", tolerance)
	}
	return nil
}

// bare says that a text is a number without a unit.
func bare(text string) bool {
	_, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	return err == nil
}

// unitOf is the unit of a text, empty where it has none.
func (q NewQuestion) unitOf(text string) string {
	value, err := units.Parse(text, q.quantity)
	if err != nil {
		value, _ = units.Parse(text, q.quantity.Difference())
	}
	return value.Unit
}

func wholeNumber(text string) (string, error) {
	if n, err := strconv.Atoi(text); err != nil || n < 1 {
		return text, fmt.Errorf("want a whole number")
	}
	return text, nil
}

func knownThread(text string) (string, error) {
	_, err := force.ThreadNamed(text)
	return text, err
}

func probability(text string) (string, error) {
	number, percent := strings.CutSuffix(text, "%")
	p, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if percent {
		p /= 100
		text = strconv.FormatFloat(p, 'g', 6, 64)
	}
	if err != nil || !(p > 0 && p < 1) {
		return text, fmt.Errorf("want a probability above 0 and below 1, such as 2e-3 or 0.2 %%")
	}
	return text, nil
}
