package rare

import "gonum.org/v1/gonum/floats"

const (
	patience   = 4  // searches of one event in a row that find nothing new
	mostPoints = 16 // of one event
)

// findDesignPoints searches all events from the origin, from the best points of
// the screen, from beside false points and from the mirror images of the points
// found. The events share what the meter has left equally.
func findDesignPoints(m *meter, s screen, stream Stream) (points []DesignPoint, warnings []Warning) {
	limit := m.limit
	for e := range m.Events {
		m.limit = m.used + (limit-m.used)/(m.Events-e)
		f := finder{search: m.newSearch(e), stream: stream}
		f.active = s.felt(e)
		starts := []probe{{s.u[0], s.g[e][0]}}
		for _, row := range s.starts(e) {
			starts = append(starts, probe{s.u[row], s.g[e][row]})
		}
		f.explore(starts)
		if len(f.points) == 0 {
			f.warn(NoDesignPoint, "no design point of event %d within %d standard deviations", e, reach)
		}
		points, warnings = append(points, f.points...), append(warnings, f.warnings...)
	}
	m.limit = limit
	return points, warnings
}

// finder collects the design points of one event.
type finder struct {
	*search
	stream   Stream
	points   []DesignPoint
	warnings []Warning
}

func (f *finder) warn(c Code, format string, arguments ...any) {
	f.warnings = append(f.warnings, warn(c, format, arguments...))
}

func (f *finder) explore(starts []probe) {
	origin := starts[0].value
	for fruitless := 0; len(starts) > 0 && fruitless < patience; {
		start := starts[0]
		starts = starts[1:]
		if f.inDirectionOfKnown(start.u) {
			continue
		}
		p, end := f.descend(start.u, start.value, f.points)
		if end == exhausted {
			f.warn(SearchCutShort, "evaluations ran out in the search for design points of event %d", f.event)
			return
		}
		fruitless++
		if end != found || p.Beta <= 0 && origin > 0 {
			continue // or a slope on a plateau beyond a cliff, which leads nowhere
		}
		// The count of evaluations makes the index unique.
		random := f.stream("rare/curvature", uint64(f.event)<<32|uint64(f.used))
		if past := f.beyond(p, random); len(past) > 0 {
			f.warn(SaddlePoint, "event %d: a point at beta %.4g is no local minimum", f.event, p.Beta)
			starts = append(past, starts...)
			continue
		}
		if !p.Converged {
			f.warn(NotConverged, "event %d: kink or no convergence at beta %.4g", f.event, p.Beta)
		}
		fruitless = 0
		if f.points = append(f.points, p); len(f.points) == mostPoints {
			f.warn(ManyDesignPoints, "event %d has at least %d design points", f.event, mostPoints)
			return
		}
		mirrored := floats.ScaleTo(make([]float64, f.Dim), -1, p.U)
		if g := f.limitState(mirrored); p.Beta > 0 && g < origin {
			starts = append([]probe{{mirrored, g}}, starts...)
		}
	}
}

// inDirectionOfKnown saves a search that can hardly end anywhere new: in few
// dimensions, starts crowd around the points found.
func (f *finder) inDirectionOfKnown(u []float64) bool {
	for _, p := range f.points {
		if cosine(u, p.U) > 0.95 {
			return true
		}
	}
	return false
}
