package reports

import "strings"

// labels are the names for people of the model's outputs and paths.
var labels = map[string]string{
	"edge.left": "left edge, mean", "edge.right": "right edge, mean", "edge.hotter": "hotter edge, mean",
	"edge.spot": "hottest spot of the edges", "edge.spot.left": "hottest spot of the left edge", "edge.spot.right": "hottest spot of the right edge",
	"share.direct": "heat share, direct face to the lower rail", "share.upper": "heat share, pieces to the upper rail", "share.side": "heat share, pieces to the side wall",
	"lower_rail": "direct face to the lower rail", "upper_rail": "pieces to the upper rail", "side_wall": "pieces to the side wall",
	"resistance.left": "thermal resistance, left edge", "resistance.right": "thermal resistance, right edge",
	"force.axial.left": "axial force of the screw, left", "force.axial.right": "axial force of the screw, right",
	"force.face.left": "force on the lower rail, left", "force.face.right": "force on the lower rail, right",
	"utilisation.screw": "screw stress over 0.9 yield", "utilisation.stripping": "thread force over stripping strength",
	"utilisation.bearing": "bearing pressure over allowable", "utilisation.holding": "inertia over holding friction",
	"fit.insertion": "clearance at insertion", "fit.travel": "travel to spare", "fit.preload": "force left in the looser screw",
	"event.no_entry": "the card does not go in", "event.no_travel": "the clamp runs out of travel",
	"event.unclamped": "the card is not clamped: no force on a flange", "event.jammed": "the train jams: pieces beyond carry nothing",
	"event.self_locking":         "the ramps lock themselves (may not release)",
	"event.pressure_below_range": "a contact pressure below the correlation's range",
	"event.pressure_above_range": "a contact pressure above the correlation's range",
	"event.over_yield":           "a local pressure beyond the yield of the softer body",
	"wall.temperature":           "wall", "chassis/heat": "heat of all cards", "chassis/rise": "rise of the coolant through the chassis",
	"event.outside_range": "a draw outside the allowed range, moved to its end",
}

// Label is the name for people. What belongs to the card of a slot, or to any card of a chassis, is named
// with it before a slash.
func Label(name string) string {
	if slot, of, found := strings.Cut(name, "/"); found {
		switch {
		case slot == "chassis":
			return labels[name]
		case slot == "any" && strings.HasPrefix(of, "event."):
			return Label(of)
		case slot == "any":
			return "excess over the limit, any card: " + Label(of)
		}
		return Label(of) + ", slot " + slot
	}
	if l, ok := labels[name]; ok {
		return l
	}
	return strings.TrimPrefix(name, "component.")
}
