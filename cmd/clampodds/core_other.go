//go:build !unix

package main

func noCoreFile() {}
