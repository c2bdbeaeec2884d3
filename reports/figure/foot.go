package figure

import (
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// entry is one line of the legend: what a stroke, a marker or a patch stands for.
type entry struct {
	text   string
	stroke draw.LineStyle // no width: none
	marker draw.GlyphDrawer
	patch  ink // no opacity: none
	ink    ink // of the marker

	hatched bool // a patch of slanting lines
}

const (
	footRow  = 13 * vg.Length(1)
	sample   = 24 * vg.Length(1) // length of the legend's strokes
	entryGap = 14 * vg.Length(1)
)

// seat is where an entry stands: its row from the top, and how far from the left.
type seat struct {
	row int
	x   vg.Length
}

// layFoot places the entries row by row, then the count where the last row has room; rows is
// how many it takes.
func layFoot(legend []entry, basis string, room vg.Length) (places []seat, rows int) {
	small := style(smallType, black)
	row, x := 0, vg.Length(0)
	for _, e := range legend {
		width := e.indent() + small.Width(fit(e.text, small, room-e.indent()))
		if x > 0 && x+width > room {
			row, x = row+1, 0
		}
		places = append(places, seat{row, x})
		x += width + entryGap
	}
	if x+style(smallType, muted).Width(fit(basis, style(smallType, muted), room/2)) > room {
		row++
	}
	return places, row + 1
}

// footGrows is what a figure needs beyond its height for the rows of its legend after the third.
func footGrows(width vg.Length, legend []entry, basis string) vg.Length {
	const usual = 3
	_, rows := layFoot(legend, basis, width-margin-marginRight)
	return footRow * vg.Length(max(0, rows-usual))
}

// drawFoot writes the legend, as many rows as it needs, and the sample count at
// the bottom of c, and returns the rest of c.
func drawFoot(c draw.Canvas, legend []entry, basis string) draw.Canvas {
	room := c.Max.X - c.Min.X
	places, rows := layFoot(legend, basis, room)
	at := func(row int) vg.Length { return c.Min.Y + footRow*(vg.Length(rows-1-row)+0.5) }
	for i, e := range legend {
		e.draw(c, c.Min.X+places[i].x, at(places[i].row), room)
	}
	count := style(smallType, muted)
	count.XAlign = draw.XRight
	write(c, count, c.Max.X, at(rows-1), room/2, basis)
	return draw.Crop(c, 0, 0, footRow*vg.Length(rows)+3, 0)
}

func (e entry) draw(c draw.Canvas, x, y, room vg.Length) {
	if e.patch.alpha > 0 {
		rectangle(c, e.patch, x, y-4, x+sample, y+4)
	}
	if e.hatched {
		hatched(c, x, y-4, x+sample, y+4)
	}
	if e.stroke.Width > 0 {
		c.StrokeLine2(e.stroke, x, y, x+sample, y)
	}
	if e.marker != nil {
		c.DrawGlyphNoClip(draw.GlyphStyle{Color: e.ink, Radius: markerRadius, Shape: e.marker}, vg.Point{X: x + sample/2, Y: y})
	}
	write(c, style(smallType, black), x+e.indent(), y, room-e.indent(), e.text)
}

// indent is the room for what the entry shows; one that only says something has
// none.
func (e entry) indent() vg.Length {
	if e.patch.alpha == 0 && e.stroke.Width == 0 && e.marker == nil && !e.hatched {
		return 0
	}
	return sample + 4
}
