package site

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

// Beside the standard library's reader of times, on times and on texts that
// are nearly times. Where an hour lies from universal time the library takes
// up to 24 and 60; no place on earth has them.
func TestIsTime(t *testing.T) {
	lib := func(s string) bool {
		for _, layout := range []string{time.RFC3339, "2006-01-02T15:04Z07:00", "2006-01-02"} {
			if _, err := time.Parse(layout, s); err == nil {
				return true
			}
		}
		return false
	}
	rapid.Check(t, func(t *rapid.T) {
		at := time.Unix(rapid.Int64Range(-30e9, 30e9).Draw(t, "at"), rapid.Int64Range(0, 999).Draw(t, "ms")*1e6).In(time.FixedZone("", 60*rapid.IntRange(-800, 800).Draw(t, "zone")))
		s := at.Format(rapid.SampledFrom([]string{time.RFC3339, time.RFC3339Nano, "2006-01-02T15:04Z07:00", "2006-01-02", "2006-01-02T15:04", "2006-01-02 15:04:05Z07:00"}).Draw(t, "form"))
		if rapid.Bool().Draw(t, "spoilt") {
			b := []byte(s)
			b[rapid.IntRange(0, len(b)-1).Draw(t, "at")] = rapid.SampledFrom([]byte("0123456789-:TZ.+ ")).Draw(t, "sign")
			s = string(b)
		}
		if zone := len(s) - 6; zone > 10 && (s[zone] == '+' || s[zone] == '-') && (s[zone+1:zone+3] > "23" || s[zone+4:] > "59") {
			return
		}
		if got, want := isTime(s), lib(s); got != want {
			t.Errorf("%q: %v, wanted %v", s, got, want)
		}
	})
}
