package files

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func text(s string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := io.WriteString(w, s); return err }
}

// put makes a file in a folder and returns its path.
func put(t *testing.T, folder, name, s string) string {
	t.Helper()
	path := filepath.Join(folder, name)
	require.NoError(t, os.WriteFile(path, []byte(s), 0o644))
	return path
}

func holds(t *testing.T, path, want string) {
	t.Helper()
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, want, string(got))
}

// onlyIn checks that nothing else, nothing temporary above all, is in a folder.
func onlyIn(t *testing.T, folder string, names ...string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	got := []string{}
	for _, e := range entries {
		got = append(got, e.Name())
	}
	assert.ElementsMatch(t, names, got)
}

func assertRefused(t *testing.T, err error, words string) {
	t.Helper()
	refused := Refused{}
	assert.ErrorAs(t, err, &refused)
	assert.ErrorContains(t, err, words)
}

func TestReadsRegularFilesOnly(t *testing.T) {
	folder, ctx := t.TempDir(), t.Context()
	path := put(t, folder, "a", "abc")
	got, err := Read(ctx, path, 3)
	require.NoError(t, err)
	assert.Equal(t, "abc", string(got))
	require.NoError(t, os.Symlink(path, filepath.Join(folder, "link")))
	_, err = Read(ctx, filepath.Join(folder, "link"), 3)
	assert.NoError(t, err)

	pipe := filepath.Join(folder, "pipe")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	for name, words := range map[string]string{
		path: "a has 3 bytes: at most 2 are read", folder: "is a folder, no file", pipe: "is a pipe, no file", "/dev/zero": "is a device, no file",
	} {
		_, err = Read(ctx, name, 2)
		assertRefused(t, err, words)
	}
	_, err = Read(ctx, filepath.Join(folder, "nothing"), 3)
	assert.ErrorIs(t, err, fs.ErrNotExist)
}

func TestAFileThatGrowsIsRefusedAndReadingHearsItsContext(t *testing.T) {
	path := put(t, t.TempDir(), "a", "abc")
	ctx, cancel := context.WithCancel(t.Context())
	file, err := Open(ctx, path, 4)
	require.NoError(t, err)
	defer file.Close()
	put(t, filepath.Dir(path), "a", "abcdefgh")
	_, err = io.ReadAll(file)
	assertRefused(t, err, "grows while it is read")
	cancel()
	_, err = file.Read(make([]byte, 1))
	assert.ErrorIs(t, err, context.Canceled)
}

func TestWritesWholeOrNotAtAll(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a")
	none := new(Inputs)
	wrong := errors.New("wrong")
	half := func(w io.Writer) error { return errors.Join(text("half")(w), wrong) }
	assert.ErrorIs(t, none.Write(path, false, half), wrong)
	onlyIn(t, folder)
	require.NoError(t, none.Write(path, false, text("first")))
	assertRefused(t, none.Write(path, false, text("second")), "exists already; give --force to replace it")
	assertRefused(t, none.MayWrite(path, false), "exists already")
	assert.ErrorIs(t, none.Write(path, true, half), wrong)
	holds(t, path, "first")
	require.NoError(t, os.Chmod(path, 0o640))
	require.NoError(t, none.MayWrite(path, true))
	require.NoError(t, none.Write(path, true, text("third")))
	holds(t, path, "third")
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, fs.FileMode(0o640), info.Mode(), "the mode it had")
	onlyIn(t, folder, "a")

	long := filepath.Join(folder, strings.Repeat("n", 255))
	require.NoError(t, none.Write(long, false, text("x")))
	missing := filepath.Join(folder, "no", "folder")
	assert.EqualError(t, none.Write(missing, false, text("x")), "cannot write "+missing+": no such file or directory")
}

