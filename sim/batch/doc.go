// Package batch holds what every question needs to work through rows: columns of
// numbers, and the one pool of workers.
//
// A block is a set of columns, block[i][r] being row r of column i. The pool hands
// out tasks in order to as many goroutines as its caller may use and hears its
// context between two tasks. A task depends on its index alone and writes only to
// its own place, so what comes out does not depend on the number of workers.
package batch
