package study

import (
	"fmt"
	"slices"
	"strings"
)

// PosteriorSource is how the source of an input starts that calibrate wrote.
const PosteriorSource = "posterior from "

// KnownApart lists the inputs that are lack of knowledge of the model and not of the part, its own error and what a
// calibration narrowed, and that two studies state differently. What one knows better is no better part.
func KnownApart(a, b *Study) (keys []string) {
	for i := range a.Inputs {
		in := &a.Inputs[i]
		other := b.Input(in.Key)
		if other == nil || !in.Knowledge && !other.Knowledge || sameInput(in, other) {
			continue
		}
		posterior := strings.HasPrefix(in.Source, PosteriorSource) || strings.HasPrefix(other.Source, PosteriorSource)
		if posterior || strings.HasPrefix(in.Key, "contact.") {
			keys = append(keys, in.Key)
		}
	}
	return keys
}

// Carries refuses to take what readings of one study's hardware say of inputs over to another study: where it states them
// otherwise, or where its faces are others, of which the readings say nothing.
func Carries(read, other *Study, keys []string) error {
	for _, key := range keys {
		in, there := read.Input(key), other.Input(key)
		if there == nil || !sameInput(in, there) {
			return fmt.Errorf("%s is not the same in %s as in %s: it would not be known what the readings are added to", key, other.Name, read.Name)
		}
	}
	var faces []string
	for _, d := range Differences(read, other) {
		if ofFaces(d.Key) {
			faces = append(faces, d.Key)
		}
	}
	if len(faces) > 0 {
		return fmt.Errorf("%s has other faces than were read (%s): the readings say nothing of them, and a worse part would look better for it", other.Name, strings.Join(faces, ", "))
	}
	return nil
}

// ofFaces reports whether an input or word says what the contact faces are made of.
func ofFaces(key string) bool {
	if strings.Contains(key, ".coat.") || key == "clamp.family" {
		return true
	}
	return slices.ContainsFunc([]string{".hardness", ".roughness", ".film", ".finish", ".material", ".slope"}, func(end string) bool { return strings.HasSuffix(key, end) })
}
