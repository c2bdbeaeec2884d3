package question

import "fmt"

// Refused says which part of what was asked is wrong, by the name of its field in lower
// case.
type Refused struct {
	Part string
	Err  error // begins with the value
}

func (r Refused) Error() string { return r.Part + " " + r.Err.Error() }

func (r Refused) Unwrap() error { return r.Err }

func refused(part, format string, args ...any) Refused {
	return Refused{part, fmt.Errorf(format, args...)}
}
