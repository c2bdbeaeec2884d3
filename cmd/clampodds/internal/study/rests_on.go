package study

import "strings"

// RestsOn returns the input that a variable stands for, the one itself or the one whose true mean or spread it is, with the number of readings
// that leave it open; 0 where it does not rest on readings.
func (s *Study) RestsOn(variable string) (input string, readings int) {
	for _, part := range []string{openMean, openSpread} {
		if key, found := strings.CutSuffix(variable, part); found {
			if in := s.Input(key); in != nil && in.open != nil {
				return key, in.open.readings
			}
		}
	}
	return variable, 0
}
