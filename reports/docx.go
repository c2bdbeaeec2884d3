package reports

import (
	"archive/zip"
	"bytes"
	"context"
	"embed"
	"encoding/xml"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"gonum.org/v1/plot/vg"

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
		if part.from == "footer.xml" && d.Running != "" {
			tabs := fmt.Sprintf(`<w:tabs><w:tab w:val="right" w:pos="%d"/></w:tabs></w:pPr>`, pageTwips)
			text = bytes.Replace(text, []byte(`<w:jc w:val="right"/></w:pPr>`), []byte(tabs+run(d.Running, `<w:sz w:val="16"/>`)+`<w:r><w:tab/></w:r>`), 1)
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
		if err := addFile(z, "word/"+p.path(), zip.Store, p.png); err != nil { // it is compressed
			return err
		}
	}
	return z.Close()
}

func addPart(z *zip.Writer, name string, text []byte) error {
	return addFile(z, name, zip.Deflate, text)
}

// addFile adds a file with a fixed date.
func addFile(z *zip.Writer, name string, method uint16, text []byte) error {
	// The earliest date that the format can hold.
	f, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: method, Modified: time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)})
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

// Lengths of the file format: twentieths of a point for text, English metric
// units for pictures. Pages are A4 with margins that leave Letter the same lines.
const (
	twips      = 20.0
	emuPerInch = 914400
	pageTwips  = 9980 // 176 mm between the margins
)

// xmlText is a text between tags or in an attribute.
func xmlText(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(plain(s))) // a builder does not fail
	return b.String()
}

