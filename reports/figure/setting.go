package figure

import (
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"clampodds/sim/result"
)

// Setting shows the probability of missing each requirement against a setting, as the
// nominal torque, and the window in which every requirement holds its target.
type Setting struct {
	// Axis is the x axis with its unit: "nominal torque [N·m]".
	Axis string
	// Curves have one requirement each. A value that is not above zero was not seen: its
	// High is drawn as a tick downwards, below which it lies.
	Curves []Curve
	// Bounds are at most what a curve may be: points with whiskers, each with the look of its Style.
	Bounds []Curve
	// Targets mark the y axis: the requirement and the probability allowed.
	Targets []Mark
	// Interval is the window shaded; ends equal or NaN: there is none. Window says what
	// holds inside: it is not always allowed.
	result.Interval
	Window string
	// OpenLow and OpenHigh say that no end was found there: the shade runs on to the axis.
	OpenLow, OpenHigh bool
	// Spread is how far the setting scatters about its nominal value, drawn as a bar at the
	// foot; ends equal: none. SpreadName says what the ends are.
	Spread     result.Interval
	SpreadName string
	// Least and Most bound the settings that are allowed, 0 unset: what lies beyond is hatched. NotAllowed says so.
	Least, Most float64
	NotAllowed  string
	// Marks label places on the x axis: the window's ends, the recommended torque.
	Marks []Mark
	Basis Basis
}

// Size grows with the rows of the legend, so that many curves leave the plot its height.
func (t Setting) Size() (width, height vg.Length) {
	f := t.frame()
	return pageWidth, 88*vg.Millimeter + footGrows(pageWidth, f.legend, f.basis)
}

func (t Setting) Draw(c draw.Canvas) { t.frame().draw(c) }

func (t Setting) frame() frame {
	x, _ := values(t.Curves...)
	var y []float64
	unseen := false
	f := frame{top: t.Marks, right: slices.Clone(t.Targets), basis: t.Basis.text(), layers: []layer{t.shade, t.hatch}}
	for i, v := range t.Curves {
		v.Style = v.place(i) + 1
		seen, bounds := v.parts()
		y = append(append(y, tails(seen...)...), bounds.High...)
		for _, s := range seen {
			f.layers = append(f.layers, s.layers(i)...)
		}
		f.layers = append(f.layers, bounds.ticks)
		f.legend = append(f.legend, v.entry(i))
		unseen = unseen || len(bounds.X) > 0
	}
	for i, v := range t.Bounds {
		v.Style = v.place(i) + 1
		x, y = append(x, v.X...), append(y, tails(v)...)
		f.layers = append(f.layers, v.whiskers)
		f.legend = append(f.legend, v.boundEntry())
	}
	for _, m := range t.Targets {
		y = append(y, m.At)
	}
	f.x, f.y = linear(t.Axis, append(x, t.ends()...)...), probabilities("probability of missing", y...)
	if t.notAllowed(f.x.min, f.x.max) != nil {
		f.legend = append(f.legend, entry{text: t.NotAllowed, hatched: true})
	}
	if t.Low < t.High {
		f.legend = append(f.legend, entry{text: t.Window + t.openWords(), patch: grid})
	}
	if unseen {
		f.legend = append(f.legend, entry{text: "none seen: below the tick", ink: muted, marker: tickDown{}})
	}
	if t.Spread.Low < t.Spread.High {
		f.layers = append(f.layers, t.spread)
		f.legend = append(f.legend, entry{text: t.SpreadName, stroke: line(muted, barLine)})
	}
	return f
}

// ends are those of the bar, which the axis has to cover.
func (t Setting) ends() []float64 {
	if t.Spread.Low < t.Spread.High {
		return []float64{t.Spread.Low, t.Spread.High}
	}
	return nil
}

func (t Setting) openWords() string {
	switch {
	case t.OpenLow && t.OpenHigh:
		return ", no end found"
	case t.OpenLow:
		return ", no lower end found"
	case t.OpenHigh:
		return ", no upper end found"
	}
	return ""
}

// shade fills the window; an end that was found has an edge.
func (t Setting) shade(c draw.Canvas, p *plot.Plot) {
	if !(t.Low < t.High) {
		return
	}
	x, _ := p.Transforms(&c)
	low, high := max(x(t.Low), c.Min.X), min(x(t.High), c.Max.X)
	if t.OpenLow {
		low = c.Min.X
	}
	if t.OpenHigh {
		high = c.Max.X
	}
	rectangle(c, grid, low, c.Min.Y, high, c.Max.Y)
	edge := line(muted, thinLine)
	if !t.OpenLow && low > c.Min.X {
		c.StrokeLine2(edge, low, c.Min.Y, low, c.Max.Y)
	}
	if !t.OpenHigh && high < c.Max.X {
		c.StrokeLine2(edge, high, c.Min.Y, high, c.Max.Y)
	}
}

