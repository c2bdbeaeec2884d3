package reports

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"

	"clampodds/reports/figure"
)

// FolderOptions say what goes into a report folder besides the document.
type FolderOptions struct {
	// JSON is written to report.json, for programs; nil: no such file.
	JSON any
	// Force replaces a folder that WriteFolder wrote.
	Force bool
	// Spare is asked for each file that Force would replace; its error is returned
	// and nothing written. nil: no such question.
	Spare func(path string) error
}

// ErrFolder is wrapped by an error that says why a folder may not be written: it
// exists already, or holds what WriteFolder did not write.
var ErrFolder = errors.New("cannot write the report folder")

// WriteFolder writes d into dir: index.html, which stands alone; report.md with
// figures/ as SVG and PNG of 300 dots per inch; report.docx; tables/ as CSV;
// latex/ with a fragment for each table and figure, the figures' paths relative to dir;
// report.json; and files.sha256, the list of all of it, as `sha256sum -c` reads it.
//
// The folder appears whole or not at all: it is written beside dir under a temporary
// name and renamed. An existing dir is refused; with Force it is replaced as a whole,
// if it has nothing but files that an earlier report listed, else refused.
func WriteFolder(dir string, d Document, o FolderOptions) error {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return err
	}
	if err := mayReplace(dir, o); err != nil {
		return err
	}
	files, err := folderFiles(d, o)
	if err != nil {
		return err
	}
	temporary, err := os.MkdirTemp(filepath.Dir(dir), "."+filepath.Base(dir)+".*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(temporary) // holds what was replaced, or what was not finished
	fresh := filepath.Join(temporary, "new")
	for _, f := range append(files, manifestFile(files)) {
		name := filepath.Join(fresh, filepath.FromSlash(f.name))
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(name, f.text, 0o644); err != nil {
			return err
		}
	}
	return swap(fresh, dir, filepath.Join(temporary, "old"))
}

// swap moves fresh to dir and what was there to old; on failure dir is as before.
func swap(fresh, dir, old string) error {
	moved := os.Rename(dir, old)
	if moved != nil && !errors.Is(moved, os.ErrNotExist) {
		return moved
	}
	err := os.Rename(fresh, dir)
	if err != nil && moved == nil {
		return errors.Join(err, os.Rename(old, dir))
	}
	return err
}

// folderFile is a file of the folder, its name with slashes.
type folderFile struct {
	name string
	text []byte
}

// folderFiles makes every file in memory, so that an error comes before anything
// is written.
func folderFiles(d Document, o FolderOptions) ([]folderFile, error) {
	var files []folderFile
	add := func(name string, write func(w io.Writer) error) error {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		files = append(files, folderFile{name, b.Bytes()})
		return nil
	}
	names, pictures := fileNames(d), map[Block]string{}
	drawn, err := docxPictures(d) // once, for files of their own too
	if err != nil {
		return nil, err
	}
	err = add("index.html", func(w io.Writer) error { return WriteHTML(w, d) })
	for _, b := range d.Blocks {
		switch b := b.(type) {
		case *Table:
			err = errors.Join(err,
				add("tables/"+names[b]+".csv", func(w io.Writer) error { return WriteTableCSV(w, b) }),
				add("latex/table-"+names[b]+".tex", func(w io.Writer) error { return WriteLatexTable(w, b) }))
		case *Figure:
			pictures[b] = path.Join("figures", names[b]+".svg")
			png := path.Join("figures", names[b]+".png")
			about := figure.Description{ID: names[b], Title: titled(b.label(), b.Caption), Text: b.Alt}
			err = errors.Join(err,
				add(pictures[b], func(w io.Writer) error { _, err := w.Write(figure.SVG(b.Drawing, about)); return err }),
				add(png, func(w io.Writer) error { _, err := w.Write(drawn.of[b].png); return err }),
				add("latex/figure-"+names[b]+".tex", func(w io.Writer) error { return WriteLatexFigure(w, b, png) }))
		}
	}
	err = errors.Join(err,
		add("report.md", func(w io.Writer) error { return writeMarkdown(w, d, pictures) }),
		add("report.docx", func(w io.Writer) error { return writeDOCX(w, d, drawn) }))
	if o.JSON != nil {
		err = errors.Join(err, add("report.json", func(w io.Writer) error { return WriteJSON(w, o.JSON) }))
	}
	return files, err
}
