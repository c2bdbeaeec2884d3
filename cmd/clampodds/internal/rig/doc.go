// Package rig reads a table of thermal readings, of a test rig or of cards in
// service, and makes of it and a study what sim/calibrate asks for.
//
// # The table
//
// A CSV file with a header line; dist/readings says what is taken. A row is one
// state in which temperatures were read. Columns are found by their headers,
// units stand in the header ("torque [N*m]") or are given:
//
//	torque            torque as set; the tool's scatter about it stays that of the study
//	power             heat of the whole card; the study's sources keep their shares
//	wall              temperature of the cold wall (also "wall temperature", "cold wall")
//	altitude          whose pressure is in the gaps
//	left, right       mean temperatures of the edges (also "left edge", "right edge")
//	hotter            mean temperature of the hotter edge (also "hotter edge")
//	spot              temperature of the hottest spot of both (also "hottest spot")
//	left resistance, right resistance
//	                  of the edges, edge less cold wall over the heat that leaves there
//	noise             standard deviation of the row's readings
//	card              any label; rows of one label were read on one card
//	lot               any label of the lot of the card; cards of one label in two lots are two
//
// Needed are one or more of left and right, or hotter, or spot, or one or both resistances,
// and the noise. What is not in the table is taken from the study, its scatter
// included.
//
// # What rows share
//
// Rows of one card share its flatness, its fits and its clamps; without a card
// column all rows are of one card, which is the cautious reading. Rows that follow
// one another with the same card and torque are one tightening; any other torque is
// a new one, with a new error of the tool. What the study draws per lot, roughness
// and friction, is shared by the rows of one lot, which are all rows without a lot
// column; chassis and lack of knowledge are shared by all rows.
//
// # Scale
//
// Conductances multiply, so the variation of a temperature rise is nearly normal
// on a logarithmic scale: with a wall column, observations are the logarithms of
// the edge's rise above the wall, with resistances their logarithms. Without the
// wall they are the temperatures themselves.
package rig
