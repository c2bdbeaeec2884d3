// Package studies holds the example studies, so that the program can write them
// out. Every one is invented.
package studies

import "embed"

// Files are the studies (*.toml) and the measured data (*.csv, *.xlsx) they read.
//
//go:embed *.toml *.csv *.xlsx
var Files embed.FS