func TestNothingButFilesIsReplacedAndNoInput(t *testing.T) {
	folder := t.TempDir()
	path := put(t, folder, "a", "abc")
	link, hard, pipe := filepath.Join(folder, "link"), filepath.Join(folder, "hard"), filepath.Join(folder, "pipe")
	require.NoError(t, os.Symlink(path, link))
	require.NoError(t, os.Link(path, hard))
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	for name, words := range map[string]string{link: "is a link and is not replaced", pipe: "is a pipe", folder: "is a folder", "/dev/null": "is a device"} {
		assertRefused(t, new(Inputs).Write(name, true, text("x")), words)
		assertRefused(t, new(Inputs).MayWrite(name, true), words)
	}
	var in Inputs
	in.Add(path)
	for _, name := range []string{path, link, hard, folder + "/./a"} {
		assertRefused(t, in.Write(name, true, text("x")), "is not written over")
	}
	holds(t, path, "abc")
	onlyIn(t, folder, "a", "link", "hard", "pipe")
}

// race writes so many times at once, and returns how many were not refused.
func race(t *testing.T, times int, write func(i int) error) (written int) {
	t.Helper()
	errs := make([]error, times)
	var all sync.WaitGroup
	for i := range errs {
		all.Go(func() { errs[i] = write(i) })
	}
	all.Wait()
	for _, err := range errs {
		if err == nil {
			written++
		} else {
			assertRefused(t, err, "exists already")
		}
	}
	return written
}

// Twenty at a time: without force one writes and 19 are refused, with force each writes a whole file.
func TestWritersDoNotRace(t *testing.T) {
	for _, force := range []bool{false, true} {
		folder := t.TempDir()
		path := filepath.Join(folder, "a")
		written := race(t, 20, func(i int) error {
			return new(Inputs).Write(path, force, text(strings.Repeat(fmt.Sprint(i%10), 1<<16)))
		})
		assert.Equal(t, map[bool]int{false: 1, true: 20}[force], written)
		got, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, strings.Repeat(string(got[:1]), 1<<16), string(got), "one writer's")
		onlyIn(t, folder, "a")
	}
}

// What one holds nobody else gets until it is released, and what a killed process has left holds nothing.
func TestHeldFilesAreRefused(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a")
	put(t, folder, ".a.held"+suffix, "")
	for range 2 {
		release, err := Hold(path)
		require.NoError(t, err)
		_, err = Hold(path)
		assertRefused(t, err, path+" is in use by another process")
		other, err := Hold(filepath.Join(folder, "b"))
		require.NoError(t, err)
		other()
		require.NoError(t, new(Inputs).Write(path, true, text("x")))
		release()
		onlyIn(t, folder, "a")
	}
	_, err := Hold(filepath.Join(folder, "none", "a"))
	assert.ErrorIs(t, err, fs.ErrNotExist)
}

// The writer of a killed process: this test as a process of its own, which says what it has
// written so far and waits for its end.
func TestStraysOfKilledProcessesAreRemoved(t *testing.T) {
	const name = "CLAMPODDS_WRITES"
	if path := os.Getenv(name); path != "" {
		_ = new(Inputs).Write(path, false, func(w io.Writer) error {
			_ = text("half")(w)
			fmt.Println("half")
			select {}
		})
	}
	folder := t.TempDir()
	path := filepath.Join(folder, "a")
	other := exec.Command(os.Args[0], "-test.run", "^"+t.Name()+"$")
	other.Env = append(os.Environ(), name+"="+path)
	said, err := other.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, other.Start())
	_, err = io.ReadFull(said, make([]byte, len("half\n")))
	require.NoError(t, err)
	strays := func() []string {
		list, err := filepath.Glob(filepath.Join(folder, ".a.*"+suffix))
		require.NoError(t, err)
		return list
	}
	require.NoError(t, new(Inputs).Write(filepath.Join(folder, "b"), false, text("b")))
	require.NoError(t, new(Inputs).MayWrite(path, false))
	assert.Len(t, strays(), 1, "its process is alive")
	require.NoError(t, other.Process.Kill())
	_ = other.Wait()
	require.NoError(t, new(Inputs).MayWrite(path, false))
	assert.Empty(t, strays())
	put(t, folder, ".a.mine"+suffix, "a file of the user")
	require.NoError(t, new(Inputs).Write(path, false, text("whole")))
	onlyIn(t, folder, "a", "b", ".a.mine"+suffix)
}
