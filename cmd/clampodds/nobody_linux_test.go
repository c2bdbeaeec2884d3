package main

import (
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// asNobody lets the rest of a test see files as a user without rights does, who may pass to a
// folder of the test: the superuser may do all.
func asNobody(t *testing.T, folder string) {
	t.Helper()
	if os.Geteuid() != 0 {
		return
	}
	for ; folder != filepath.Clean(os.TempDir()) && folder != "/"; folder = filepath.Dir(folder) {
		require.NoError(t, os.Chmod(folder, 0o755))
	}
	runtime.LockOSThread() // the user of files is that of a thread
	require.NoError(t, syscall.Setfsuid(65534))
	t.Cleanup(func() {
		require.NoError(t, syscall.Setfsuid(0))
		runtime.UnlockOSThread()
	})
}
