package units

import (
	"fmt"
	"strings"

	"gonum.org/v1/gonum/unit"
)

// maxPower bounds the powers of a unit; m2 and s-2 are what occurs.
const maxPower = 4

// compile reads a unit expression.
func compile(text string) (compiled, error) {
	p := parser{rest: torqueInPounds(strings.TrimSpace(spellings.Replace(text)))}
	if resistance.MatchString(p.rest) {
		p.rest = "K/W"
	}
	p.result.scale = unit.New(1, unit.Dimensions{})
	if err := p.product(1); err != nil {
		return compiled{}, err
	}
	if p.rest != "" {
		return compiled{}, fmt.Errorf("the unit %q has a bracket too many", text)
	}
	if p.count != 1 {
		p.result.alone = nil
	}
	return p.result, nil
}

// parser walks over a unit expression and multiplies what it finds into result.
type parser struct {
	rest   string
	result compiled
	count  int // factors seen
}

// product reads factors up to the end or a closing bracket; sign is -1 when the
// product as a whole divides. It may be empty, or start with a slash as in /K.
func (p *parser) product(sign int) error {
	slash := false
	for first := true; ; first = false {
		p.space()
		operator := byte(0)
		if p.rest != "" && (p.rest[0] == '/' || !first && strings.IndexByte("*.-", p.rest[0]) >= 0) {
			operator = p.rest[0]
			p.rest = p.rest[1:]
			p.space()
		}
		if operator == '/' {
			if !slash { // everything after the first slash divides
				sign, slash = -sign, true
			}
			p.divisorMetreKelvin()
		}
		if p.rest == "" || p.rest[0] == ')' {
			if operator != 0 {
				return fmt.Errorf("a unit is missing behind %c", operator)
			}
			return nil
		}
		if err := p.factor(sign); err != nil {
			return err
		}
	}
}

func (p *parser) space() { p.rest = strings.TrimLeft(p.rest, " ") }

// divisorMetreKelvin lets mK directly behind a slash be metre kelvin, as in
// W/mK: nobody divides by a millikelvin.
func (p *parser) divisorMetreKelvin() {
	if word(p.rest) == "mK" {
		p.rest = "m*" + p.rest[1:]
	}
}

// factor reads a bracket or one symbol with its power.
func (p *parser) factor(sign int) error {
	if p.rest[0] == '(' {
		p.rest = p.rest[1:]
		if err := p.product(sign); err != nil {
			return err
		}
		if p.rest == "" {
			return fmt.Errorf("a bracket of the unit is not closed")
		}
		p.rest = p.rest[1:]
		p.count++ // a bracketed symbol does not stand alone
		return nil
	}
	name := word(p.rest)
	if name == "" {
		return fmt.Errorf("%q is no unit", p.rest)
	}
	p.rest = p.rest[len(name):]
	for _, arm := range []string{"m", "cm", "mm"} {
		// N*m written in one word, with or without a prefix: Nm, mNm, cNm, Ncm.
		if body, ok := strings.CutSuffix(name, "N"+arm); ok {
			name, p.rest = body+"N", "*"+arm+p.rest
			break
		}
	}
	s, ok := find(name)
	if !ok {
		return &Error{Message: fmt.Sprintf("the unit %q is not known", name), Hint: misspellings[name]}
	}
	power, err := p.power()
	if err != nil {
		return err
	}
	p.multiply(s, sign*power)
	return nil
}

// word returns the letters (or the 1 or %) that text starts with.
func word(text string) string {
	if text != "" && (text[0] == '1' || text[0] == '%') {
		return text[:1]
	}
	end := strings.IndexFunc(text, func(r rune) bool { return (r < 'a' || r > 'z') && (r < 'A' || r > 'Z') })
	if end < 0 {
		return text
	}
	return text[:end]
}

// power reads an optional power: 2, ^2, -2, ^-2.
func (p *parser) power() (int, error) {
	digits := strings.TrimPrefix(p.rest, "^")
	marked := digits != p.rest
	sign := 1
	if rest, ok := strings.CutPrefix(digits, "-"); ok && rest != "" && rest[0] >= '0' && rest[0] <= '9' {
		sign, digits = -1, rest
	}
	if digits == "" || digits[0] < '0' || digits[0] > '9' {
		if marked {
			return 0, fmt.Errorf("a power is missing behind ^")
		}
		return 1, nil
	}
	power := int(digits[0] - '0')
	p.rest = digits[1:]
	if power < 1 || power > maxPower || p.rest != "" && p.rest[0] >= '0' && p.rest[0] <= '9' {
		return 0, fmt.Errorf("a power of a unit is 1 to %d", maxPower)
	}
	return sign * power, nil
}

// multiply takes s^power into the result.
func (p *parser) multiply(s symbol, power int) {
	p.count++
	one := unit.New(s.factor, s.dimensions)
	for range max(power, -power) {
		if power > 0 {
			p.result.scale.Mul(one)
		} else {
			p.result.scale.Div(one)
		}
	}
	p.result.tens += power * s.tens
	p.result.inch = p.result.inch || s.inch
	if power == 1 {
		p.result.alone = &s
	} else {
		p.count++
	}
}
