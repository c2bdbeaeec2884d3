package figure

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"html"
	"image/color"
	"image/png"
	"io"
	"math"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
	"gonum.org/v1/plot/vg/vgtex"

	"clampodds/reports/internal/clean"
)

// fonts is the face of the figures followed by faces of the same metrics.
const fonts = "'Liberation Sans',Arimo,Arial,Helvetica,sans-serif"

// Description is what a reader who cannot see the figure is told. ID is unique
// in the page.
type Description struct{ ID, Title, Text string }

// SVG draws d as a file of its own; text stays text.
func SVG(d Drawing, about Description) []byte {
	width, height := d.Size()
	size := fmt.Sprintf(` width="%.4gmm" height="%.4gmm"`, width.Dots(25.4), height.Dots(25.4))
	return []byte(`<?xml version="1.0" encoding="UTF-8"?>` + "\n" + element(d, about, size))
}

// InlineSVG draws d for a page: its size is left to the style sheet, its colours
// are the variables of LightVariables.
func InlineSVG(d Drawing, about Description) string {
	return variables().Replace(element(d, about, ""))
}

func element(d Drawing, about Description, size string) string {
	width, height := d.Size()
	canvas := vgsvg.New(width, height)
	d.Draw(draw.New(canvas))
	var b bytes.Buffer
	if _, err := canvas.WriteTo(&b); err != nil {
		panic("figure: writing to memory: " + err.Error())
	}
	// The library's head names itself and fixes the size; its text names one face
	// each time. Ours replaces both.
	_, drawn, _ := strings.Cut(b.String(), "xlink\">\n")
	drawn = strings.NewReplacer("font-family:Liberation Sans;font-variant:normal;font-weight:normal;font-style:normal;", "", "\n\tstyle=", " style=").Replace(drawn)
	id := html.EscapeString(clean.Line(about.ID))
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.5g %.5g"%s role="img" aria-labelledby="%s-title %s-text" font-family="%s">
<title id="%s-title">%s</title>
<desc id="%s-text">%s</desc>
`, width.Points(), height.Points(), size, id, id, fonts,
		id, html.EscapeString(clean.Line(about.Title)), id, html.EscapeString(clean.Line(about.Text))) + drawn
}

// PrintDPI is the resolution of figures for print, dots per inch.
const PrintDPI = 300

// PNG draws d with dpi dots per inch, the resolution noted in the file.
func PNG(w io.Writer, d Drawing, dpi int) error {
	width, height := d.Size()
	canvas := vgimg.NewWith(vgimg.UseWH(width, height), vgimg.UseDPI(dpi))
	d.Draw(draw.New(canvas))
	var b bytes.Buffer
	encoder := png.Encoder{CompressionLevel: png.BestSpeed} // half the time, 5 % larger
	if err := encoder.Encode(&b, canvas.Image()); err != nil {
		return err
	}
	_, err := w.Write(withResolution(b.Bytes(), dpi))
	return err
}

// withResolution puts the chunk pHYs (PNG specification, 11.3.5.3) behind the
// file's head, so that other programs place the picture in its true size.
func withResolution(file []byte, dpi int) []byte {
	const head = 8 + 25 // signature and IHDR
	perMetre := uint32(math.Round(float64(dpi) / 0.0254))
	chunk := []byte("\x00\x00\x00\x09pHYs")
	chunk = binary.BigEndian.AppendUint32(chunk, perMetre)
	chunk = binary.BigEndian.AppendUint32(chunk, perMetre)
	chunk = append(chunk, 1) // the unit is the metre
	chunk = binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
	return append(append(append([]byte{}, file[:head]...), chunk...), file[head:]...)
}

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
