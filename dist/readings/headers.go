package readings

import (
	"fmt"
	"io"
)

// Headers returns the headers of the columns without the units that stand there,
// for a caller that has to find out which columns a file has. Of the options only
// Separator and DecimalComma matter. Errors are those of Read; nothing behind the
// first row is looked at.
func Headers(source io.Reader, o Options) ([]string, error) {
	r := &reader{Options: o}
	if err := r.open(source); err != nil {
		return nil, err
	}
	for {
		cells, err := r.csv.Read()
		if err != nil {
			if done, failure := r.failed(err, true); done {
				return nil, failure
			}
			continue
		}
		if empty(cells) {
			continue
		}
		if len(cells) > maxColumns {
			return nil, r.stop(Problem{Line: r.line(), Message: fmt.Sprintf("%d columns, at most %d are read", len(cells), maxColumns)})
		}
		var names []string
		for _, cell := range cells {
			names = append(names, takeApart(cell).name)
		}
		return names, nil
	}
}
