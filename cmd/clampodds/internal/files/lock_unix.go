//go:build unix

package files

import (
	"errors"
	"os"
	"path/filepath"
	"syscall"
)

// lock holds a file for as long as it is open. Where the file system has no locks nobody can
// take it for a stray either.
func lock(file *os.File) { _ = syscall.Flock(int(file.Fd()), syscall.LOCK_EX) }

// tryLock holds a file that nobody else does.
func tryLock(file *os.File) bool {
	return syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) == nil
}

// inUse holds a file as tryLock does, and says whether somebody else has it. Where the file system has no locks
// nobody has.
func inUse(file *os.File) bool {
	return errors.Is(syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB), syscall.EWOULDBLOCK)
}

// syncFolder has the folder of a file written to the disk, so that its name is there too.
func syncFolder(name string) error {
	folder, err := os.Open(filepath.Dir(name))
	if err != nil {
		return nil // one that may be written but not read
	}
	defer folder.Close()
	if err := folder.Sync(); err != nil && !errors.Is(err, syscall.EINVAL) && !errors.Is(err, syscall.ENOTSUP) {
		return err
	}
	return nil
}
