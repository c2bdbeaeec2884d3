package figure

import (
	"bytes"
	"image/color"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgtex"
)

// PGF draws d as commands of the LaTeX package pgf, its texts set by LaTeX in its sans face;
// escape makes a text safe for it.
func PGF(d Drawing, escape func(string) string) []byte {
	width, height := d.Size()
	canvas := vgtex.New(width, height)
	d.Draw(draw.New(pgfCanvas{canvas, escape}))
	var b bytes.Buffer
	if _, err := canvas.WriteTo(&b); err != nil {
		panic("figure: writing to memory: " + err.Error())
	}
	// Before the picture stand the library's remarks, and where a path closes there is only one.
	_, drawn, _ := bytes.Cut(b.Bytes(), []byte(`\begin{pgfpicture}`))
	return append([]byte(`\begin{pgfpicture}`), bytes.ReplaceAll(drawn, []byte("% path-close"), []byte(`\pgfpathclose`))...)
}

// pgfCanvas mends two things of the library's canvas: it writes texts as they are, and takes
// the opacity into a colour that it gives an opacity besides.
type pgfCanvas struct {
	*vgtex.Canvas
	escape func(string) string
}

func (c pgfCanvas) FillString(f font.Face, at vg.Point, text string) {
	written := `\sffamily ` + c.escape(text)
	at.X += (f.Width(text) - f.Width(written)) / 2 // the library centres what is written
	c.Canvas.FillString(f, at, written)
}

func (c pgfCanvas) SetColor(to color.Color) {
	if i, ok := to.(ink); ok {
		to = straight(i)
	}
	c.Canvas.SetColor(to)
}

// straight is an ink whose channels are not multiplied by its opacity.
type straight ink

func (i straight) RGBA() (r, g, b, a uint32) {
	r, g, b, _ = solid(i.rgb).RGBA()
	return r, g, b, uint32(i.alpha) * 0x101
}
