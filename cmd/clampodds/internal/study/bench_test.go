package study

import (
	"testing"

	"github.com/stretchr/testify/require"

	"clampodds/testdata/studies"
)

func BenchmarkParse(b *testing.B) {
	b.Run("study=two-face", func(b *testing.B) {
		text, err := studies.Files.ReadFile("two-face.toml")
		require.NoError(b, err)
		b.ReportAllocs()
		for b.Loop() {
			_, err := Parse("two-face.toml", text, studies.Files.ReadFile)
			require.NoError(b, err)
		}
	})
}
