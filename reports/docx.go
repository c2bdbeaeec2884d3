package reports

import (
	"archive/zip"
	"bytes"
	"context"
	"embed"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"clampodds/reports/figure"
	"clampodds/sim/batch"
)

// docxParts are the parts of a word processor file (ECMA-376, Office Open XML)
// that are the same for every document.
//
//go:embed docx
var docxParts embed.FS

// WriterFor writes a document in the form that the name of a file ends in, .html or .docx; nil for another name.
func WriterFor(name string) func(io.Writer, Document) error {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".html":
		return WriteHTML
	case ".docx":
		return WriteDOCX
	}
	return nil
}

// WriteDOCX writes d as a word processor file, its figures drawn for it.
func WriteDOCX(w io.Writer, d Document) error {
	drawn, err := drawAll(d.Blocks)
	if err != nil {
		return err
	}
	return writeDOCX(w, d, drawn)
}

// writeDOCX writes d as a word processor file: headings, real tables and captions
// that the program can list, figures as pictures of 300 dots per inch. The same
// document gives the same bytes.
func writeDOCX(w io.Writer, d Document, drawn map[*Figure][]byte) error {
	pictures := docxPictures(d, drawn)
	z := zip.NewWriter(w)
	for _, part := range []struct{ from, to string }{
		{"content_types.xml", "[Content_Types].xml"},
		{"package.rels", "_rels/.rels"},
		{"styles.xml", "word/styles.xml"},
		{"numbering.xml", "word/numbering.xml"},
		{"footer.xml", "word/footer.xml"},
	} {
		text, err := docxParts.ReadFile("docx/" + part.from)
		if err != nil {
			panic("reports: " + err.Error())
		}
		if err := addPart(z, part.to, text); err != nil {
			return err
		}
	}
	core := `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n" +
		`<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties" xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:title>` + xmlText(d.Title) + `</dc:title></cp:coreProperties>`
	if err := addPart(z, "docProps/core.xml", []byte(core)); err != nil {
		return err
	}
	if err := addPart(z, "word/document.xml", docxDocument(d, pictures)); err != nil {
		return err
	}
	if err := addPart(z, "word/_rels/document.xml.rels", docxRelations(pictures)); err != nil {
		return err
	}
	for _, p := range pictures.list {
		if err := addPart(z, "word/"+p.path(), p.png); err != nil {
			return err
		}
	}
	return z.Close()
}

// addPart adds a file with a fixed date.
func addPart(z *zip.Writer, name string, text []byte) error {
	// The earliest date that the format can hold.
	f, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)})
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	return err
}

// docxPicture is a figure drawn for the file.
type docxPicture struct {
	number int
	png    []byte
}

func (p docxPicture) path() string { return fmt.Sprintf("media/figure%d.png", p.number) }
func (p docxPicture) id() string   { return fmt.Sprintf("picture%d", p.number) }

type docxPictureSet struct {
	list []docxPicture
	of   map[*Figure]docxPicture
}

func docxPictures(d Document, drawn map[*Figure][]byte) docxPictureSet {
	set := docxPictureSet{of: map[*Figure]docxPicture{}}
	for _, f := range figuresOf(d.Blocks) {
		p := docxPicture{len(set.list) + 1, drawn[f]}
		set.list = append(set.list, p)
		set.of[f] = p
	}
	return set
}

// drawAll draws figures as PNG for print, several at a time.
func drawAll(blocks []Block) (map[*Figure][]byte, error) {
	figures := figuresOf(blocks)
	pictures := make([]bytes.Buffer, len(figures))
	err := batch.Each(context.Background(), 0, len(figures), func(i int) error {
		if err := figure.PNG(&pictures[i], figures[i].Drawing, figure.PrintDPI); err != nil {
			return fmt.Errorf("drawing figure %q: %w", figures[i].Key, err)
		}
		return nil
	})
	drawn := map[*Figure][]byte{}
	for i, f := range figures {
		drawn[f] = pictures[i].Bytes()
	}
	return drawn, err
}

func figuresOf(blocks []Block) (figures []*Figure) {
	for _, b := range blocks {
		if f, ok := b.(*Figure); ok {
			figures = append(figures, f)
		}
	}
	return figures
}

func docxRelations(pictures docxPictureSet) []byte {
	const kind = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"
	var b strings.Builder
	b.WriteString(`<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n" + `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">`)
	add := func(id, what, target string) {
		fmt.Fprintf(&b, `<Relationship Id="%s" Type="%s%s" Target="%s"/>`, id, kind, what, target)
	}
	add("styles", "styles", "styles.xml")
	add("numbering", "numbering", "numbering.xml")
	add("footer", "footer", "footer.xml")
	for _, p := range pictures.list {
		add(p.id(), "image", p.path())
	}
	b.WriteString(`</Relationships>`)
	return []byte(b.String())
}
