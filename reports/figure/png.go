package figure

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image/png"
	"io"
	"math"

	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
)

// PrintDPI is the resolution of figures for print, dots per inch.
const PrintDPI = 300

// PNG draws d with dpi dots per inch, the resolution noted in the file.
func PNG(w io.Writer, d Drawing, dpi int) error {
	width, height := d.Size()
	canvas := vgimg.NewWith(vgimg.UseWH(width, height), vgimg.UseDPI(dpi))
	d.Draw(draw.New(canvas))
	var b bytes.Buffer
	if err := png.Encode(&b, canvas.Image()); err != nil {
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
