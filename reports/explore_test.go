package reports

import (
	"bytes"
	"math"
	"regexp"
	"strconv"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// explored is an Explore of three torques and three limits in two conditions. The
// numbers are made up; the screw is never seen to exceed at the lowest torque.
func explored() *Explore {
	celsius := Unit{"°C", func(k float64) float64 { return k - 273.15 }}
	one := Unit{"", func(x float64) float64 { return x }}
	e := &Explore{Torques: []float64{0.6, 0.7, 0.8}, Most: 0.735, Now: 1, Factors: []float64{0.8, 1, 1.2, 1.4}, Shown: Unit{"N·m", one.Of}, Steps: 5, Cards: 20000, Level: 0.95}
	point := func(p float64) ExplorePoint { return ExplorePoint{p, Interval{Low: p * 0.7, High: p * 1.5}} }
	for i, name := range []string{"as written", "hot day"} {
		c := ExploreCondition{Name: name, Requirements: []ExploreRequirement{{Label: "screw stress", Limit: 1, Shown: one, Target: 1e-3,
			Points: []ExplorePoint{{0, Interval{High: 1.5e-4}}, point(4e-4), point(0.02)}, AtFactors: []ExplorePoint{point(4e-4), point(4e-4), point(4e-4), point(4e-4)}}}}
		for k := range 3 {
			q := ExploreRequirement{Label: "hottest spot", Limit: 273.15 + 84 + float64(k), Shown: celsius, Target: 2e-3, Moved: true, Own: k == 1}
			for t := range 3 {
				q.Points = append(q.Points, point(3e-3*math.Exp(-0.7*float64(k)-0.5*float64(t)+float64(i))))
			}
			for f := range e.Factors {
				q.AtFactors = append(q.AtFactors, point(8e-3*math.Exp(-0.7*float64(k)-0.9*float64(f)+float64(i))))
			}
			c.Requirements = append(c.Requirements, q)
		}
		e.Conditions = append(e.Conditions, c)
	}
	return e
}

// shown are the rows of the table below the sliders.
func (v *tab) shown() [][]string {
	return ask[[][]string](v, `[...document.querySelectorAll('#explore-body tr')].map(r => [...r.cells].map(c => c.textContent))`)
}

// slide moves a slider as a pointer does.
func (v *tab) slide(id string, to int) {
	ask[bool](v, `(() => { const s = document.getElementById('explore-`+id+`'); s.value = `+strconv.Itoa(to)+`; s.dispatchEvent(new Event('input')); return true })()`)
}

// What is allowed is told of the torques that are explored.
func TestExploredTorquesThatAreAllowed(t *testing.T) {
	e := explored()
	e.Least, e.Most = 0.65, 0.75
	assert.Equal(t, "The clamp maker allows, with the tool's scatter, settings from 0.650 up to 0.750 N·m, whatever the targets say.", e.allowed())
	for _, one := range [][2]float64{{0.81, 0}, {0, 0.59}, {0.75, 0.65}} {
		e.Least, e.Most = one[0], one[1]
		assert.Contains(t, e.allowed(), "none of these torques")
	}
	e.Least, e.Most = 0, 0
	assert.Empty(t, e.allowed())
}

func TestExploreShowsTheNumbersOfTheTable(t *testing.T) {
	d, e := Document{Title: "explored"}, explored()
	d.Add(e, e.Table())
	page := pageFile(t, d)
	v := open(t, page)
	_, problems := v.seen()
	require.Empty(t, problems, "the policy lets the script run, and nothing is complained of")

	// At every torque, or contact factor, and limit that was computed: the very texts of the tables.
	same := func(limit int, of func(ExploreRequirement) ExplorePoint, at string) {
		v.slide("limit", limit)
		var want [][]string
		for _, i := range []int{1 + limit, 0} { // the limit that is moved comes first
			for _, c := range e.Conditions {
				q := c.Requirements[i]
				want = append(want, append([]string{q.title(), c.Name}, of(q).cells()...))
			}
		}
		var got [][]string
		for _, row := range v.shown() {
			got = append(got, row[:5])
		}
		assert.Equal(t, want, got, "%s, limit %d", at, limit)
	}
	for limit := range 3 {
		for i := range e.Factors {
			v.slide("factor", 1+e.Steps*i)
			same(limit, func(q ExploreRequirement) ExplorePoint { return q.AtFactors[i] }, "factor "+e.factor(i))
		}
		for i := range e.Torques {
			v.slide("torque", e.Steps*i)
			same(limit, func(q ExploreRequirement) ExplorePoint { return q.Points[i] }, "torque "+e.torque(i))
		}
	}

	// Between two torques: each bound between its own.
	v.slide("limit", 1)
	v.slide("torque", 7)
	row := v.shown()[0]
	for i, of := range []func(p ExplorePoint) float64{func(p ExplorePoint) float64 { return p.Value }, func(p ExplorePoint) float64 { return p.Low }, func(p ExplorePoint) float64 { return p.High }} {
		x, err := strconv.ParseFloat(row[2+i], 64)
		require.NoError(t, err, row[2+i])
		points := e.Conditions[0].Requirements[2].Points
		want := math.Exp(0.6*math.Log(of(points[1])) + 0.4*math.Log(of(points[2])))
		assert.InEpsilon(t, want, x, 0.06, "two digits are shown") // catches a bound taken from either end, 12 % off
	}
	status := ask[string](v, `document.getElementById('explore-status').textContent`)
	assert.Contains(t, status, "Explored at 0.740 N·m and 85 °C: not allowed by the clamp maker, with the tool’s scatter; by the targets alone a target is missed.", "the screw, on the way to the highest torque")

	// Between two factors likewise, at the study's torque, to which its slider goes back; and
	// the factor to the study's own when the torque is moved.
	v.slide("factor", 3)
	x, err := strconv.ParseFloat(v.shown()[0][2], 64)
	require.NoError(t, err)
	points := e.Conditions[0].Requirements[2].AtFactors
	assert.InEpsilon(t, math.Exp(0.6*math.Log(points[0].Value)+0.4*math.Log(points[1].Value)), x, 0.06)
	assert.Equal(t, "0.88, taken as known, between two that were computed", ask[string](v, `document.getElementById('explore-factor-text').textContent`))
	assert.Contains(t, ask[string](v, `document.getElementById('explore-status').textContent`), "Explored at 0.700 N·m and 85 °C, contact factor 0.88, taken as known: ")
	v.slide("torque", 7)
	assert.Equal(t, "as in the study, averaged over", ask[string](v, `document.getElementById('explore-factor').getAttribute('aria-valuetext')`))
	v.slide("factor", 99)
	assert.Equal(t, "1.4, taken as known", ask[string](v, `document.getElementById('explore-factor').getAttribute('aria-valuetext')`))

	phone := open(t, page, chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile))
	assert.Zero(t, looked[int](phone, "look.sideways()"))

	// Sliders end where the computing ended.
	v.slide("torque", 99)
	assert.Equal(t, "0.800 N·m", ask[string](v, `document.getElementById('explore-torque').getAttribute('aria-valuetext')`))
}

