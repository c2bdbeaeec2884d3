package study

import "slices"

// sharedOtherwise reports whether the same slots of two chassis share an input otherwise, by the key
// that their cards know it by: one has it for other slots together than the other.
func sharedOtherwise(before, after *Study, own string) bool {
	if own == "" || before.Chassis == nil || after.Chassis == nil || slotsInWords(before.Chassis.Slots) != slotsInWords(after.Chassis.Slots) {
		return false
	}
	keys := func(s *Study) (list []string) {
		for i := range s.Inputs {
			if s.Inputs[i].own == own {
				list = append(list, s.Inputs[i].Key)
			}
		}
		return list
	}
	a, b := keys(before), keys(after)
	return len(a) > 0 && len(b) > 0 && !slices.Equal(a, b)
}

// slotDifferences are those of an input that slots share otherwise, slot by slot; list has what is
// told already. A difference has the key of the study that has it for fewer slots.
func slotDifferences(before, after *Study, own string, list []Difference) (found []Difference) {
	for slot := range before.Chassis.Slots {
		a, b := before.joined(slot, own), after.joined(slot, own)
		d := Difference{Kind: StructureDiffers, Before: "none", After: "none"}
		switch {
		case a == nil && b == nil, a != nil && b != nil && sameInput(a, b):
			continue
		case b == nil || a != nil && len(a.slots) < len(b.slots):
			d.Key, d.Meaning = a.Key, a.Parameter.Meaning
		default:
			d.Key, d.Meaning = b.Key, b.Parameter.Meaning
		}
		if a != nil {
			d.Before = a.InWords()
		}
		if b != nil {
			d.After = b.InWords()
		}
		if !slices.Contains(list, d) && !slices.Contains(found, d) {
			found = append(found, d)
		}
	}
	return found
}
