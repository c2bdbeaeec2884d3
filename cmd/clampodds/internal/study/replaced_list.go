package study

import (
	"fmt"
	"slices"
	"strings"
)

// ListReplaced: a list of the study replaces that of its base as a whole, and what the
// base had more is gone.
const ListReplaced Code = "list-replaced"

// putList adds a list, which replaces that of a base as a whole, and warns of members that
// the base names and this list does not. An empty list says that none is wanted.
func (s *sources) putList(e entry) {
	if old, ok := s.entries[e.key]; ok && old.doc != e.doc {
		kept := memberNames(e.value)
		gone := slices.DeleteFunc(memberNames(old.value), func(name string) bool { return slices.Contains(kept, name) })
		if len(gone) > 0 && len(kept) > 0 {
			s.dropped = append(s.dropped, Warning{
				Code: ListReplaced, File: e.doc.file, Line: e.line(""), Key: e.key,
				Message: fmt.Sprintf("%s of %s is left out: [[%s]] replaces the list of the base as a whole; repeat here what is to stay", strings.Join(gone, ", "), old.doc.file, e.key),
			})
		}
	}
	s.put(e)
}

// memberNames are the names of a list's members: their own, or those of the two that
// go together.
func memberNames(list any) (names []string) {
	members, _ := list.([]any)
	for _, member := range members {
		table, _ := member.(map[string]any)
		for _, key := range []string{"name", "between"} {
			if value, ok := table[key]; ok {
				names = append(names, memberName(value))
				break
			}
		}
	}
	return names
}

func memberName(value any) string {
	pair, ok := value.([]any)
	if !ok {
		return fmt.Sprint(value)
	}
	var words []string
	for _, one := range pair {
		words = append(words, fmt.Sprint(one))
	}
	return strings.Join(words, " and ")
}