func TestExploreByKeyboardAndWithoutScript(t *testing.T) {
	d, e := Document{Title: "explored"}, explored()
	d.Add(e, e.Table())
	page := pageFile(t, d)
	v := open(t, page)
	require.NoError(t, chromedp.Do(v.ctx, chromedp.Focus("#explore-torque"), chromedp.KeyEvent(kb.ArrowRight)))
	assert.Equal(t, 6, ask[int](v, `Number(document.getElementById('explore-torque').value)`), "a step of a fifth")
	assert.Equal(t, "0.720 N·m", ask[string](v, `document.getElementById('explore-torque').getAttribute('aria-valuetext')`))

	require.NoError(t, chromedp.Do(v.ctx, chromedp.Focus("#explore-factor"), chromedp.KeyEvent(kb.ArrowRight)))
	assert.Equal(t, "0.8, taken as known", ask[string](v, `document.getElementById('explore-factor').getAttribute('aria-valuetext')`))

	without := open(t, page, noScripts)
	assert.True(t, ask[bool](without, `document.getElementById('explore-controls').hidden`))
	assert.Equal(t, 2*4*(3+4), ask[int](without, `document.querySelectorAll('#explore details td').length`), "all that was computed is there to read")

	var markdown bytes.Buffer
	require.NoError(t, WriteMarkdown(&markdown, d))
	assert.Contains(t, markdown.String(), "not of record", "in the other forms too")
	assert.Equal(t, 3, len(regexp.MustCompile(`\n\| *0\.[678]00 \|`).FindAllString(markdown.String(), -1)), "one row for each torque")
}

// Names come from the study: whatever they hold stays text, in the page and in what the
// script writes.
func TestExploreOfAHostileStudy(t *testing.T) {
	d, e := Document{Title: "explored"}, explored()
	const hostile = `"><img src=http://x onerror=alert(1)>|`
	e.Conditions[1].Name, e.Shown.Label = hostile, hostile
	for i := range e.Conditions {
		for k := range e.Conditions[i].Requirements {
			e.Conditions[i].Requirements[k].Label = hostile
		}
	}
	d.Add(e)
	v := open(t, pageFile(t, d))
	v.slide("torque", 3)
	assert.Zero(t, ask[int](v, "document.images.length"))
	requests, problems := v.seen()
	assert.Len(t, requests, 1, "the page itself")
	assert.Empty(t, problems)
	assert.Equal(t, hostile, v.shown()[1][1])
}
