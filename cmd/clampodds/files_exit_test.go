package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// asProgram, set in the environment, makes the test binary the program, for what happens to a process: no
// binary need be linked for it. "fatal" makes it one whose stack has no end.
const asProgram = "CLAMPODDS_AS_PROGRAM"

func TestMain(m *testing.M) {
	switch os.Getenv(asProgram) {
	case "":
		os.Exit(m.Run())
	case "fatal":
		debug.SetMaxStack(1 << 20)
		abortOnFatal()
		var deeper func(n int) int
		deeper = func(n int) int { return deeper(n+1) + 1 }
		os.Exit(deeper(0))
	}
	main()
}

// program is a process of the program.
func program(args ...string) *exec.Cmd {
	p := exec.Command(os.Args[0], args...)
	p.Env = append(os.Environ(), asProgram+"=1")
	return p
}

// Output that cannot be written is a failure with a message, whatever the command and its verdict.
func TestOutputThatCannotBeWrittenIsAFailure(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip("no /dev/full")
	}
	defer full.Close()
	study := fewInputs(t, "condition = []\n")
	for _, args := range [][]string{
		{"--help"}, {"--version"}, {}, {"run", "--help"}, {"help", "check"}, {"completion", "bash"}, {"example"}, {"example", "two-face"},
		{"check", study}, {"check", "--known"}, {"check", "--validation"}, {"nominal", study}, {"fit", root + "/testdata/studies/audit.csv", "--column", "torque", "--bootstrap", "0"},
		{"gauge", root + "/testdata/studies/gauge.csv"}, {"run", study, "--samples", "600", "--no-knowledge"}, {"loosen", study},
	} {
		for _, form := range []string{"table", "json"} {
			all := args
			if len(args) > 0 && !strings.HasPrefix(args[0], "-") && !strings.Contains("help completion example", args[0]) {
				all = append(args[:len(args):len(args)], "--quiet", "--format", form)
			} else if form == "json" {
				continue
			}
			var stderr bytes.Buffer
			assert.Equal(t, exitFailure, run(all, strings.NewReader(""), full, &stderr), "%v: %s", all, stderr.String())
			assert.Equal(t, 1, strings.Count(stderr.String(), "no space left on device"), "%v: %s", all, stderr.String())
		}
	}
}

// A reader that goes early, such as head, has what it wanted: nothing is said, and the code is the
// verdict's.
func TestAReaderThatIsGoneIsNoFailure(t *testing.T) {
	base, err := filepath.Abs(demo)
	require.NoError(t, err)
	for _, c := range []struct {
		code int
		args []string
	}{
		{exitDone, []string{"check", "--known"}},
		{exitNotMet, []string{"nominal", write(t, "hot.toml", "extends = '"+base+"'\nlimits.spot = { max = \"60 degC\", target = 2e-3 }\n")}},
	} {
		read, write, err := os.Pipe()
		require.NoError(t, err)
		require.NoError(t, read.Close())
		p := program(c.args...)
		var stderr bytes.Buffer
		p.Stdout, p.Stderr = write, &stderr
		p.Run() // the code tells
		assert.Equal(t, c.code, p.ProcessState.ExitCode())
		assert.Empty(t, stderr.String())
		require.NoError(t, write.Close())
	}
}

// What the runtime cannot go on from ends the program by a signal, never with the exit code of a
// wrong input, and without a core file.
func TestFatalErrorsAreNoWrongInput(t *testing.T) {
	p := program()
	p.Env = append(p.Env, asProgram+"=fatal")
	p.Dir = t.TempDir()
	text, err := p.CombinedOutput()
	require.Error(t, err)
	status := p.ProcessState.Sys().(syscall.WaitStatus)
	assert.True(t, status.Signaled() && status.Signal() == syscall.SIGABRT, "%v: %.300s", p.ProcessState, text)
	assert.False(t, status.CoreDump())
	assert.Contains(t, string(text), "stack overflow")
}

// Memory that runs out is such an error.
func TestWantOfMemoryIsNoWrongInput(t *testing.T) {
	long(t) // the race detector needs the room; half of that is not always enough to begin
	if runtime.GOOS != "linux" {
		t.Skip("ulimit -v")
	}
	p := program()
	p = exec.Command("sh", "-c", `ulimit -v 3000000; exec "$0" run "$1" --samples 1e7 --workers 4000 --quiet`, p.Path, demo)
	p.Env = append(os.Environ(), asProgram+"=1")
	text, err := p.CombinedOutput()
	require.Error(t, err)
	assert.NotContains(t, []int{exitUsage, exitDone}, p.ProcessState.ExitCode(), "%.300s", text)
	assert.Regexp(t, "out of memory|cannot allocate|create new OS thread|pthread_create", string(text))
}

// A panic is a failure too, with what is needed to mend it.
func TestPanicIsAFailure(t *testing.T) {
	var stderr bytes.Buffer
	assert.Equal(t, exitFailure, run([]string{"--version"}, nil, panicking{}, &stderr))
	assert.Contains(t, stderr.String(), "internal error: gone")
	assert.Contains(t, stderr.String(), "goroutine")
}

type panicking struct{}

func (panicking) Write([]byte) (int, error) { panic("gone") }

