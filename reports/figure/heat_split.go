package figure

import (
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Sink is where a way of the heat ends.
type Sink int

// The sinks of a clamped edge.
const (
	LowerRail Sink = iota // by the direct face
	UpperRail             // by the pieces
	SideWall              // by the pieces of a four-face clamp
)

// HeatPath is one way of the heat out of the edge.
type HeatPath struct {
	To Sink
	// Share is the part of the edge's heat, 0 to 1; the arrow's width.
	Share float64
	// Value and Label are printed beside the arrow: "75.2 %", "direct face".
	Value, Label string
}

// HeatSplit shows a clamped edge cut across, schematically, its parts to scale, with
// the ways of the heat as arrows as wide as their shares. A path to the side wall makes
// it a four-face clamp, with a rib and the pieces drawn apart sideways as they are
// apart in height. Lengths are in mm and positive.
type HeatSplit struct {
	ClampWidth, ClampHeight float64
	FlangeThickness         float64
	SlotWidth               float64 // from rail to rail
	ScrewDiameter           float64
	Paths                   []HeatPath
}

func (h HeatSplit) Size() (width, height vg.Length) { return pageWidth, 84 * vg.Millimeter }

func (h HeatSplit) Draw(c draw.Canvas) {
	c = drawFoot(sheet(c), []entry{{text: "heat, as wide as its share", patch: heat}, {text: "parts to scale, pieces one behind the other"}}, Basis{}.text())
	s := newSection(h, c)
	s.chassis()
	s.flange()
	s.pieces()
	s.names()
	s.paths()
	s.incoming()
	s.scaleBar()
}

// partNames is the room for the parts' names.
const partNames = 92 * vg.Length(1)

// section is the cut drawn on a canvas: lengths in mm from the lower rail's face
// and from where the pieces that press on the flange begin.
type section struct {
	HeatSplit
	toScale
	fourFace bool
	apart    float64 // how far neighbouring pieces are moved apart, mm
	rail     float64 // thickness drawn of rails and wall, mm
	reach    float64 // flange to the left of the pieces, mm
	wall     float64 // x of the side wall's face
	tip      float64 // x of the rails' tips
}

func newSection(h HeatSplit, c draw.Canvas) *section {
	s := &section{HeatSplit: h, toScale: toScale{c: c}, apart: max(h.SlotWidth-h.FlangeThickness-h.ClampHeight, 0)}
	for _, p := range h.Paths {
		s.fourFace = s.fourFace || p.To == SideWall
	}
	s.rail = 0.4 * h.SlotWidth
	s.reach = 1.5 * h.ClampWidth
	s.wall = 1.15 * h.ClampWidth
	s.tip = -0.15 * h.ClampWidth
	if s.fourFace {
		s.wall = h.ClampWidth
		s.tip = -0.5*h.ClampWidth - s.apart
	}
	room := c.Max.Y - c.Min.Y
	s.scale = min(room/vg.Length(h.SlotWidth+2*s.rail), 0.42*(c.Max.X-c.Min.X)/vg.Length(s.reach+s.wall+s.rail))
	s.origin = vg.Point{
		X: c.Min.X + partNames + 22 + s.scale*vg.Length(s.reach),
		Y: c.Min.Y + room/2 - s.scale*vg.Length(h.SlotWidth/2),
	}
	return s
}

// chassis draws the rails and the side wall in one piece.
func (s *section) chassis() {
	in := []vg.Point{
		s.at(s.tip, 0), s.at(s.wall, 0), s.at(s.wall, s.SlotWidth), s.at(s.tip, s.SlotWidth),
		s.at(s.tip, s.SlotWidth+s.rail), s.at(s.wall+s.rail, s.SlotWidth+s.rail), s.at(s.wall+s.rail, -s.rail), s.at(s.tip, -s.rail), s.at(s.tip, 0),
	}
	s.c.FillPolygon(chassis, in)
	s.c.StrokeLines(line(muted, hairline), in)
}

func (s *section) flange() {
	s.box(card, -s.reach, 0, s.wall-0.08*s.ClampWidth, s.FlangeThickness)
	if s.fourFace {
		s.box(card, s.ribLeft(), s.FlangeThickness, -s.apart, s.FlangeThickness+0.74*s.ClampHeight)
	}
}

func (s *section) ribLeft() float64 { return -s.apart - 0.3*s.ClampWidth }

// pieces draws a piece that presses on the upper rail behind one that presses on
// the flange.
func (s *section) pieces() {
	back := 0.0
	if s.fourFace {
		back = -s.apart
	}
	t, h, w := s.FlangeThickness, s.ClampHeight, s.ClampWidth
	s.box(grid, back, t+s.apart, back+w, t+s.apart+h)
	s.box(body, 0, t, w, t+h)
	centre := s.at(w/2, t+h/2)
	var ring vg.Path
	radius := s.scale * vg.Length(s.ScrewDiameter/2)
	ring.Move(vg.Point{X: centre.X + radius, Y: centre.Y})
	ring.Arc(centre, radius, 0, 2*math.Pi)
	ring.Close()
	s.c.SetLineStyle(line(muted, hairline, 2, 1.5))
	s.c.Stroke(ring)
}

// width is the arrow's width for a share, mm: all of the heat leaves the flange's
// outline visible.
func (s *section) width(share float64) float64 { return share * 0.75 * s.FlangeThickness }
