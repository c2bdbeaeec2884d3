package question

import (
	"bufio"
	"clampodds/cmd/clampodds/internal/files"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Interview asks NewQuestions, of a person again after a wrong answer.
type Interview struct {
	In     *bufio.Reader
	Out    io.Writer
	Person bool // a person answers
	ended  bool
}

// introduction is for a person who types.
const introduction = `Enter takes the value in brackets, which the study then calls assumed. Type units, and a tolerance
where there is one: 11.60 mm +- 0.05 mm, 0.375 in +0.005/-0, 6 in*lbf +- 5 %, 140 degF +- 5 degF.

`

// Ask takes an answer that is given beforehand under the name of its question.
func (i *Interview) Ask(flag func(name string) (string, bool)) (Answers, error) {
	all := Answers{}
	if i.Person {
		fmt.Fprint(i.Out, introduction)
	}
	for _, q := range NewQuestions {
		if text, ok := flag(q.Name); ok {
			a, err := q.Read(text)
			if err != nil {
				return nil, refused(q.Name, "%q: %w", text, err)
			}
			all[q.Name] = a
			continue
		}
		for {
			text, err := i.line(q)
			if err != nil {
				return nil, err
			}
			a, err := q.Read(text)
			if err == nil {
				all[q.Name] = a
				break
			}
			if !i.Person {
				return nil, fmt.Errorf("%s, %q: %w", q.Text, text, err)
			}
			fmt.Fprintln(i.Out, "  "+err.Error())
		}
	}
	return all, nil
}

// line reads one answer, empty after the end.
func (i *Interview) line(q NewQuestion) (string, error) {
	if i.ended {
		return "", nil
	}
	if i.Person {
		fmt.Fprintf(i.Out, "%s [%s]: ", q.Text, q.Usual)
	}
	text, err := i.In.ReadString('\n')
	if errors.Is(err, io.EOF) {
		i.ended, err = true, nil
	}
	if err != nil {
		return "", files.Failed{Err: err}
	}
	return strings.TrimSpace(strings.TrimPrefix(text, "\ufeff")), nil
}
