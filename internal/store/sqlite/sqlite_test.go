package sqlite

import (
	"testing"
	"time"

	"stubup/internal/store"
	"stubup/internal/store/storetest"
)

func now() time.Time { return time.Date(2026, 3, 1, 7, 0, 0, 0, time.UTC) }

func open(t *testing.T, dir string) *Store {
	t.Helper()
	s, err := Open(t.Context(), Options{Dir: dir, Now: now})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func TestStore(t *testing.T) {
	storetest.Run(t, func(t *testing.T) (store.Store, func() store.Store) {
		dir := t.TempDir()
		s := open(t, dir)
		return s, func() store.Store {
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			return open(t, dir)
		}
	})
}
