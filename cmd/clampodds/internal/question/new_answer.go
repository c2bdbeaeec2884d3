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
	// tolerance holds either way; low and high are the limits of a size whose two sides differ, text then lies in their
	// middle.
	tolerance, low, high string
	// drawn is what was typed, where the others do not have it word by word.
	drawn   string
	si      float64
	assumed bool
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
	case q.input == "" || q.Usual == noAnswer && text == noAnswer:
		a.text = text
	default:
		if err = a.read(q, text); err != nil {
			err = fmt.Errorf("%w; forms: %s", err, q.forms)
		}
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

// ofMany is a share as one of so many: 1/1000, 2 in 1000.
var ofMany = regexp.MustCompile(`^([0-9.]+)\s*(?:/|in|of|:)\s*([0-9.eE]+)$`)

func probability(text string) (string, error) {
	text = units.DecimalPoint(text)
	number, percent := strings.CutSuffix(text, "%")
	p, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if m := ofMany.FindStringSubmatch(text); m != nil {
		var of float64
		if p, err = strconv.ParseFloat(m[1], 64); err == nil {
			of, err = strconv.ParseFloat(m[2], 64)
		}
		p /= of
		text = strconv.FormatFloat(p, 'g', 6, 64)
	}
	if percent {
		p /= 100
		text = strconv.FormatFloat(p, 'g', 6, 64)
	}
	if err != nil || !(p > 0 && p < 1) {
		return text, fmt.Errorf("want a probability above 0 and below 1, such as 2e-3, 0.2 %% or 2/1000")
	}
	return text, nil
}
