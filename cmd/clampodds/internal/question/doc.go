// Package question answers the questions of the program: from a study or from readings to a
// result of package reports, one file for each question. It knows no flags and prints nothing.
//
// An error is about the study or what was asked, unless it is a Stopped: then an
// interrupt ended the work.
package question
