package validation

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/reports/outside"
)

// A case says what it comes to, and is refused when it does not.
func TestACaseFails(t *testing.T) {
	point := Case{Expected: 100, Obtained: 104, Relative: 0.05}
	band := Case{Low: 0, High: 5, Obtained: 4}
	miss := Case{Expected: 100, Obtained: 50, Factor: 1.25, Differs: "no gas", NoWorse: 2.1}
	with := func(c Case, change func(c *Case)) Case { change(&c); return c }
	for name, c := range map[string]struct {
		c    Case
		want string
	}{
		"agrees":                 {point, ""},
		"outside":                {with(point, func(c *Case) { c.Obtained = 106 }), "obtained 106 , expected 100 within 0.05 relative"},
		"not a number":           {with(point, func(c *Case) { c.Obtained = math.NaN() }), "obtained NaN"},
		"inside a range":         {band, ""},
		"outside a range":        {with(band, func(c *Case) { c.Obtained = 5.1 }), "expected 0 to 5 within the range"},
		"a wide factor":          {with(point, func(c *Case) { c.Relative, c.Factor = 0, 2 }), "says nothing"},
		"a known miss":           {miss, ""},
		"a miss that grew":       {with(miss, func(c *Case) { c.Obtained = 40 }), "off by a factor of 2.5, more than the 2.1"},
		"a miss held loosely":    {with(miss, func(c *Case) { c.NoWorse = 4 }), "off by a factor of 2 only: hold it to less than 4"},
		"a miss that is gone":    {with(miss, func(c *Case) { c.Obtained = 99 }), "agrees now: take Differs and NoWorse out"},
		"a miss that is unheld":  {with(miss, func(c *Case) { c.NoWorse = 0 }), "more than the 0 it is held to"},
		"a miss without a ratio": {with(miss, func(c *Case) { c.Obtained = -50 }), "off by a factor of +Inf"},
		"not computed":           {Case{Absent: "no such gas"}, ""},
	} {
		if err := c.c.problem(); c.want == "" {
			assert.NoError(t, err, name)
		} else {
			assert.ErrorContains(t, err, c.want, name)
		}
	}
}

// What a regression looks like: the verdict stays, the number moves.
func TestAMovedValueIsNoticed(t *testing.T) {
	section := func(cases ...Case) (s outside.Section) {
		for _, c := range cases {
			s.Checks = append(s.Checks, c.check())
		}
		return s
	}
	before := Case{Name: "h", Expected: 3640, Obtained: 3651.1758, Factor: 1.25, Reason: "scatter"}
	table := section(before)
	now := before
	assert.Empty(t, moved(&table, section(now)))
	now.Obtained *= 1 + 2e-6
	assert.Empty(t, moved(&table, section(now)), "another processor's rounding")
	now.Obtained *= 1 + 5e-5
	assert.Equal(t, []string{"h: 3651.18 before, 3651.37 now"}, moved(&table, section(now)))
	now = before
	now.Reason = "another"
	assert.Equal(t, []string{"h: its words or its expected value changed"}, moved(&table, section(now)))
	assert.Equal(t, []string{"it has 1 checks, now 2"}, moved(&table, section(before, before)))
	assert.Equal(t, []string{"it is not there"}, moved(nil, table))
}
