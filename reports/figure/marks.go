package figure

import (
	"cmp"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

const (
	topStrip   = 36 * vg.Length(1) // two lines of label and a leader
	leader     = 10 * vg.Length(1)
	labelGap   = 5 * vg.Length(1) // between neighbouring labels
	lineHeight = 10 * vg.Length(1)
	// widestLabel bounds what is written to the right of a plot.
	widestLabel = 95 * vg.Length(1)
)

// marks lists the marks on the x axis that lie on it, from left to right.
func (f frame) marks() []Mark {
	all := slices.Clone(f.top)
	if f.strong != nil {
		all = append(all, *f.strong)
	}
	all = slices.DeleteFunc(all, func(m Mark) bool { return !(m.At >= f.x.min && m.At <= f.x.max) })
	slices.SortStableFunc(all, byPlace)
	return all
}

func byPlace(a, b Mark) int { return cmp.Compare(a.At, b.At) }

// drawTop draws the marks on the x axis: a line through the data, a leader and
// the label in the strip above.
func (f frame) drawTop(c draw.Canvas, p *plot.Plot) {
	marks := f.marks()
	small, bold := style(smallType, muted), style(smallType, black)
	small.XAlign, bold.XAlign = draw.XCenter, draw.XCenter
	sizes := make([]vg.Length, 0, len(marks))
	room := c.Max.X - c.Min.X
	for _, m := range marks {
		sizes = append(sizes, max(small.Width(fit(m.Label, small, widestLabel)), small.Width(fit(m.Value, small, widestLabel)))+labelGap)
	}
	marks, sizes = f.dropTooMany(marks, sizes, room)
	x, _ := p.Transforms(&c)
	wanted := make([]vg.Length, len(marks))
	for i, m := range marks {
		wanted[i] = x(m.At)
	}
	for i, centre := range spread(wanted, sizes, c.Min.X, c.Max.X+marginRight) {
		m := marks[i]
		stroke, text := line(black, hairline, 2, 2), small
		if f.isStrong(m) {
			stroke, text = line(black, thinLine), bold
		}
		c.StrokeLine2(stroke, wanted[i], c.Min.Y, wanted[i], c.Max.Y)
		stroke.Dashes = nil
		c.StrokeLine2(stroke, wanted[i], c.Max.Y, centre, c.Max.Y+leader)
		write(c, text, centre, c.Max.Y+leader+lineHeight*1.5+1, widestLabel, m.Label)
		write(c, text, centre, c.Max.Y+leader+lineHeight/2+1, widestLabel, m.Value)
	}
}

func (f frame) isStrong(m Mark) bool { return f.strong != nil && m == *f.strong }

// dropTooMany leaves out marks from the left, the strong one never, until the
// labels have room beside each other.
func (f frame) dropTooMany(marks []Mark, sizes []vg.Length, room vg.Length) ([]Mark, []vg.Length) {
	for i := 0; i < len(marks) && total(sizes) > room; {
		if f.isStrong(marks[i]) {
			i++
			continue
		}
		marks, sizes = slices.Delete(marks, i, i+1), slices.Delete(sizes, i, i+1)
	}
	return marks, sizes
}

func total(sizes []vg.Length) (sum vg.Length) {
	for _, s := range sizes {
		sum += s
	}
	return sum
}

// text is the label of a horizontal mark in one line.
func (m Mark) text() string {
	if m.Value == "" {
		return m.Label
	}
	return m.Label + " " + m.Value
}

// rightStrip is the width that the labels of the horizontal marks need.
func (f frame) rightStrip() (width vg.Length) {
	for _, m := range f.right {
		width = max(width, leader+style(smallType, muted).Width(fit(m.text(), style(smallType, muted), widestLabel)))
	}
	return width
}

// drawRight draws the marks on the y axis: a line through the data, a leader and
// the label to the right.
func (f frame) drawRight(c draw.Canvas, p *plot.Plot) {
	marks := slices.DeleteFunc(slices.Clone(f.right), func(m Mark) bool { return !(m.At >= f.y.min && m.At <= f.y.max) })
	slices.SortStableFunc(marks, byPlace)
	_, y := p.Transforms(&c)
	wanted, sizes := make([]vg.Length, len(marks)), make([]vg.Length, len(marks))
	for i, m := range marks {
		wanted[i], sizes[i] = y(m.At), lineHeight
	}
	for i, centre := range spread(wanted, sizes, c.Min.Y-lineHeight/2, c.Max.Y+lineHeight/2) {
		stroke := line(black, thinLine, 1, 2)
		c.StrokeLine2(stroke, c.Min.X, wanted[i], c.Max.X, wanted[i])
		stroke.Dashes = nil
		c.StrokeLine2(stroke, c.Max.X, wanted[i], c.Max.X+leader-3, centre)
		write(c, style(smallType, black), c.Max.X+leader, centre, widestLabel, marks[i].text())
	}
}
