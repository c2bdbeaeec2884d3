package main

import (
	_ "github.com/olekukonko/tablewriter"
	_ "github.com/pelletier/go-toml/v2"
	_ "github.com/pelletier/go-toml/v2/unstable"
	_ "github.com/schollz/progressbar/v3"
	_ "github.com/spf13/cobra"
	_ "github.com/spf13/pflag"
	_ "github.com/stretchr/testify/require"
	_ "golang.org/x/exp/rand"
	_ "golang.org/x/term"
	_ "gonum.org/v1/gonum/unit"
	_ "gonum.org/v1/plot"
	_ "gonum.org/v1/plot/vg/vgsvg"
	_ "gonum.org/v1/plot/vg/vgimg"
	_ "pgregory.net/rapid"
)

func main() {}
