package reports

import (
	"fmt"
	"slices"
	"strings"
)

// fileNames gives every table and figure of d, attached ones too, a name for files and anchors, made
// of its key: letters, digits, - and _, not empty, none twice, whatever the case.
func fileNames(d Document) map[Block]string {
	names, taken := map[Block]string{}, map[string]bool{}
	for _, b := range slices.Concat(d.Blocks, d.Attached) {
		key := ""
		switch b := b.(type) {
		case *Table:
			key = b.Key
		case *Figure:
			key = b.Key
		default:
			continue
		}
		base := fileName(key)
		name := base
		for i := 2; taken[strings.ToLower(name)]; i++ {
			name = fmt.Sprintf("%s-%d", base, i)
		}
		names[b], taken[strings.ToLower(name)] = name, true
	}
	return names
}

// longestName keeps paths within what file systems take.
const longestName = 60

func fileName(key string) string {
	name := strings.Map(func(r rune) rune {
		if r < 0x80 && (r == '-' || r == '_' || '0' <= r && r <= '9' || 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z') {
			return r
		}
		return '-'
	}, key)
	if len(name) > longestName {
		name = name[:longestName]
	}
	if name = strings.Trim(name, "-"); name == "" {
		return "unnamed"
	}
	return name
}