// barLine is the weight of the bar of a spread.
const barLine = 3 * vg.Length(1)

// spread draws how far the setting scatters.
func (t Setting) spread(c draw.Canvas, p *plot.Plot) {
	x, _ := p.Transforms(&c)
	y := c.Min.Y + 6
	c.StrokeLine2(line(muted, barLine), max(x(t.Spread.Low), c.Min.X), y, min(x(t.Spread.High), c.Max.X), y)
}

// parts are the stretches of a curve that were seen, and the bounds of what was not.
func (v Curve) parts() (seen []Curve, bounds Curve) {
	bounds.Style = v.Style
	fresh := true
	for k := range v.X {
		if !(v.Y[k] > 0) {
			fresh = true
			if len(v.High) > 0 && v.High[k] > 0 {
				bounds.X, bounds.High = append(bounds.X, v.X[k]), append(bounds.High, v.High[k])
			}
			continue
		}
		if fresh {
			seen, fresh = append(seen, Curve{Name: v.Name, Style: v.Style}), false
		}
		s := &seen[len(seen)-1]
		s.X, s.Y = append(s.X, v.X[k]), append(s.Y, v.Y[k])
		if len(v.Low) > 0 {
			s.Low, s.High = append(s.Low, v.Low[k]), append(s.High, v.High[k])
		}
	}
	return seen, bounds
}

// ticks draws bounds.
func (v Curve) ticks(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	n, _ := seriesLook(v.place(0))
	for k := range v.X {
		if drawable(p.Y, v.High[k]) && v.High[k] >= p.Y.Min && v.High[k] <= p.Y.Max {
			c.DrawGlyph(draw.GlyphStyle{Color: seriesInks[n], Radius: markerRadius, Shape: tickDown{}}, vg.Point{X: x(v.X[k]), Y: y(v.High[k])})
		}
	}
}

// tickDown is a bar with an arrow downwards from it.
type tickDown struct{}

// DrawGlyph implements draw.GlyphDrawer.
func (tickDown) DrawGlyph(c *draw.Canvas, s draw.GlyphStyle, at vg.Point) {
	var p vg.Path
	r := s.Radius
	p.Move(vg.Point{X: at.X - r, Y: at.Y})
	p.Line(vg.Point{X: at.X + r, Y: at.Y})
	p.Move(at)
	p.Line(vg.Point{X: at.X, Y: at.Y - 3*r})
	p.Move(vg.Point{X: at.X - 0.7*r, Y: at.Y - 2*r})
	p.Line(vg.Point{X: at.X, Y: at.Y - 3*r})
	p.Line(vg.Point{X: at.X + 0.7*r, Y: at.Y - 2*r})
	c.SetLineStyle(draw.LineStyle{Color: s.Color, Width: thinLine})
	c.Stroke(p)
}

// spread moves labels of the given sizes, centred where they are wanted in
// ascending order, apart by no more than needed so that none overlap and all
// stay between low and high. Neighbours that touch move as one block about
// their common middle. Labels that do not fit together at all overlap.
func spread(wanted, sizes []vg.Length, low, high vg.Length) []vg.Length {
	type block struct {
		first      int
		size, want vg.Length // total size; sum of the wanted starts of the block
		count      int
	}
	start := func(b block) vg.Length {
		return max(min(b.want/vg.Length(b.count), high-b.size), low)
	}
	var blocks []block
	for i := range wanted {
		b := block{i, sizes[i], wanted[i] - sizes[i]/2, 1}
		for len(blocks) > 0 {
			last := blocks[len(blocks)-1]
			if start(last)+last.size <= start(b) {
				break
			}
			// Every label of b would start last.size further on in the joined block.
			b = block{last.first, last.size + b.size, last.want + b.want - last.size*vg.Length(b.count), last.count + b.count}
			blocks = blocks[:len(blocks)-1]
		}
		blocks = append(blocks, b)
	}
	centres := make([]vg.Length, len(wanted))
	for _, b := range blocks {
		at := start(b)
		for i := b.first; i < b.first+b.count; i++ {
			centres[i] = at + sizes[i]/2
			at += sizes[i]
		}
	}
	return centres
}
