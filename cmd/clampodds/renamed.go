package main

import (
	"fmt"

	"github.com/spf13/pflag"
)

// renamed refuses the old name of a flag with the new one.
func renamed(f *pflag.FlagSet, old, now string) {
	f.Var(oldName(now), old, "")
	_ = f.MarkHidden(old) // fails for an unknown flag only
}

// oldName is a flag value that is always wrong: the new name of the flag.
type oldName string

func (o oldName) Set(string) error { return fmt.Errorf("the flag is called --%s now", string(o)) }
func (o oldName) String() string   { return "" }
func (o oldName) Type() string     { return "" }
