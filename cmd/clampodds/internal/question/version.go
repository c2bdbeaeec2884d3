package question

import (
	"runtime/debug"
	"strings"
)

// Version is printed with every result.
const Version = "0.1.0"

// Build says what the program was built from, as far as the build stamped it: the revision of the
// source, whether that was changed, and Go's version.
func Build() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return ""
	}
	return build(info)
}

func build(info *debug.BuildInfo) string {
	parts := []string{"no revision"}
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			parts[0] = "revision " + s.Value
		case s.Key == "vcs.modified" && s.Value == "true":
			parts = append(parts, "modified")
		}
	}
	return strings.Join(append(parts, info.GoVersion), ", ")
}
