package figure

import (
	"math"
	"strconv"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// ClampLength shows a clamp cut lengthwise between flange and upper rail: its screw, its
// wedge pieces, and the force with which each bears, as arrows whose lengths are to one
// scale. Lengths are to one scale of their own; in mm and positive.
type ClampLength struct {
	Length, Height float64
	FlangeHeight   float64
	// Gap is the play of the slot that the pieces moved through.
	Gap           float64
	ScrewDiameter float64
	// Angle is that of the ramps with the screw, rad, in (0, pi/2).
	Angle float64
	// Pieces are counted from the screw's head; odd ones press on the flange, even ones on
	// the upper rail.
	Pieces []Force
	// Axial is the force of the screw.
	Axial Force
}

// Force has an arrow with its text.
type Force struct {
	Newton float64
	Text   string
}

func (v ClampLength) Size() (width, height vg.Length) { return pageWidth, 62 * vg.Millimeter }

func (v ClampLength) Draw(c draw.Canvas) {
	c = drawFoot(sheet(c), []entry{{text: "force, arrows to one scale", patch: heat}, {text: "parts to scale; odd pieces bear on the flange, even ones on the upper rail"}}, Basis{}.text())
	l := newLengthwise(v, c)
	l.bodies()
	l.screw()
	for i := range v.Pieces {
		l.piece(i)
	}
	for i, p := range v.Pieces {
		l.force(i, p)
	}
	l.axial()
}

// lengthwise is the cut drawn on a canvas: mm from the head's end and from the flange's face.
type lengthwise struct {
	ClampLength
	toScale
	newton vg.Length // points per N
}

// screwRoom is the room for the screw's head with the force on it.
const screwRoom = 78 * vg.Length(1)

func newLengthwise(v ClampLength, c draw.Canvas) *lengthwise {
	l := &lengthwise{ClampLength: v, toScale: toScale{c: c, scale: (c.Max.X - c.Min.X - screwRoom) / vg.Length(v.Length)}}
	thick := 2 * v.FlangeHeight // flange and rail as drawn
	l.scale = min(l.scale, 0.5*(c.Max.Y-c.Min.Y)/vg.Length(v.Height+v.Gap+thick))
	l.origin = vg.Point{X: c.Min.X + screwRoom, Y: c.Center().Y - l.scale*vg.Length(v.Height+v.Gap)/2}
	largest := v.Axial.Newton
	for _, p := range v.Pieces {
		largest = max(largest, p.Newton)
	}
	room := l.at(0, -v.FlangeHeight).Y - c.Min.Y - lineHeight - 2
	if largest > 0 {
		l.newton = min(room, screwRoom-14) / vg.Length(largest)
	}
	return l
}

func (l *lengthwise) bodies() {
	top := l.Height + l.Gap
	l.box(card, 0, -l.FlangeHeight, l.Length, 0)
	l.box(chassis, 0, top, l.Length, top+l.FlangeHeight)
}

// screw draws head and shank behind the pieces.
func (l *lengthwise) screw() {
	d, middle := l.ScrewDiameter, (l.Height+l.Gap)/2
	l.box(body, -d, middle-0.9*d, 0, middle+0.9*d)
	l.box(chassis, 0, middle-d/2, l.Length, middle+d/2)
}

// piece draws a trapezoid, its long side where it bears.
func (l *lengthwise) piece(i int) {
	n := len(l.Pieces)
	pitch := l.Length / float64(n)
	slant := min(l.Height/math.Tan(l.Angle), 0.8*pitch) / 2 // half of what a ramp takes
	x0, x1 := pitch*float64(i), pitch*float64(i+1)
	left, right := slant, slant
	if i == 0 {
		left = 0
	}
	if i == n-1 {
		right = 0
	}
	bottom, up := 0.0, 1.0
	if i%2 == 1 {
		left, right, bottom = -left, -right, l.Gap
	}
	low, high := bottom, bottom+up*l.Height
	l.outline(body, l.at(x0-left, low), l.at(x1+right, low), l.at(x1-right, high), l.at(x0+left, high))
	l.hidden(x0, x1)
}

// hidden draws the shank dashed through a piece.
func (l *lengthwise) hidden(x0, x1 float64) {
	middle := (l.Height + l.Gap) / 2
	for _, y := range []float64{middle - l.ScrewDiameter/2, middle + l.ScrewDiameter/2} {
		a, b := l.at(x0, y), l.at(x1, y)
		l.c.StrokeLine2(line(muted, hairline, 2, 1.5), a.X, a.Y, b.X, b.Y)
	}
}

// force draws the arrow of a piece from the face that it bears on, and its text beyond.
func (l *lengthwise) force(i int, p Force) {
	x := l.Length * (float64(i) + 0.5) / float64(len(l.Pieces))
	from, way := l.at(x, -l.FlangeHeight), vg.Length(-1)
	if i%2 == 1 {
		from, way = l.at(x, l.Height+l.Gap+l.FlangeHeight), 1
	}
	to := vg.Point{X: from.X, Y: from.Y + way*l.newton*vg.Length(p.Newton)}
	l.arrow(from, to)
	text := style(smallType, black)
	text.XAlign = draw.XCenter
	write(l.c, text, to.X, to.Y+way*lineHeight*0.6, l.scale*vg.Length(l.Length)/vg.Length(len(l.Pieces))-2, strconv.Itoa(i+1)+": "+p.Text)
}

// axial draws the pull of the screw's head.
func (l *lengthwise) axial() {
	from := l.at(-l.ScrewDiameter, (l.Height+l.Gap)/2)
	to := vg.Point{X: from.X - l.newton*vg.Length(l.Axial.Newton), Y: from.Y}
	l.arrow(from, to)
	write(l.c, style(smallType, black), l.c.Min.X, from.Y+l.scale*vg.Length(l.ScrewDiameter)+lineHeight, screwRoom-4, "screw: "+l.Axial.Text)
}

// arrow has a head as long as it is, where it is short.
func (l *lengthwise) arrow(from, to vg.Point) {
	along := vg.Point{X: sign(to.X - from.X), Y: sign(to.Y - from.Y)}
	length := max(math.Abs(float64(to.X-from.X)), math.Abs(float64(to.Y-from.Y)))
	head := vg.Length(min(length, 6))
	neck := vg.Point{X: to.X - along.X*head, Y: to.Y - along.Y*head}
	l.c.StrokeLine2(line(heat, 2), from.X, from.Y, neck.X, neck.Y)
	l.c.FillPolygon(heat, []vg.Point{{X: neck.X - 3.5*along.Y, Y: neck.Y + 3.5*along.X}, to, {X: neck.X + 3.5*along.Y, Y: neck.Y - 3.5*along.X}})
}
