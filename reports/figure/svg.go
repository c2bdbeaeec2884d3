package figure

import (
	"bytes"
	"fmt"
	"html"
	"strings"

	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"

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
