package reports

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"

	"clampodds/reports/figure"
)

// FolderPage is the page of a report folder, FolderSign the words in it that tell one.
const (
	FolderPage = "index.html"
	FolderSign = `name="generator" content="` + generator + `"`
)

// FolderFiles makes the files of a report folder, by their names with slashes: index.html, which
// stands alone; report.md with figures/ as SVG and PNG of 300 dots per inch; report.docx;
// tables/ as CSV, with what is in each in its README.md; report.tex, to be compiled in the folder, with latex/, a fragment for each
// table and figure; and, unless it is nil, data as report.json, for programs.
func FolderFiles(d Document, data any) (map[string][]byte, error) {
	files := map[string][]byte{}
	add := func(name string, write func(w io.Writer) error) error {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		files[name] = b.Bytes()
		return nil
	}
	names, pictures := fileNames(d), map[Block]string{}
	drawn, err := drawAll(slices.Concat(d.Blocks, d.Attached))
	if err != nil {
		return nil, err
	}
	err = add(FolderPage, func(w io.Writer) error { return WriteHTML(w, d) })
	for _, b := range slices.Concat(d.Blocks, d.Attached) {
		switch b := b.(type) {
		case *Table:
			err = errors.Join(err,
				add("tables/"+names[b]+".csv", func(w io.Writer) error { return WriteTableCSV(w, b) }),
				add("latex/table-"+names[b]+".tex", func(w io.Writer) error { return WriteLatexTable(w, b, names[b]) }))
		case *Figure:
			pictures[b] = path.Join("figures", names[b]+".svg")
			png := path.Join("figures", names[b]+".png")
			about := figure.Description{ID: names[b], Title: titled(b.label(), b.Caption), Text: b.Alt}
			err = errors.Join(err,
				add(pictures[b], func(w io.Writer) error { _, err := w.Write(figure.SVG(b.Drawing, about)); return err }),
				add(png, func(w io.Writer) error { _, err := w.Write(drawn[b]); return err }),
				add("latex/figure-"+names[b]+".tex", func(w io.Writer) error { return WriteLatexFigure(w, b, names[b]) }))
		}
	}
	err = errors.Join(err,
		add("tables/README.md", func(w io.Writer) error { return writeTablesIndex(w, d) }),
		add("report.tex", func(w io.Writer) error { return WriteLatex(w, d) }),
		add("report.md", func(w io.Writer) error { return writeMarkdown(w, d, pictures) }),
		add("report.docx", func(w io.Writer) error { return writeDOCX(w, d, drawn) }))
	if data != nil {
		err = errors.Join(err, add("report.json", func(w io.Writer) error { return WriteJSON(w, data) }))
	}
	return files, err
}

// fileNames gives every table and figure of d, attached ones too, a name for files and anchors, made
// of its key: letters, digits, - and _, not empty, none twice, whatever the case.
func fileNames(d Document) map[Block]string {
	names, taken := map[Block]string{}, map[string]bool{}
	for _, b := range slices.Concat(d.Blocks, d.Attached) {
		key := ""
		switch b := b.(type) {
		case *Table:
			key = b.Key
		case *Figure:
			key = b.Key
		default:
			continue
		}
		base := fileName(key)
		name := base
		for i := 2; taken[strings.ToLower(name)]; i++ {
			name = fmt.Sprintf("%s-%d", base, i)
		}
		names[b], taken[strings.ToLower(name)] = name, true
	}
	return names
}

// longestName keeps paths within what file systems take.
const longestName = 60

func fileName(key string) string {
	name := strings.Map(func(r rune) rune {
		if r < 0x80 && (r == '-' || r == '_' || '0' <= r && r <= '9' || 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z') {
			return r
		}
		return '-'
	}, key)
	if len(name) > longestName {
		name = name[:longestName]
	}
	if name = strings.Trim(name, "-"); name == "" {
		return "unnamed"
	}
	return name
}
