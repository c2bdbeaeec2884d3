// Package sheet reads a sheet of a workbook (.xlsx) as rows of texts, for package readings.
//
// A number comes as it is stored, not as it is shown. What only looks like a number comes as it is
// shown, so that a reader of numbers refuses it: dates, percentages, truth values, errors. So
// does a formula that was never computed, or that runs over a range of other cells and is a mean or a sum of readings.
//
// Rows above the table with a single text are titles and left out. Headers over several
// columns or rows are put together. A merged cell below them has its text in every
// cell it covers, and each is marked.
package sheet