// Files that may not be read or written are failures; devices, pipes and folders in their place are wrong
// inputs, at once.
func TestFilesThatAreNone(t *testing.T) {
	folder := t.TempDir()
	pipe := filepath.Join(folder, "pipe")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	csv := root + "/testdata/studies/audit.csv"
	begun := time.Now()
	for _, path := range []string{"/dev/zero", pipe, folder} {
		for _, args := range [][]string{
			{"check", path}, {"nominal", path}, {"fit", path}, {"gauge", path}, {"fit", csv, "--column", "torque", "--gauge-study", path}, {"calibrate", demo, path, "--noise", "0.3K"},
			{"change", demo, path}, {"check", write(t, "s.toml", "extends = '"+path+"'\n")},
			{"check", write(t, "s.toml", "extends = '"+absolute(t, demo)+"'\nscrew.torque = { shape = 'measured', file = '"+path+"', column = 'a', unit = 'N*m' }\n")},
			{"example", "two-face", "--force", "-o", path}, {"new", "--force", "-o", path}, {"run", demo, "--force", "--draws", path},
		} {
			got := invoke(args...)
			assert.Equal(t, exitUsage, got.code, "%v: %s", args, got.stderr)
			assert.Regexp(t, "is a (device|pipe|folder)", got.stderr, args)
		}
	}
	assert.Less(t, time.Since(begun), time.Minute, "none of them is waited for")
}

func TestPermissionDeniedIsAFailure(t *testing.T) {
	folder := t.TempDir()
	closed := filepath.Join(folder, "closed.toml")
	require.NoError(t, os.WriteFile(closed, nil, 0))
	shut := filepath.Join(folder, "shut")
	require.NoError(t, os.Mkdir(shut, 0o500))
	extending := write(t, "s.toml", "extends = '"+closed+"'\n")
	asNobody(t, folder)
	for _, args := range [][]string{
		{"check", closed}, {"fit", closed}, {"gauge", closed}, {"check", extending},
		{"example", "two-face", "-o", filepath.Join(shut, "a")}, {"new", "-o", filepath.Join(shut, "a")}, {"run", demo, "--draws", filepath.Join(shut, "a")}, {"report", demo, "-o", filepath.Join(shut, "a")},
	} {
		got := invoke(args...)
		assert.Equal(t, exitFailure, got.code, "%v: %s", args, got.stderr)
		assert.Contains(t, got.stderr, "permission denied", args)
	}
}

// What a terminal would obey in a file name is shown, in every message and form.
func TestControlCharactersOfFileNamesAreShown(t *testing.T) {
	const hostile = "a\x1b[31m\x07\u009b\u202eb"
	folder := filepath.Join(t.TempDir(), hostile)
	require.NoError(t, os.Mkdir(folder, 0o755))
	text, err := os.ReadFile(demo)
	require.NoError(t, err)
	study := filepath.Join(folder, hostile+".toml")
	require.NoError(t, os.WriteFile(study, text, 0o644))
	bad := filepath.Join(folder, "bad.toml")
	require.NoError(t, os.WriteFile(bad, []byte("extends = \"\x7f\""), 0o644))
	table := filepath.Join(folder, hostile+".csv")
	require.NoError(t, os.WriteFile(table, []byte("part,x\na\x1bb,c\x1bd\n"), 0o644))
	for _, args := range [][]string{
		{"check", study}, {"check", study, "--format", "csv"}, {"check", study, "--format", "markdown"}, {"check", study, "--format", "json"}, {"nominal", study}, {"check", study + "x"}, {"check", bad},
		{"fit", table, "--column", "x"}, {"gauge", table}, {"example", hostile}, {hostile}, {"run", study, "--" + hostile}, {"check", study, "--condition", hostile},
		{"example", "two-face", "-o", filepath.Join(folder, "none", hostile)}, {"new", "-o", filepath.Join(folder, "new"+hostile)}, {"run", study, "--plan", hostile}, {"calibrate", study, table, "--noise", hostile},
	} {
		got := invoke(args...)
		for _, sign := range []string{"\x1b", "\x07", "\u009b", "\u202e", "\x7f"} {
			assert.NotContains(t, got.stdout+got.stderr, sign, "%q", args)
		}
	}
	assert.Contains(t, invoke("check", study+"x").stderr, `a\x1b[31m\a\u009b\u202eb.tomlx`)
}

// Twenty commands write one file at the same time without --force: one does, the others are told.
func TestOneOfTwentyWritesTheDraws(t *testing.T) {
	study, folder := fewInputs(t, "condition = []\n"), t.TempDir()
	draws := filepath.Join(folder, "draws.csv")
	got := make([]answer, 20)
	var all sync.WaitGroup
	for i := range got {
		all.Go(func() {
			got[i] = invoke("run", study, "--samples", "60", "--seed", "3", "--no-knowledge", "--quiet", "--draws", draws)
		})
	}
	all.Wait()
	written := 0
	for _, a := range got {
		if a.code == exitUsage {
			assert.Contains(t, a.stderr, "exists already; give --force to replace it")
			assert.Empty(t, a.stdout)
			continue
		}
		assert.Contains(t, []int{exitDone, exitNotMet, exitUndecided}, a.code, a.stderr)
		written++
	}
	assert.Equal(t, 1, written)
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, entries, 1, "nothing temporary")
	text, err := os.ReadFile(draws)
	require.NoError(t, err)
	assert.Equal(t, 61, bytes.Count(text, []byte("\n")), "whole")
}