func docxDocument(d Document, pictures docxPictureSet) []byte {
	b := &docxBody{}
	b.text(`<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n" +
		`<w:document xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships" xmlns:wp="http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing" xmlns:a="http://schemas.openxmlformats.org/drawingml/2006/main" xmlns:pic="http://schemas.openxmlformats.org/drawingml/2006/picture"><w:body>`)
	b.paragraph("Title", "", run(d.Title, ""))
	for i, block := range d.Blocks {
		switch block := block.(type) {
		case Heading:
			first := ""
			if d.afterSignatures(i) {
				first = `<w:pageBreakBefore/>`
			}
			b.paragraph("Heading1", first, run(string(block), ""))
		case Subheading:
			b.paragraph("Heading2", "", run(string(block), ""))
		case Paragraph:
			b.paragraph("Normal", "", run(string(block), ""))
		case Code:
			b.paragraph("Normal", "", run(string(block), ""))
		case List:
			for _, item := range block {
				b.paragraph("ListBullet", "", run(item, ""))
			}
		case *Table:
			b.caption("Table ", block.Number, block.Caption, keepNext)
			b.table(block)
			for _, n := range block.Notes {
				b.paragraph("Note", "", run(n, ""))
			}
		case *Figure:
			b.picture(block, pictures.of[block])
			b.caption("Figure ", block.Number, block.Caption, `<w:spacing w:before="0" w:after="240"/>`)
		}
	}
	b.text(`<w:sectPr><w:footerReference w:type="default" r:id="footer"/><w:pgSz w:w="11906" w:h="16838"/><w:pgMar w:top="1020" w:right="963" w:bottom="1020" w:left="963" w:header="567" w:footer="567" w:gutter="0"/></w:sectPr></w:body></w:document>`)
	return []byte(b.String())
}

// docxBody collects the body.
type docxBody struct{ strings.Builder }

func (b *docxBody) text(s string) { b.WriteString(s) }

func run(s, properties string) string {
	if properties != "" {
		properties = "<w:rPr>" + properties + "</w:rPr>"
	}
	return `<w:r>` + properties + `<w:t xml:space="preserve">` + xmlText(s) + `</w:t></w:r>`
}

// paragraph has a style and further properties in the order of the schema.
func (b *docxBody) paragraph(style, properties, runs string) {
	b.text(`<w:p><w:pPr><w:pStyle w:val="` + style + `"/>` + properties + `</w:pPr>` + runs + `</w:p>`)
}

// caption counts with a field, so that the program can list tables and figures;
// its result is the number of the model.
func (b *docxBody) caption(word, number, text, properties string) {
	if number == "" {
		if text != "" {
			b.paragraph("Caption", properties, run(text, ""))
		}
		return
	}
	at := strings.LastIndex(number, "-") + 1
	field := `<w:fldSimple w:instr=" SEQ ` + strings.TrimSpace(word) + ` \* ARABIC ">` + run(number[at:], "<w:b/>") + `</w:fldSimple>`
	b.paragraph("Caption", properties, run(word+number[:at], "<w:b/>")+field+run(". ", "<w:b/>")+run(text, ""))
}

// docxType is the size of a table's type in half points and the characters that a
// line of it holds.
func docxType(t *Table) (halfPoints, line int) {
	switch _, total := columnCharacters(t); {
	case total <= 100 || t.Key == decisionKey:
		return 17, 100
	}
	if widths, _ := fitColumns(t, 115); sum(widths) <= 115 {
		return 15, 115
	}
	return 13, 132
}

func (b *docxBody) table(t *Table) {
	size, line := docxType(t)
	widths, _ := fitColumns(t, line)
	// A digit is 0.56 as wide as the type is high, and heads are bold.
	perCharacter := float64(size) / 2 * 0.58 * twips
	total := 0.0
	for i := range widths {
		for _, word := range strings.Fields(t.Columns[i].Head) {
			widths[i] = max(widths[i], len(word)+3) // of a head none breaks
		}
		total += float64(widths[i]) * perCharacter
	}
	shrink := min(1, pageTwips/max(total, 1))
	height, lines := "", ""
	if t.filledIn() { // lines to write on
		shrink = pageTwips / max(total, 1)
		height = `<w:trHeight w:val="460"/>`
		lines = `<w:tblBorders><w:top w:val="single" w:sz="8" w:color="1B2129"/><w:bottom w:val="single" w:sz="8" w:color="1B2129"/><w:insideH w:val="single" w:sz="4" w:color="8A939D"/></w:tblBorders>`
	}
	grid, columns := "", make([]string, len(widths))
	for i, w := range widths {
		columns[i] = fmt.Sprint(int(float64(w) * perCharacter * shrink))
		grid += `<w:gridCol w:w="` + columns[i] + `"/>`
	}
	b.text(`<w:tbl><w:tblPr><w:tblStyle w:val="Ruled"/><w:tblW w:w="` + fmt.Sprint(int(total*shrink)) + `" w:type="dxa"/>` + lines + `<w:tblLayout w:type="fixed"/><w:tblLook w:val="0020" w:firstRow="1"/><w:tblCaption w:val="` + xmlText(titled(t.label(), t.Caption)) + `"/></w:tblPr><w:tblGrid>` + grid + `</w:tblGrid>`)
	look := func(bold string) string { return fmt.Sprintf(`%s<w:sz w:val="%d"/>`, bold, size) }
	b.row(t, t.heads(), columns, look(""), `<w:cantSplit/><w:tblHeader/>`, keepNext)
	rows := 0
	for _, group := range t.groups() {
		for i, row := range group {
			bold := ""
			if t.stressed(rows) {
				bold = `<w:b/>`
			}
			rows++
			last := rows == len(t.Rows)
			keep := ""
			if i < len(group)-1 || len(t.Rows) <= shortTable && !last || last && len(t.Notes) > 0 {
				keep = keepNext
			}
			b.row(t, row, columns, look(bold), `<w:cantSplit/>`+height, keep)
		}
	}
	b.text(`</w:tbl>`)
	if len(t.Notes) == 0 {
		b.paragraph("Note", `<w:spacing w:before="0" w:after="0" w:line="120" w:lineRule="exact"/>`, "") // tables that follow each other would join
	}
}

// keepNext leaves a paragraph, or a row of them, on the page of what follows.
const keepNext = `<w:keepNext/>`

func (b *docxBody) row(t *Table, cells, columns []string, look, properties, keep string) {
	b.text(`<w:tr><w:trPr>` + properties + `</w:trPr>`)
	for i, cell := range cells {
		align := keep
		if t.Columns[i].Number {
			align += `<w:jc w:val="right"/>`
		}
		b.text(`<w:tc><w:tcPr><w:tcW w:w="` + columns[i] + `" w:type="dxa"/></w:tcPr>`)
		b.paragraph("Cell", align, run(cell, look))
		b.text(`</w:tc>`)
	}
	b.text(`</w:tr>`)
}

// pictureScale is the size of a figure in print over its own, as in the page.
const pictureScale = 0.75

// picture places a figure.
func (b *docxBody) picture(f *Figure, p docxPicture) {
	width, height := f.Drawing.Size()
	emu := func(l vg.Length) int { return int(pictureScale * l / vg.Inch * emuPerInch) }
	extent := fmt.Sprintf(`cx="%d" cy="%d"`, emu(width), emu(height))
	named := fmt.Sprintf(`id="%d" name="%s" descr="%s"`, p.number, xmlText(f.Key), xmlText(f.Alt))
	b.paragraph("Normal", keepNext, `<w:r><w:drawing><wp:inline distT="0" distB="0" distL="0" distR="0"><wp:extent `+extent+`/><wp:docPr `+named+`/><a:graphic><a:graphicData uri="http://schemas.openxmlformats.org/drawingml/2006/picture"><pic:pic><pic:nvPicPr><pic:cNvPr `+named+`/><pic:cNvPicPr/></pic:nvPicPr><pic:blipFill><a:blip r:embed="`+p.id()+`"/><a:stretch><a:fillRect/></a:stretch></pic:blipFill><pic:spPr><a:xfrm><a:off x="0" y="0"/><a:ext `+extent+`/></a:xfrm><a:prstGeom prst="rect"><a:avLst/></a:prstGeom></pic:spPr></pic:pic></a:graphicData></a:graphic></wp:inline></w:drawing></w:r>`)
}
