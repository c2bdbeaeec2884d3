package card

// Index of each per-edge parameter within an edge's block of the input vector.
const (
	screwTorque = iota
	screwPrevailing
	screwThreadFriction
	screwHeadFriction
	screwBearingDiameter
	screwPreloadLoss
	screwYield
	screwEngagement
	screwNutShear
	screwExpansion
	screwModulus
	screwAssemblyTemperature
	clampExpansion
	clampScrewTrainArea
	frictionRamp
	frictionWall
	frictionWallShare
	clampLength
	clampWidth
	clampHeight
	clampRampAngle
	clampSkew
	clampTravel
	flangeThickness
	flangeFrameWidth
	railThickness
	slotWidth
	directBow
	wallTemperature
	wallRise
	wallLowerResistance
	wallUpperResistance
	wallSideResistance
	frameResistance
	directFlatness
	directAcross
	directWaves
	directWaveCount
	ownEdgeParameters // the blocks of the bodies follow
)

// Index of each property within a body's block.
const (
	conductivity = iota
	modulus
	poisson
	hardness
	yield
	allowable
	roughness
	slope
	coatThickness
	coatConductivity
	coatHardness
	bodyParameters
)

// The bodies, in the order of their blocks.
const (
	clampBody = iota
	flangeBody
	railBody
	bodies
)

// edgeParameters is the size of an edge's block without its faces.
const edgeParameters = ownEdgeParameters + bodies*bodyParameters

// bodyProperty is the index of a body's property within an edge's block.
func bodyProperty(body, property int) int {
	return ownEdgeParameters + body*bodyParameters + property
}

// edgeTable describes the per-edge parameters, in the order of their indices.
func edgeTable() []Parameter {
	table := append(screwTable(), geometryTable()...)
	for _, body := range []string{clampBody: "clamp", flangeBody: "flange", railBody: "rail"} {
		table = append(table, bodyTable(body)...)
	}
	for i := range table {
		table[i].Scope = PerEdge
	}
	return table
}

const (
	notJudged  = "not judged"
	noCoat     = "no coat"
	noMismatch = "no preload change with temperature"
	noFlatness = "bow and crown stand alone"
)

// screwTable holds screwTorque to frictionWallShare.
func screwTable() []Parameter {
	return []Parameter{
		screwTorque:              {Key: "screw.torque", Unit: "N*m", Low: 0, High: 200, UsualLow: 0.2, UsualHigh: 6, Default: required, Meaning: "torque applied to the clamp screw"},
		screwPrevailing:          {Key: "screw.prevailing_torque", Unit: "N*m", Low: 0, High: 50, UsualLow: 0, UsualHigh: 0.5, Default: 0, Meaning: "running torque of a locking thread, which makes no preload"},
		screwThreadFriction:      {Key: "screw.thread_friction", Unit: "1", Low: 0, High: 1.5, UsualLow: 0.04, UsualHigh: 0.35, Default: required, Meaning: "friction coefficient of the thread"},
		screwHeadFriction:        {Key: "screw.head_friction", Unit: "1", Low: 0, High: 1.5, UsualLow: 0.04, UsualHigh: 0.45, Default: required, Meaning: "friction coefficient under the screw head"},
		screwBearingDiameter:     {Key: "screw.bearing_diameter", Unit: "m", Low: 1e-3, High: 0.05, UsualLow: 3e-3, UsualHigh: 12e-3, Default: required, Meaning: "effective diameter of the friction under the head, mean of head and hole diameter"},
		screwPreloadLoss:         {Key: "screw.preload_loss", Unit: "1", Low: 0, High: 1, UsualLow: 0, UsualHigh: 0.2, Default: 0, Meaning: "share of the screw force lost to embedding, vibration and ageing"},
		screwYield:               {Key: "screw.yield", Unit: "Pa", Low: 1e7, High: 3e9, UsualLow: 2e8, UsualHigh: 1.3e9, Default: 0, Zero: notJudged, Meaning: "proof (0.2 %) stress of the screw"},
		screwEngagement:          {Key: "screw.engagement", Unit: "m", Low: 1e-4, High: 0.1, UsualLow: 2e-3, UsualHigh: 20e-3, Default: 0, Zero: notJudged, Meaning: "engaged thread length"},
		screwNutShear:            {Key: "screw.nut_shear", Unit: "Pa", Low: 1e6, High: 2e9, UsualLow: 1e8, UsualHigh: 8e8, Default: 0, Zero: notJudged, Meaning: "shear strength of the internal thread"},
		screwExpansion:           {Key: "screw.expansion", Unit: "1/K", Low: 1e-7, High: 1e-4, UsualLow: 8e-6, UsualHigh: 18e-6, Default: 0, Zero: noMismatch, Meaning: "thermal expansion coefficient of the screw"},
		screwModulus:             {Key: "screw.modulus", Unit: "Pa", Low: 1e9, High: 1e12, UsualLow: 1e11, UsualHigh: 2.2e11, Default: 0, Zero: noMismatch, Meaning: "Young's modulus of the screw"},
		screwAssemblyTemperature: {Key: "screw.assembly_temperature", Unit: "K", Low: 150, High: 450, UsualLow: 280, UsualHigh: 310, Default: 0, Zero: noMismatch, Meaning: "temperature at which the screw was tightened"},
		clampExpansion:           {Key: "clamp.expansion", Unit: "1/K", Low: 1e-7, High: 1e-4, UsualLow: 15e-6, UsualHigh: 25e-6, Default: 0, Zero: noMismatch, Meaning: "thermal expansion coefficient of the train"},
		clampScrewTrainArea:      {Key: "clamp.screw_train_area", Unit: "m2", Low: 1e-7, High: 1e-2, UsualLow: 5e-6, UsualHigh: 1e-4, Default: 0, Zero: noMismatch, Meaning: "cross-section of the train that the screw compresses"},
		frictionRamp:             {Key: "friction.ramp", Unit: "1", Low: 0, High: 1.5, UsualLow: 0.04, UsualHigh: 0.45, Default: required, Meaning: "friction coefficient of the ramps"},
		frictionWall:             {Key: "friction.wall", Unit: "1", Low: 0, High: 1.5, UsualLow: 0.04, UsualHigh: 0.45, Default: required, Meaning: "friction coefficient of the faces that slide on flange, rails and walls"},
		frictionWallShare:        {Key: "friction.wall_share", Unit: "1", Low: 0, High: 1, Default: 1, Meaning: "share of the wall friction that is mobilised in tightening; 1 gives the lowest force"},
	}
}

