//go:build unix

package sqlite

import (
	"errors"
	"os"
	"syscall"
)

var errLocked = syscall.EWOULDBLOCK

func lockWhole(f *os.File) error { return syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) }

// syncless reports the answer of file systems that cannot sync a folder.
func syncless(err error) bool {
	return errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP)
}
