//go:build coverage

package main

import (
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
)

func frozen(t *testing.T) *study.Study {
	t.Helper()
	s := shared{}
	read, err := s.load("../../testdata/frozen/tail.toml", io.Discard)
	require.NoError(t, err)
	return read
}
