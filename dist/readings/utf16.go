package readings

import (
	"bufio"
	"encoding/binary"
	"io"
	"unicode/utf16"
	"unicode/utf8"
)

// wide returns the text in UTF-8 of a file in UTF-16, which is known by its byte order mark or by a NUL
// beside its first letter; other files pass.
func wide(file *bufio.Reader, head []byte) io.Reader {
	if len(head) < 2 {
		return file
	}
	switch {
	case head[0] == 0xff && head[1] == 0xfe, head[0] != 0 && head[1] == 0 && len(head) >= 4 && head[3] == 0:
		return &wideReader{file: file, order: binary.LittleEndian}
	case head[0] == 0xfe && head[1] == 0xff, head[0] == 0 && head[1] != 0 && len(head) >= 4 && head[2] == 0:
		return &wideReader{file: file, order: binary.BigEndian}
	}
	return file
}

// wideReader turns UTF-16 into UTF-8.
type wideReader struct {
	file  *bufio.Reader
	order binary.ByteOrder
	ready []byte // text not yet handed on
	half  rune   // first of a surrogate pair, 0 without
	ended error
}

func (w *wideReader) Read(p []byte) (int, error) {
	for len(w.ready) == 0 {
		if w.ended != nil {
			return 0, w.ended
		}
		w.fill()
	}
	n := copy(p, w.ready)
	w.ready = w.ready[n:]
	return n, nil
}

// fill decodes some units; half a unit at the end becomes a replacement character.
func (w *wideReader) fill() {
	var raw [4096]byte
	n, err := io.ReadFull(w.file, raw[:])
	if err != nil {
		w.ended = err
		if err == io.ErrUnexpectedEOF {
			w.ended = io.EOF
		}
	}
	w.ready = w.ready[:0]
	for i := 0; i+1 < n; i += 2 {
		w.put(rune(w.order.Uint16(raw[i:])))
	}
	if w.ended != nil && (w.half != 0 || n%2 == 1) {
		w.ready = utf8.AppendRune(w.ready, utf8.RuneError)
	}
}

func (w *wideReader) put(unit rune) {
	const firstLow = 0xdc00 // second halves of pairs start here
	switch {
	case w.half != 0:
		pair := utf16.DecodeRune(w.half, unit)
		w.half = 0
		w.ready = utf8.AppendRune(w.ready, pair)
		if pair == utf8.RuneError { // the pair was broken off
			w.put(unit)
		}
	case utf16.IsSurrogate(unit) && unit < firstLow:
		w.half = unit
	default:
		w.ready = utf8.AppendRune(w.ready, unit) // a second half alone becomes the replacement character
	}
}