// geometryTable holds clampLength to directWaveCount.
func geometryTable() []Parameter {
	const first = clampLength
	return []Parameter{
		clampLength - first:         {Key: "clamp.length", Unit: "m", Low: 0.01, High: 1, UsualLow: 0.05, UsualHigh: 0.3, Default: required, Meaning: "length of the wedge train along the card edge"},
		clampWidth - first:          {Key: "clamp.width", Unit: "m", Low: 1e-3, High: 0.05, UsualLow: 4e-3, UsualHigh: 12e-3, Default: required, Meaning: "width of the pieces and of the contact faces, across the edge"},
		clampHeight - first:         {Key: "clamp.height", Unit: "m", Low: 1e-3, High: 0.05, UsualLow: 4e-3, UsualHigh: 12e-3, Default: required, Meaning: "height of the retracted clamp, which is that of a piece"},
		clampRampAngle - first:      {Key: "clamp.ramp_angle", Unit: "rad", Low: 0.0873, High: 1.4835, UsualLow: 0.349, UsualHigh: 1.048, Default: required, Meaning: "angle between ramp face and screw axis"},
		clampSkew - first:           {Key: "clamp.skew", Unit: "rad", Low: 0, High: 1.4835, UsualLow: 0.523, UsualHigh: 0.786, Default: required, fourFace: true, Meaning: "turn of the ramps about the screw axis, which pushes the pieces sideways"},
		clampTravel - first:         {Key: "clamp.travel", Unit: "m", Low: 1e-5, High: 0.02, UsualLow: 2e-4, UsualHigh: 2e-3, Default: required, Meaning: "largest expansion of the clamp"},
		flangeThickness - first:     {Key: "flange.thickness", Unit: "m", Low: 2e-4, High: 0.05, UsualLow: 1e-3, UsualHigh: 6e-3, Default: required, Meaning: "thickness of the card's flange"},
		flangeFrameWidth - first:    {Key: "flange.frame_width", Unit: "m", Low: 0, High: 0.5, UsualLow: 3e-3, UsualHigh: 30e-3, Default: required, Meaning: "width of the frame that carries heat along the edge"},
		railThickness - first:       {Key: "rail.thickness", Unit: "m", Low: 2e-4, High: 1, UsualLow: 2e-3, UsualHigh: 30e-3, Default: required, Meaning: "thickness of the rail behind the direct face, which bends or does not"},
		slotWidth - first:           {Key: "slot.width", Unit: "m", Low: 1e-3, High: 0.2, UsualLow: 5e-3, UsualHigh: 30e-3, Default: required, Meaning: "distance between the rail faces"},
		directBow - first:           {Key: "face.direct.bow", Unit: "m", Low: 0, High: 2e-3, UsualLow: 0, UsualHigh: 4e-4, Default: required, Meaning: "peak-to-valley bow of the direct face along the edge, both bodies together"},
		wallTemperature - first:     {Key: "wall.temperature", Unit: "K", Low: 150, High: 500, UsualLow: 220, UsualHigh: 360, Default: required, Drawn: PerCard, Meaning: "temperature of the cold wall, where the coolant comes in"},
		wallRise - first:            {Key: "wall.rise", Unit: "dK", Low: -60, High: 60, UsualLow: -15, UsualHigh: 15, Default: 0, Drawn: PerCard, Zero: "the wall is as warm all along", Meaning: "warming of the coolant from the first piece, at the screw's head, to the last; negative when it flows the other way"},
		wallLowerResistance - first: {Key: "wall.lower_resistance", Unit: "K/W", Low: 1e-6, High: 1e3, UsualLow: 1e-3, UsualHigh: 1, Default: required, Meaning: "thermal resistance from the lower rail face to the cold wall"},
		wallUpperResistance - first: {Key: "wall.upper_resistance", Unit: "K/W", Low: 1e-6, High: 1e3, UsualLow: 1e-3, UsualHigh: 1, Default: required, Meaning: "thermal resistance from the upper rail face to the cold wall"},
		wallSideResistance - first:  {Key: "wall.side_resistance", Unit: "K/W", Low: 1e-6, High: 1e3, UsualLow: 1e-3, UsualHigh: 1, Default: required, fourFace: true, Meaning: "thermal resistance from the slot's side wall to the cold wall"},
		frameResistance - first:     {Key: "card.frame_resistance", Unit: "K/W", Low: 1e-6, High: 1e3, UsualLow: 0.01, UsualHigh: 2, Default: required, Meaning: "thermal resistance from the middle of the card to one edge"},
		directFlatness - first:      {Key: "face.direct.flatness", Unit: "m", Low: 0, High: 2e-3, UsualLow: 5e-7, UsualHigh: 4e-4, Default: 0, Zero: noFlatness, Meaning: "flatness of the direct face as a whole, peak to valley, both bodies together"},
		directAcross - first:        {Key: "face.direct.flatness_across", Unit: "1", Low: 0, High: 1, Default: 0, Zero: noFlatness, Meaning: "share of the flatness that is a crown across the width; the rest lies along the edge"},
		directWaves - first:         {Key: "face.direct.flatness_waves", Unit: "1", Low: 0, High: 1, Default: 0, Zero: noFlatness, Meaning: "share of the flatness along the edge that is waves shorter than the clamp; the rest is bow"},
		directWaveCount - first:     {Key: "face.direct.wave_count", Unit: "1", Low: 1, High: 50, UsualLow: 2, UsualHigh: 20, Default: 0, Zero: noFlatness, Meaning: "how many of these waves lie along the clamp"},
	}
}

