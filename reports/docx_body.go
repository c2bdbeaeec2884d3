package reports

import (
	"encoding/xml"
	"fmt"
	"strings"

	"gonum.org/v1/plot/vg"
)

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

// docxDocument is the part word/document.xml.
func docxDocument(d Document, pictures docxPictureSet) []byte {
	b := &docxBody{}
	b.text(`<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n" +
		`<w:document xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships" xmlns:wp="http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing" xmlns:a="http://schemas.openxmlformats.org/drawingml/2006/main" xmlns:pic="http://schemas.openxmlformats.org/drawingml/2006/picture"><w:body>`)
	b.paragraph("Title", "", run(d.Title, ""))
	for i, block := range d.Blocks {
		switch block := block.(type) {
		case Heading:
			first := ""
			if i > 0 {
				if t, ok := d.Blocks[i-1].(*Table); ok && t.filledIn() {
					first = `<w:pageBreakBefore/>` // what is signed is a page of its own
				}
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

// run is a piece of text with its properties.
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
	case total <= 115:
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
	for _, w := range widths {
		total += float64(w) * perCharacter
	}
	shrink := min(1, pageTwips/max(total, 1))
	height := ""
	if t.filledIn() {
		shrink = pageTwips / max(total, 1)
		height = `<w:trHeight w:val="460"/>`
	}
	grid, columns := "", make([]string, len(widths))
	for i, w := range widths {
		columns[i] = fmt.Sprint(int(float64(w) * perCharacter * shrink))
		grid += `<w:gridCol w:w="` + columns[i] + `"/>`
	}
	b.text(`<w:tbl><w:tblPr><w:tblStyle w:val="Ruled"/><w:tblW w:w="` + fmt.Sprint(int(total*shrink)) + `" w:type="dxa"/><w:tblLayout w:type="fixed"/><w:tblLook w:val="0020" w:firstRow="1"/><w:tblCaption w:val="` + xmlText(titled(t.label(), t.Caption)) + `"/></w:tblPr><w:tblGrid>` + grid + `</w:tblGrid>`)
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
		b.paragraph("Note", "", "") // tables that follow each other would join
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

// picture places a figure in its true size.
func (b *docxBody) picture(f *Figure, p docxPicture) {
	width, height := f.Drawing.Size()
	emu := func(l vg.Length) int { return int(l / vg.Inch * emuPerInch) }
	extent := fmt.Sprintf(`cx="%d" cy="%d"`, emu(width), emu(height))
	named := fmt.Sprintf(`id="%d" name="%s" descr="%s"`, p.number, xmlText(f.Key), xmlText(f.Alt))
	b.paragraph("Normal", keepNext, `<w:r><w:drawing><wp:inline distT="0" distB="0" distL="0" distR="0"><wp:extent `+extent+`/><wp:docPr `+named+`/><a:graphic><a:graphicData uri="http://schemas.openxmlformats.org/drawingml/2006/picture"><pic:pic><pic:nvPicPr><pic:cNvPr `+named+`/><pic:cNvPicPr/></pic:nvPicPr><pic:blipFill><a:blip r:embed="`+p.id()+`"/><a:stretch><a:fillRect/></a:stretch></pic:blipFill><pic:spPr><a:xfrm><a:off x="0" y="0"/><a:ext `+extent+`/></a:xfrm><a:prstGeom prst="rect"><a:avLst/></a:prstGeom></pic:spPr></pic:pic></a:graphicData></a:graphic></wp:inline></w:drawing></w:r>`)
}
