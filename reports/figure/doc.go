// Package figure draws the figures of a report, all in one quiet look.
//
// Each figure is a plain struct that a command fills with values in the units to
// print; nothing is estimated here. A figure draws itself on any canvas of the
// plotting library; SVG and PNG make files of it, the same bytes on every run.
//
// The look: one sans face, thin axes, few ticks. Series differ by colour, dash
// and marker; their colours are told apart by colour-blind readers and in grey.
// Places on an axis (a limit, a percentile) are labelled in a strip beside the
// plot, pushed apart where they would overlap. Every figure says how many samples
// it stands on. Texts are cleaned and shortened to the room they have.
//
// All functions are safe for concurrent use; a figure is read only.
package figure

import (
	"fmt"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Drawing is a figure: its size in points and how to draw it.
type Drawing interface {
	Size() (width, height vg.Length)
	Draw(c draw.Canvas)
}

// Basis says what a figure stands on.
type Basis struct {
	// Samples is the number of samples, 0 for an evaluation at nominal values.
	Samples int64
	// Of names what a sample is, in the plural: "cards".
	Of string
}

func (b Basis) text() string {
	if b.Samples == 0 {
		return "nominal values, no samples"
	}
	return fmt.Sprintf("%d %s", b.Samples, b.Of)
}

// pageWidth is the width of every figure: the text of an A4 or Letter page with
// margins of 20 mm or more.
const pageWidth = 165 * vg.Millimeter
