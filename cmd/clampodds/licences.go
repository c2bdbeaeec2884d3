package main

import (
	_ "embed"
	"io"
)

// The licence of the program, and those of what is linked into it, as a test gathers them.
var (
	//go:embed licences/LICENSE
	ownLicence string
	//go:embed licences/THIRD-PARTY.txt
	thirdParty string
)

func printLicences(w io.Writer) error {
	_, err := io.WriteString(w, ownLicence+"\n"+thirdParty)
	return err
}
