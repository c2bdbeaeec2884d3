package question

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var quoted = regexp.MustCompile(`for instance "(.+?)"`)

func asked(t *testing.T, name string) NewQuestion {
	for _, q := range NewQuestions {
		if q.Name == name {
			return q
		}
	}
	t.Fatal(name)
	return NewQuestion{}
}

// What stands on drawings, typed as it stands there. An inch is 25.4 mm, exactly.
func TestNewReadsWhatStandsOnDrawings(t *testing.T) {
	for _, c := range []struct{ name, typed, text, tolerance, low, high string }{
		{"width", "6.4 mm", "6.4 mm", "", "", ""},
		{"width", "6.4 mm ± 0.1", "6.4 mm", "0.1 mm", "", ""},
		{"width", "6.4 +/- 0.1 mm", "6.4 mm", "0.1 mm", "", ""},
		{"width", "6.4 mm +- 2 %", "6.4 mm", "2 %", "", ""},
		{"width", "6.4 mm 0/-0.1", "6.35 mm", "", "6.3 mm", "6.4 mm"},
		{"width", "6.4 mm +0/-0.1 mm", "6.35 mm", "", "6.3 mm", "6.4 mm"},
		{"width", "6.4 mm −0/+0.1", "6.45 mm", "", "6.4 mm", "6.5 mm"},
		{"width", "6.4 mm -0.05/-0.1", "6.325 mm", "", "6.3 mm", "6.35 mm"},
		{"width", "6.4 mm +0.1/+0.05", "6.475 mm", "", "6.45 mm", "6.5 mm"},
		{"width", "6.4 mm +0.1/0", "6.45 mm", "", "6.4 mm", "6.5 mm"},
		{"width", "6.4 +0.1/-0.1 mm", "6.4 mm", "", "6.3 mm", "6.5 mm"},
		{"width", "6.4mm +100um/-50um", "6.425 mm", "", "6.35 mm", "6.5 mm"},
		{"width", "0.250 in +.002 -.001", "0.2505 in", "", "0.249 in", "0.252 in"},
		{"width", "6.3 to 6.4 mm", "6.35 mm", "", "6.3 mm", "6.4 mm"},
		{"width", "6,3 to 6,4 mm", "6.35 mm", "", "6.3 mm", "6.4 mm"},
		{"width", "6,40 mm 0/-0,1", "6.35 mm", "", "6.3 mm", "6.4 mm"},
		{"width", "6.3 mm to 6.4 mm", "6.35 mm", "", "6.3 mm", "6.4 mm"},
		{"width", "6.3…6.4 mm", "6.35 mm", "", "6.3 mm", "6.4 mm"},
		{"width", "6.3 mm .. 6.4 mm", "6.35 mm", "", "6.3 mm", "6.4 mm"},
		{"width", "1/4 in", "0.25 in", "", "", ""},
		{"width", `1/4" ± 1/64"`, "0.25 in", "0.015625 in", "", ""},
		{"width", "1/4 in +1/64/-0", "0.257813 in", "", "0.25 in", "0.265625 in"},
		{"length", "4-13/16 in", "4.8125 in", "", "", ""},
		{"length", "4 13/16 in 0/-1/64", "4.80469 in", "", "4.79688 in", "4.8125 in"},
		{"flatness", "0.03 mm max", "0.03 mm", "", "", ""},
		{"flatness", "max 0.03 mm", "0.03 mm", "", "", ""},
		{"flatness", "max. 0.03mm", "0.03mm", "", "", ""},
		{"flatness", "≤ 0.03 mm", "0.03 mm", "", "", ""},
		{"flatness", "<=.001 in", ".001 in", "", "", ""},
		{"flatness", "flat within .002 in", ".002 in", "", "", ""},
		{"flatness", "flatness 0.03 mm max", "0.03 mm", "", "", ""},
		{"least", "min 5 in-lb", "5 in-lb", "", "", ""},
		{"least", "≥ 0.6 N*m", "0.6 N*m", "", "", ""},
		{"least", "none", "none", "", "", ""},
		{"roughness", "Ra 0.8", "0.8 um", "", "", ""},
		{"roughness", "ra 0.8 um max", "0.8 um", "", "", ""},
		{"roughness", "Ra ≤ 1.6", "1.6 um", "", "", ""},
		{"roughness", "Ra 63 uin", "63 uin", "", "", ""},
		{"torque", "0.60 N*m to 0.70 N*m", "0.65 N*m", "0.05 N*m", "", ""},
		{"torque", "5 to 7 in-lb", "6 in-lb", "1 in-lb", "", ""},
		{"torque", "0.60-0.70 N*m", "0.65 N*m", "0.05 N*m", "", ""},
		{"torque", "0.60 N*m - 0.70 N*m", "0.65 N*m", "0.05 N*m", "", ""},
		{"torque", "0.60–0.70 N·m", "0.65 N·m", "0.05 N·m", "", ""},
		{"torque", "0.60 N*m — 0.70 N*m", "0.65 N*m", "0.05 N*m", "", ""},
		{"torque", "5-7 in-lb", "6 in-lb", "1 in-lb", "", ""},
		{"torque", "5 in-lb - 7 in-lb", "6 in-lb", "1 in-lb", "", ""},
		{"torque", "5 in-lb-7 in-lb", "6 in-lb", "1 in-lb", "", ""},
		{"torque", "5–7 in-lb", "6 in-lb", "1 in-lb", "", ""},
		{"torque", "6 in-lb", "6 in-lb", "", "", ""},
		{"torque", "7e-1 N*m", "7e-1 N*m", "", "", ""},
		{"width", ".250-.252 in", "0.251 in", "", "0.25 in", "0.252 in"},
		{"width", `.250" - .252"`, "0.251 in", "", "0.25 in", "0.252 in"},
		{"width", "15/64-1/4 in", "0.242188 in", "", "0.234375 in", "0.25 in"},
		{"width", "6.3-6.4mm", "6.35 mm", "", "6.3 mm", "6.4 mm"},
		{"width", "6.3–6.4 mm", "6.35 mm", "", "6.3 mm", "6.4 mm"},
		{"width", "6.3‑6.4 mm", "6.35 mm", "", "6.3 mm", "6.4 mm"},
		{"width", "6.4 mm –0.05/–0.1", "6.325 mm", "", "6.3 mm", "6.35 mm"},
		{"wall", "52-58 degC", "55 degC", "3 K", "", ""},
		{"wall", "-5 - 5 degC", "0 degC", "5 K", "", ""},
		{"wall", "-40–-30 degC", "-35 degC", "5 K", "", ""},
		{"power", "76-84 W", "80 W", "4 W", "", ""},
		{"maker", "max 7 in-lbs", "7 in-lbs", "", "", ""},
		{"maker", "none", "none", "", "", ""},
		{"wall", "52 to 58 degC", "55 degC", "3 K", "", ""},
		{"wall", "126 degF to 136 degF", "131 degF", "5 delta degF", "", ""},
		{"power", "76 to 84 W", "80 W", "4 W", "", ""},
		{"limit", "85 degC max", "85 degC", "", "", ""},
	} {
		a, err := asked(t, c.name).Read(c.typed)
		require.NoError(t, err, "%s %s", c.name, c.typed)
		assert.Equal(t, [4]string{c.text, c.tolerance, c.low, c.high}, [4]string{a.text, a.tolerance, a.low, a.high}, "%s %s", c.name, c.typed)
	}
}

