package reports

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"

	"clampodds/reports/figure"
	"clampodds/sim/batch"
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
	type file struct {
		name  string
		write func(w io.Writer) error
		text  bytes.Buffer
	}
	var files []*file
	add := func(name string, write func(w io.Writer) error) {
		files = append(files, &file{name: name, write: write})
	}
	names, pictures := fileNames(d), map[Block]string{}
	figures := figuresOf(slices.Concat(d.Blocks, d.Attached))
	for _, f := range figures { // which take longest
		add(path.Join("figures", names[f]+".png"), func(w io.Writer) error { return figure.PNG(w, f.Drawing, figure.PrintDPI) })
	}
	add(FolderPage, func(w io.Writer) error { return WriteHTML(w, d) })
	for _, b := range slices.Concat(d.Blocks, d.Attached) {
		switch b := b.(type) {
		case *Table:
			add("tables/"+names[b]+".csv", func(w io.Writer) error { return WriteTableCSV(w, b) })
			add("latex/table-"+names[b]+".tex", func(w io.Writer) error { return WriteLatexTable(w, b, names[b]) })
		case *Figure:
			pictures[b] = path.Join("figures", names[b]+".svg")
			about := figure.Description{ID: names[b], Title: titled(b.label(), b.Caption), Text: b.Alt}
			add(pictures[b], func(w io.Writer) error { _, err := w.Write(figure.SVG(b.Drawing, about)); return err })
			add("latex/figure-"+names[b]+".tex", func(w io.Writer) error { return WriteLatexFigure(w, b, names[b]) })
		}
	}
	add("tables/README.md", func(w io.Writer) error { return writeTablesIndex(w, d) })
	add("report.tex", func(w io.Writer) error { return WriteLatex(w, d) })
	add("report.md", func(w io.Writer) error { return writeMarkdown(w, d, pictures) })
	if data != nil {
		add("report.json", func(w io.Writer) error { return WriteJSON(w, data) })
	}
	write := func(f *file) error {
		if err := f.write(&f.text); err != nil {
			return fmt.Errorf("%s: %w", f.name, err)
		}
		return nil
	}
	if err := batch.Each(context.Background(), 0, len(files), func(i int) error { return write(files[i]) }); err != nil {
		return nil, err
	}
	drawn := map[*Figure][]byte{}
	for i, f := range figures {
		drawn[f] = files[i].text.Bytes()
	}
	add("report.docx", func(w io.Writer) error { return writeDOCX(w, d, drawn) })
	if err := write(files[len(files)-1]); err != nil {
		return nil, err
	}
	written := map[string][]byte{}
	for _, f := range files {
		written[f.name] = f.text.Bytes()
	}
	return written, nil
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
