// Package studies holds the example studies, so that the program can write them
// out. Every one is invented.
package studies

import (
	"embed"
	"fmt"
	"io/fs"
	"slices"
	"strings"
)

// Files are the studies (*.toml) and the measured data (*.csv, *.xlsx) they read.
//
//go:embed *.toml *.csv *.xlsx
var Files embed.FS

// Names are those of the files, sorted.
func Names() []string {
	var names []string
	for _, pattern := range []string{"*.toml", "*.csv", "*.xlsx"} {
		found, _ := fs.Glob(Files, pattern) // the patterns are well formed
		names = append(names, found...)
	}
	slices.Sort(names)
	return names
}

// List has a line for each, with what it is.
func List() string {
	var b strings.Builder
	for _, name := range Names() {
		fmt.Fprintf(&b, "%-24s %s\n", name, about(name))
	}
	return b.String()
}

// about is the first comment line of a study or, of data, its heads.
func about(name string) string {
	if strings.HasSuffix(name, ".xlsx") {
		return "Incoming inspection of trial lots: flatness of the flange, and a study of the gauge, readings invented."
	}
	text, _ := Files.ReadFile(name) // one of Names
	first, _, _ := strings.Cut(string(text), "\n")
	return strings.TrimLeft(first, "# ")
}

// Read finds a file by its name, with or without the ending of a study.
func Read(name string) ([]byte, error) {
	for _, file := range []string{name, name + ".toml"} {
		if slices.Contains(Names(), file) {
			return Files.ReadFile(file)
		}
	}
	return nil, fmt.Errorf("no example %q; there are %s", name, strings.Join(Names(), ", "))
}

// Needs lists the other files that the text of one names: what it extends, and measured data.
func Needs(text []byte) (names []string) {
	for _, name := range Names() {
		if strings.Contains(string(text), `"`+name+`"`) {
			names = append(names, name)
		}
	}
	return names
}