func bodyTable(body string) []Parameter {
	return []Parameter{
		conductivity: {Key: body + ".conductivity", Unit: "W/mK", Low: 0.05, High: 3000, UsualLow: 10, UsualHigh: 400, Default: required, Meaning: "thermal conductivity of the " + body},
		modulus:      {Key: body + ".modulus", Unit: "Pa", Low: 1e8, High: 2e12, UsualLow: 4e10, UsualHigh: 2.2e11, Default: required, Meaning: "Young's modulus of the " + body},
		poisson:      {Key: body + ".poisson", Unit: "1", Low: 0, High: 0.49, UsualLow: 0.25, UsualHigh: 0.36, Default: required, Meaning: "Poisson's ratio of the " + body},
		hardness:     {Key: body + ".hardness", Unit: "Pa", Low: 1e7, High: 1e11, UsualLow: 4e8, UsualHigh: 8e9, Default: required, Meaning: "contact hardness of the " + body + "'s faces, of the metal under a coat"},
		yield:        {Key: body + ".yield", Unit: "Pa", Low: 1e6, High: 5e9, UsualLow: 5e7, UsualHigh: 1.5e9, Default: 0, Zero: notJudged, Meaning: "yield stress of the " + body},
		allowable:    {Key: body + ".allowable", Unit: "Pa", Low: 1e5, High: 5e9, UsualLow: 1e7, UsualHigh: 9e8, Default: 0, Zero: notJudged, Meaning: "bearing pressure the " + body + "'s faces may carry"},
		roughness:    {Key: body + ".roughness", Unit: "m", Low: 1e-9, High: 1e-4, UsualLow: 2e-7, UsualHigh: 6.3e-6, Default: required, Meaning: "rms roughness of the " + body + "'s faces"},
		slope:        {Key: body + ".slope", Unit: "1", Low: 1e-3, High: 1, UsualLow: 0.02, UsualHigh: 0.35, Default: 0, Zero: "taken from the roughness", Meaning: "mean absolute slope of the " + body + "'s surface profile"},

		coatThickness:    {Key: body + ".coat.thickness", Unit: "m", Low: 1e-9, High: 1e-3, UsualLow: 5e-8, UsualHigh: 1.3e-4, Default: 0, Zero: noCoat, Meaning: "thickness of the film bonded to the " + body + "'s faces"},
		coatConductivity: {Key: body + ".coat.conductivity", Unit: "W/mK", Low: 0.01, High: 3000, UsualLow: 0.05, UsualHigh: 430, Default: 0, Zero: noCoat, Meaning: "thermal conductivity of the " + body + "'s coat"},
		coatHardness:     {Key: body + ".coat.hardness", Unit: "Pa", Low: 1e6, High: 1e11, UsualLow: 8e6, UsualHigh: 1e10, Default: 0, Zero: noCoat, Meaning: "contact hardness of the " + body + "'s coat"},
	}
}
