// Package readings reads a column of measured readings from a table exported by
// a spreadsheet, a data logger or a torque analyser.
//
// It takes files as they come: a workbook (.xlsx), or text in UTF-8, UTF-16 or Latin-1 with comma,
// semicolon, tab or bar between the cells, decimal commas when told so, a byte order
// mark, quotes, blank lines, comment lines that start with # and a blank, a "sep=;"
// line, LF and CRLF; units in the header or in a row of their own. A reading below or above what the gauge can show may
// be written "<0.05" or ">2.5".
//
// It refuses what it cannot be sure of: every bad cell is named with its line
// and column, or its address in the sheet, all of them at once. Memory is bounded by the number of readings,
// whatever the file holds.
package readings
