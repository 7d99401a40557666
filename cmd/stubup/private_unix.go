//go:build unix

package main

import "syscall"

// private makes every file that is written from here on its owner's alone.
func private() { syscall.Umask(0o077) }
