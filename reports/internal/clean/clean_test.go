package clean_test

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"clampodds/reports/internal/clean"
	_ "clampodds/testdata/fixedseed"
)

func TestLineIsOneCleanShortLine(t *testing.T) {
	assert.Equal(t, "a b", clean.Line("a\nb"))
	assert.Equal(t, "red", clean.Line("\x1bred"))
	assert.Equal(t, "abcdef", clean.Line("abc\u202edef\u200f\ufeff\uffff"))
	assert.Equal(t, "λ ≤ 5 µm", clean.Line("λ ≤ 5 µm"))
	assert.Len(t, []rune(clean.Line(strings.Repeat("λ", 10000))), clean.MaxWord)
	assert.Len(t, []rune(clean.Line(strings.Repeat("λ ", 10000))), clean.MaxText)
	names := strings.TrimSpace(strings.Repeat("screw.thread_friction, ", 60))
	assert.Equal(t, names, clean.Line(names), "a list of names is whole")
}

func TestLineWhateverTheText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := clean.Line(string(rapid.SliceOf(rapid.Byte()).Draw(t, "bytes")) + rapid.String().Draw(t, "text"))
		if !utf8.ValidString(s) || utf8.RuneCountInString(s) > clean.MaxText {
			t.Fatalf("%q", s)
		}
		for _, r := range s {
			if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
				t.Fatalf("%q has %U", s, r)
			}
		}
		if clean.Line(s) != s {
			t.Fatalf("%q changes when cleaned again", s)
		}
	})
}
