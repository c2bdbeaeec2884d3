// Package study reads study files: TOML in, a checked, typed Study in SI units
// out. It is wiring: it knows the model's table of inputs (joint/card), the shapes
// of dist and the variables of sim, and it holds no physics of its own.
//
// # The file
//
// A study is strict. A key that is not known, a value outside its range, a unit
// that is missing or of another dimension, a required key that is nowhere: each is
// a Problem with file, line, key, value and a hint, and all of them come at once.
//
// Free text for the report: title, project, document, revision, author.
//
// extends = "base.toml" lays the study over another one. It replaces key by key,
// an input as a whole with its distribution. A [[component]] is replaced key by
// key too, by its name; the lists [[correlation]], [[condition]], [[cost]] and [[option]] are
// replaced as a whole. A file name is relative to the file it stands in.
//
//	[run]      samples (100000), seed (1), confidence (0.95), cards_per_chassis (1)
//	[clamp]    family = "two-face" or "four-face", anchor = "end" or "centre",
//	           pieces (odd, 3 to 9), material, finish
//	[flange]   material, finish
//	[rail]     material, finish
//	[screw]    thread = "M3" and the like, or pitch, pitch_diameter, stress_area
//	[surface]  roughness_as = "Ra" or "rms": what every roughness of the study is;
//	           Ra is multiplied by sqrt(pi/2), the rms value of Gaussian heights
//	[gas]      kind = "air" (default), "helium", "nitrogen" or "vacuum"
//	[limits]   temperatures: spot (hottest spot of the edges), edge (hotter edge,
//	           mean), edge.left, edge.right, spot.left, spot.right, component.NAME;
//	           screw, stripping, bearing, holding; resistance.left, force.axial.left,
//	           force.face.left and the right ones: each a value, or
//	           { max, target, source }; target is the accepted probability
//	[chassis]  of a chassis with [[chassis.slot]]: capacity_rate of the coolant, wall_resistance;
//	           any = { spot = 0.01 }: the probability that is accepted for any card of a chassis
//	[change]   margin: change of a probability that is still safe
//	[torque]   resolution, scatter = "fraction" or "absolute"; what a recommendation
//	           keeps to: least and most, the torques that the clamp maker allows;
//	           margin to either end of the window; largest_tolerance; tool_class,
//	           the deviation that the tool's class permits, as "6 %"
//
// All other keys are the inputs of the model: the table card.Parameters, which
// says key, unit, range and default of each. A material fills in what the study
// does not say of conductivity, modulus, poisson and so on of its body.
//
// A film bonded to a body is its coat, a table of its own: [flange.coat] thickness,
// conductivity, hardness. A finish fills in what the study does not say of them, as
// lack of knowledge: "sulphuric anodic film", "hard anodic film", "chemical conversion
// film", "electroless nickel", "tin", "silver"; "bare" is none. The hardness of the body
// is that of the metal under the coat, and the film of a face is what fills the gap. What
// stands behind a material or a finish goes beside it: { value = "tin", source = "..." }.
//
//	[[chassis.slot]] card = "card.toml" (its study), name (that of the file), count (1),
//	                 replace = { "card.power" = "60 W" }: inputs and limits of this slot's
//	                 card; in the order in which the coolant passes them
//	[[component]]    name, power, resistance, limit (as in [limits])
//	[[correlation]]  between = [key, key], rank (Spearman), source;
//	                 repair_correlations = true, at the top, replaces
//	                 contradicting ones by the nearest that do not
//	[[condition]]    name, share (of the mission time), source,
//	                 replace = { "wall.temperature" = { shape = "normal",
//	                   nominal = "55 degC", plus_minus = "3 K" } }: any inputs and
//	                 gas.kind, a plain value without scatter; the rest of the time
//	                 is the study as written;
//	                 ageing and reinsertion change what they are named for:
//	                 ageing = { after = "20000 h", from = "24 h", slope = 0.1,
//	                   recheck = "4000 h" }: the preload loss, reached at from,
//	                   times 1 + slope log10(time/from), time since the screw was
//	                   tightened last; numbers without a unit are cycles
//	                 reinsertion = { times = 50, drift = 0.03, constant = 20,
//	                   inputs = ["friction.ramp"] }: friction coefficients plus
//	                   drift (1 - exp(-times/constant))
//	[[cost]]         input, source,
//	                 steps = [{ spread = 1, cost = 0 }, { spread = 0.5, cost = 12,
//	                   label = "lapped" }]: tolerances on offer, spread as a factor
//	                   of the study's, cost in one unit of your choice
//	[[option]]       name, source,
//	                 choices = [{ name = "bare", cost = 0 }, { name = "anodised",
//	                   cost = 3, replace = { "rail.finish" = "hard anodic film" } }]:
//	                   a part of the design that is open; a choice replaces keys
//	                   that say what the design is, a condition goes on top of it
//
// The flatness of a face is given as a whole, face.direct.flatness with its split or
// face.piece.flatness, which is all crown; or as bow and crown; or as measured,
// face.direct.profile = { file, unit, height_unit, decimal_comma }, a CSV file with
// columns x along, y across and z, the heights of both bodies together. An extending study
// may change from one to the other.
//
// # Chassis
//
// A study with [[chassis.slot]] is one of a chassis. Keys of a card in its own file stand in
// place of what the card studies say. What these state alike is one input, and a draw per
// design, lot or chassis one for all slots; an input that not all slots have begins with
// the names of those that do, "control+spare.card.power". So do keys in a condition and an option.
// The wall's temperature is one draw for all; how it warms is said at chassisModel.
//
// # Inputs
//
// An input is a quantity with its unit, "0.70 N*m" (package units has the
// notation); a number where there is no unit; or an inline table:
//
//	{ value = "130 mm", source = "drawing" }
//	{ shape = "normal", mean = "0.70 N*m", sd = "0.02 N*m", per = "edge" }
//
// The shapes and the sets of parameters they take are those of dist.FromSpec, in
// its words, with these differences: shape_parameter is the shape of a Weibull or
// gamma distribution; plus_minus stands for plus and minus; plus, minus and
// plus_minus may be in % of the nominal value. low and high cut a shape that has
// no limits of its own, cut_low and cut_high the others; beside a nominal value they
// may be so many % from it, with the sign: low = "-10 %". sd, plus, minus, scale
// and inexactness are differences: in K for a temperature.
//
// readings = 12 beside the parameters of a shape that can be fitted says how many
// readings they come from. Of a normal or lognormal shape the true mean and spread
// then are inputs of their own, lack of knowledge that all cards share; averaged over
// them it is Student's t. Other shapes carry what so few readings leave open draw by
// draw.
//
// lot_sigma_ln = 0.4 or lot_sd = "3 um" beside the parameters of such a shape is the part of the lot: the units of a lot share
// a factor whose logarithm is normal with mean 0 and that standard deviation, or a normal level that is added. The factor
// is for shapes that are never negative, and keeps them so. The rest of the table is the unit's own draw, uncut. lots_read = 6 says how
// many lots it comes from, which leaves mean and spread of the lots open as readings do those of the draws.
//
// Two shapes more: measured (file, column, unit; a CSV file with a header line;
// decimal_comma = true reads 0,7; smoothed = true draws a smooth curve through the
// readings in place of the readings themselves) and mixture
// (lots = [{ weight = 2, shape = ... }, ...]).
//
// Two inputs measured in columns of one file, and drawn at the same level, keep
// the rank correlation of their readings (torque and running torque of the same
// screw), unless the study states another. It is the correlation that is kept, not
// the rows: pairs are drawn that no row has, as they would be with more screws
// read, and a dependence of another form is lost.
//
// Beside the shape stand
//   - per: the level at which one draw is shared, design, lot, chassis, card, edge
//     or face. A level finer than the input itself is refused. Without it every
//     value the input has (card, edge or face) is drawn for itself, and an input
//     marked knowledge once for the design. A level wider than edge makes both
//     edges of a card equal. The temperature of the wall and its rise are drawn per
//     card without it.
//   - knowledge = true: lack of knowledge, not variation from part to part.
//   - source: where the numbers come from; it goes into the report.
//
// An input that has a value per edge or face may be given for each edge apart:
//
//	torque = { left = "0.70 N*m", right = { shape = "normal", ... } }
//
// or torque.left and torque.right. Correlations, costs and conditions name it
// screw.torque.left. A study that extends another, and a condition, may give one edge
// alone. What draws per edge or face draws as it would given once. A draw shared more
// widely is one draw for both edges: given alike they are one input, else two that
// rise and fall together (rank 0.9999), unless a correlation between the two is stated
// (rank = 0: two lots).
//
// A component stands at a place across the card, 0 at the left edge, 1 at the right,
// 0.5 without it; so does the card's remaining heat, card.place.
//
// The nominal value of an input, Input.Nominal, is the constant, the nominal that
// the distribution declares, or else its median.
//
// The model error is on unless the study says otherwise: contact.factor lognormal
// with median 1 and sigma_ln 0.35 (0.12 when slope and hardness of all three
// bodies are given), once per design; contact.face_factor with sigma_ln 0.10,
// face by face.
//
// A torque whose nominal force is over three times what the strongest screw of
// the thread carries is refused as a slip of the pen.
package study
