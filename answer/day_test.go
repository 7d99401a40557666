package answer

import (
	"testing"
	"time"
)

// Every day of some centuries, against the standard library's calendar.
func TestDayOf(t *testing.T) {
	first := time.Date(1899, 12, 31, 0, 0, 0, 0, time.UTC)
	want, _ := dayOf(first.Format(time.DateOnly))
	for d := first; d.Year() < 2102; d = d.AddDate(0, 0, 1) {
		got, ok := dayOf(d.Format(time.RFC3339))
		if !ok || got != want {
			t.Fatalf("%v: %d, want %d", d, got, want)
		}
		want++
	}
	for _, bad := range []string{"", "2026", "2026-13-01", "soon", "2026-00-10"} {
		if _, ok := dayOf(bad); ok {
			t.Errorf("%q is a day", bad)
		}
	}
}
