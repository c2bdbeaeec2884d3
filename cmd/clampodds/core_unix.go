//go:build unix

package main

import "syscall"

// noCoreFile keeps an end by SIGABRT from leaving a file.
func noCoreFile() {
	var limit syscall.Rlimit
	if syscall.Getrlimit(syscall.RLIMIT_CORE, &limit) == nil {
		limit.Cur = 0
		_ = syscall.Setrlimit(syscall.RLIMIT_CORE, &limit) // else it leaves one
	}
}
