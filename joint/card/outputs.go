package card

// Output describes one column of the model's output.
type Output struct {
	Name string
	Unit string // SI
	// Bin is the width of a histogram bin in that unit; 0 marks an event, whose
	// value is 0 or 1.
	Bin float64
}

// Index of each output within a row; the components follow.
const (
	edgeLeft = iota
	edgeRight
	edgeHotter
	edgeSpot
	spotLeft
	spotRight
	shareDirect
	shareUpper
	shareSide
	resistanceLeft
	resistanceRight
	axialLeft
	axialRight
	faceLeft
	faceRight
	utilisationScrew
	utilisationStripping
	utilisationBearing
	utilisationHolding
	fitInsertion
	fitTravel
	fitPreload
	eventNoEntry
	eventNoTravel
	eventUnclamped
	eventJammed
	eventSelfLocking
	eventPressureBelow
	eventPressureAbove
	eventOverYield
	eventOutsideRange
	ownOutputs
)

// outputTable describes the outputs in the order of their indices.
func outputTable(components []string) []Output {
	const (
		temperatureBin = 1e-3 // K
		shareBin       = 1e-5
		resistanceBin  = 1e-5 // K/W
		forceBin       = 0.1  // N
		utilisationBin = 1e-4
		lengthBin      = 1e-8 // m
	)
	table := []Output{
		edgeLeft:             {"edge.left", "K", temperatureBin},
		edgeRight:            {"edge.right", "K", temperatureBin},
		edgeHotter:           {"edge.hotter", "K", temperatureBin},
		edgeSpot:             {"edge.spot", "K", temperatureBin},
		spotLeft:             {"edge.spot.left", "K", temperatureBin},
		spotRight:            {"edge.spot.right", "K", temperatureBin},
		shareDirect:          {"share.direct", "1", shareBin},
		shareUpper:           {"share.upper", "1", shareBin},
		shareSide:            {"share.side", "1", shareBin},
		resistanceLeft:       {"resistance.left", "K/W", resistanceBin},
		resistanceRight:      {"resistance.right", "K/W", resistanceBin},
		axialLeft:            {"force.axial.left", "N", forceBin},
		axialRight:           {"force.axial.right", "N", forceBin},
		faceLeft:             {"force.face.left", "N", forceBin},
		faceRight:            {"force.face.right", "N", forceBin},
		utilisationScrew:     {"utilisation.screw", "1", utilisationBin},
		utilisationStripping: {"utilisation.stripping", "1", utilisationBin},
		utilisationBearing:   {"utilisation.bearing", "1", utilisationBin},
		utilisationHolding:   {"utilisation.holding", "1", utilisationBin},
		fitInsertion:         {"fit.insertion", "m", lengthBin},
		fitTravel:            {"fit.travel", "m", lengthBin},
		fitPreload:           {"fit.preload", "N", forceBin},
		eventNoEntry:         {"event.no_entry", "1", 0},
		eventNoTravel:        {"event.no_travel", "1", 0},
		eventUnclamped:       {"event.unclamped", "1", 0},
		eventJammed:          {"event.jammed", "1", 0},
		eventSelfLocking:     {"event.self_locking", "1", 0},
		eventPressureBelow:   {"event.pressure_below_range", "1", 0},
		eventPressureAbove:   {"event.pressure_above_range", "1", 0},
		eventOverYield:       {"event.over_yield", "1", 0},
		eventOutsideRange:    {"event.outside_range", "1", 0},
	}
	for _, name := range components {
		table = append(table, Output{"component." + name, "K", temperatureBin})
	}
	return table
}
