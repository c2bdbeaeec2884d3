package figure

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// incoming draws the heat from the card in the flange.
func (s *section) incoming() {
	y := s.FlangeThickness / 2
	s.arrow(1, s.at(-0.85*s.reach, y), s.at(s.tip-0.1*s.ClampWidth, y))
}

// way is the middle line of one way of the heat.
func (s *section) way(to Sink) []vg.Point {
	t, h, w := s.FlangeThickness, s.ClampHeight, s.ClampWidth
	top := s.SlotWidth + 0.7*s.rail
	switch {
	case to == LowerRail:
		return []vg.Point{s.at(0.3*w, t/2), s.at(0.3*w, -0.7*s.rail)}
	case to == SideWall:
		return []vg.Point{s.at(0.78*w, t/2), s.at(0.78*w, t+0.35*h), s.at(s.wall+0.75*s.rail, t+0.35*h)}
	case s.fourFace: // from the rib
		x := (s.ribLeft() - s.apart) / 2
		return []vg.Point{s.at(x, t+0.62*h), s.at(0.25*w, t+0.62*h), s.at(0.25*w, top)}
	}
	return []vg.Point{s.at(0.7*w, t/2), s.at(0.7*w, top)}
}

// paths draws the ways of the heat with their labels to the right.
func (s *section) paths() {
	paths := slices.Clone(s.Paths)
	end := func(p HeatPath) vg.Point { w := s.way(p.To); return w[len(w)-1] }
	slices.SortStableFunc(paths, func(a, b HeatPath) int { return cmp.Compare(end(a).Y, end(b).Y) })
	wanted, sizes := make([]vg.Length, len(paths)), make([]vg.Length, len(paths))
	for i, p := range paths {
		s.arrow(p.Share, s.way(p.To)...)
		wanted[i], sizes[i] = end(p).Y, 3*lineHeight
	}
	column := s.at(s.wall+s.rail, 0).X + 14
	room := s.c.Max.X - column
	for i, y := range spread(wanted, sizes, s.c.Min.Y, s.c.Max.Y) {
		p, from := paths[i], end(paths[i])
		if p.To != SideWall {
			from.X += s.scale * vg.Length(s.width(p.Share)/2)
		}
		s.c.StrokeLine2(line(muted, hairline), from.X+6, from.Y, column-4, y)
		write(s.c, style(normalType+2, black), column, y+6, room, p.Value)
		write(s.c, style(smallType, muted), column, y-7, room, p.Label)
	}
}

// arrow draws a way of the heat as wide as its share, with a head.
func (s *section) arrow(share float64, way ...vg.Point) {
	width := max(s.scale*vg.Length(s.width(share)), 0.5)
	last, before := way[len(way)-1], way[len(way)-2]
	length := vg.Length(7) + width*0.25
	along := vg.Point{X: sign(last.X - before.X), Y: sign(last.Y - before.Y)}
	neck := vg.Point{X: last.X - along.X*length, Y: last.Y - along.Y*length}
	across := vg.Point{X: -along.Y * (width/2 + 4), Y: along.X * (width/2 + 4)}
	inHead := vg.Point{X: neck.X + along.X, Y: neck.Y + along.Y} // no seam
	s.c.StrokeLines(line(heat, width), append(way[:len(way)-1:len(way)-1], inHead))
	s.c.FillPolygon(heat, []vg.Point{
		{X: neck.X + across.X, Y: neck.Y + across.Y},
		last,
		{X: neck.X - across.X, Y: neck.Y - across.Y},
	})
}

func sign(v vg.Length) vg.Length {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

// names writes the parts' names to the left, each with a line to its part.
func (s *section) names() {
	t, h, w := s.FlangeThickness, s.ClampHeight, s.ClampWidth
	type part struct {
		name string
		x, y float64
	}
	back := 0.0
	if s.fourFace {
		back = -s.apart
	}
	parts := []part{
		{"lower rail", s.tip + 0.1*w, -0.5 * s.rail},
		{"card flange", -0.95 * s.reach, 0.5 * t},
		{"piece on the flange", 0.1 * w, t + 0.86*h},
		{"piece on the upper rail", back + 0.1*w, t + s.apart/2 + h},
		{"upper rail", s.tip + 0.1*w, s.SlotWidth + 0.5*s.rail},
	}
	if s.fourFace {
		parts = append(parts[:2:2], append([]part{{"rib of the card", s.ribLeft() + 0.08*w, t + 0.3*h}}, parts[2:]...)...)
	}
	text := style(smallType, black)
	text.XAlign = draw.XRight
	wanted, sizes := make([]vg.Length, len(parts)), make([]vg.Length, len(parts))
	for i, p := range parts {
		wanted[i], sizes[i] = s.at(p.x, p.y).Y, lineHeight+3
	}
	column := s.c.Min.X + partNames
	for i, y := range spread(wanted, sizes, s.c.Min.Y, s.c.Max.Y) {
		end := s.at(parts[i].x, parts[i].y)
		write(s.c, text, column, y, partNames, parts[i].name)
		s.c.StrokeLine2(line(muted, hairline), column+4, y, end.X, end.Y)
		s.c.DrawGlyphNoClip(draw.GlyphStyle{Color: muted, Radius: 1.3, Shape: draw.CircleGlyph{}}, end)
	}
	wall := style(smallType, black)
	wall.XAlign, wall.Rotation = draw.XCenter, math.Pi/2
	write(s.c, wall, s.at(s.wall+0.5*s.rail, 0).X, s.at(0, 0.8*s.SlotWidth).Y, s.scale*vg.Length(s.SlotWidth), "side wall")
}

// scaleBar draws a length of about half a clamp width.
func (s *section) scaleBar() {
	length := RoundStep(s.ClampWidth / 2)
	x, y := s.c.Min.X+4, s.c.Min.Y+6
	end := x + s.scale*vg.Length(length)
	whisker(s.c, line(black, thinLine), x, end, y)
	write(s.c, style(smallType, black), end+4, y, 60, strconv.FormatFloat(length, 'g', -1, 64)+" mm")
}
