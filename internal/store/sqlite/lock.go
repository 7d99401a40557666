package sqlite

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"stubup/internal/store"
)

const lockFile = "stubup.lock"

// lock says that one program has the folder. The operating system lets go of
// it when the program ends, however it ends; the text in it says whether the
// last one closed the store.
type lock struct {
	f     *os.File
	clean bool // the last program closed the store, or there was none
}

const closed = "closed"

func takeLock(dir string) (*lock, error) {
	f, err := os.OpenFile(filepath.Join(dir, lockFile), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, world(err, "give --data a folder that can be written")
	}
	text, _ := io.ReadAll(io.LimitReader(f, 200))
	said := strings.TrimSpace(string(text))
	if err := lockWhole(f); err != nil {
		f.Close()
		if !errors.Is(err, errLocked) {
			return nil, world(err, "give --data a folder on a disk of this computer")
		}
		who := "another program"
		if strings.HasPrefix(said, "process ") {
			who = said
		}
		return nil, &store.Error{
			Kind: store.Busy, What: fmt.Sprintf("%s is in use by %s", dir, who),
			Mend: "use the one that runs, or stop it, or give another folder with --data",
		}
	}
	// Read again: what stood there before the lock was held may have been
	// changed by the program that held it.
	if _, err := f.Seek(0, io.SeekStart); err == nil {
		text, _ = io.ReadAll(io.LimitReader(f, 200))
		said = strings.TrimSpace(string(text))
	}
	l := &lock{f: f, clean: said == "" || said == closed}
	if err := l.say(fmt.Sprintf("process %d", os.Getpid())); err != nil {
		f.Close()
		return nil, world(err, "make room, or give --data a folder that can be written")
	}
	return l, nil
}

func (l *lock) say(text string) error {
	if err := l.f.Truncate(0); err != nil {
		return err
	}
	_, err := l.f.WriteAt([]byte(text+"\n"), 0)
	return err
}

func (l *lock) release(clean bool) error {
	if l == nil || l.f == nil {
		return nil
	}
	var err error
	if clean {
		err = l.say(closed)
	}
	err = errors.Join(err, l.f.Close())
	l.f = nil
	return err
}