// What cannot be meant, or not for sure, is told with what was understood and with what would do.
func TestNewAsksBack(t *testing.T) {
	for _, c := range []struct{ name, typed, says string }{
		{"width", "6.4 mm foo", "forms: 6.4 mm +- 0.1 mm, 6.4 mm +0.1/-0.05, 6.4 mm 0/-0.1, 6.3 to 6.4 mm, 1/4 in"},
		{"width", "6.4 mm max", "give its smallest too"},
		{"width", "6.4 mm +- 7 mm", "understood as 7 mm either way, is as large as 6.4 mm"},
		{"width", "6.4 mm +- 100 %", "as large as 6.4 mm"},
		{"width", "6.4 mm +0.1/-7", "understood as -0.6 mm to 6.5 mm"},
		{"width", "6.4 mm 0.1/-0.2", `"0.1 mm" has no sign`},
		{"width", "6.4 to 6.3 mm", "smaller limit first"},
		{"width", "6.4 mm 0/0", "leaves no size"},
		{"width", "6,400 mm +- 0.1", "the decimal sign is a point"},
		{"width", "6.4 mm 0/-1,000", "the decimal sign is a point"},
		{"width", "6,400 to 6,500 mm", "the decimal sign is a point"},
		{"width", "6.4 m", "allowed is 0.001 m to 0.05 m"},
		{"width", "6.4", `for instance "6.4 mm"`},
		{"slot", ".252/.249 in", `limits are written ".249 to .252 in"`},
		{"slot", "0.252 in / 0.249 in", `limits are written "0.249 to 0.252 in"`},
		{"torque", "5/7 in-lb", `limits are written "5 to 7 in-lb"`},
		{"slot", "6.4 h9", "h9 is a fit of ISO 286"},
		{"slot", "6.4 mm H7/h6", "H7 is a fit of ISO 286"},
		{"slot", "6.4 mm2", "is no unit of length"},
		{"height", ".312 0/-.005", `for instance ".312 0/-.005 in"`},
		{"height", "8 +- 0.05", `for instance "8 +- 0.05 mm"`},
		{"flatness", "about .002 in", `a number and a unit, "1 mm"`},
		{"maker", "min 5 in-lb", "no number is found at the start"},
		{"least", "5 to 7 in-lb", "a tolerance has no place here"},
		{"flatness", "30", `for instance "30 um"`},
		{"flatness", "0.03", `for instance "0.03 mm"`},
		{"width", "6.4 mm -0.1", "smaller limit first, and two that differ: understood as 6.4 mm to 0.1 mm"},
		{"flatness", "0.02-0.03 mm", "a tolerance has no place here"},
		{"flatness", "0.02 to 0.03 mm", "a tolerance has no place here"},
		{"roughness", "0.8", `for instance "0.8 um"`},
		{"roughness", "Ra 63", `write "63 uin" or "63 um"`},
		{"roughness", "Ra 8 max", `write "8 uin" or "8 um"`},
		{"roughness", "0.8 mm", "allowed is 1e-06 mm to 0.1 mm"},
		{"altitude", "9000", `for instance "9000 m"`},
		{"torque", "0.65 N*m +- 6", `would be 6 N*m of 0.65 N*m: is a % forgotten? Write "+- 6 %"; forms`},
		{"torque", "7 in*lbf +- 5", `is a % forgotten? Write "+- 5 %", or "+- 5 in*lbf"`},
		{"torque", "0.65 N*m +0.05/-0", "same either way"},
		{"torque", "0.65", `for instance "0.65 N*m"`},
		{"power", "60 W +- 45", "is a % forgotten?"},
	} {
		_, err := asked(t, c.name).Read(c.typed)
		assert.ErrorContains(t, err, c.says, "%s %s", c.name, c.typed)
	}
}

// A hint of a unit that is missing is taken as it stands.
func TestNewTakesItsOwnHints(t *testing.T) {
	for _, q := range NewQuestions {
		for _, number := range []string{"0.03", "0.8", "3", "30", "300", "9000"} {
			_, err := q.Read(number)
			if err == nil || q.input == "" {
				continue
			}
			hint := quoted.FindStringSubmatch(err.Error())
			if hint == nil {
				continue
			}
			_, err = q.Read(hint[1])
			assert.NoError(t, err, "%s %s", q.Name, number)
		}
	}
}

// A share of the cards, as people say it.
func TestNewReadsAShareOfMany(t *testing.T) {
	for typed, text := range map[string]string{"1/1000": "0.001", "2 in 1000": "0.002", "1:500": "0.002", "2e-3": "2e-3", "0.2 %": "0.002"} {
		a, err := asked(t, "target").Read(typed)
		require.NoError(t, err, typed)
		assert.Equal(t, text, a.text, typed)
	}
	for _, wrong := range []string{"1/0", "1000/1", "1/x", "0/5"} {
		_, err := asked(t, "target").Read(wrong)
		assert.ErrorContains(t, err, "2/1000", wrong)
	}
}
