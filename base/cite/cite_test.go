package cite

import "testing"

// The forms are those in which standards are cited on drawings: designation,
// edition, place ("IEEE Std 142-2007 4.1"); several editions come last.
func TestString(t *testing.T) {
	for _, c := range []struct {
		r           Ref
		short, full string
	}{
		{Ref{}, "", ""},
		{Ref{Work: "W"}, "W", "W"},
		{Ref{Work: "W 70", Edition: "2023"}, "W 70-2023", "W 70-2023"},
		{Ref{Work: "W 70", Edition: "2023", Place: "250.53(F)"}, "W 70-2023 250.53(F)", "W 70-2023 250.53(F)"},
		{Ref{Work: "W 70", Place: "Table 4"}, "W 70 Table 4", "W 70 Table 4"},
		{Ref{Work: "W", Edition: "3rd ed.", Place: "ch. 2"}, "W ch. 2 (3rd ed.)", "W ch. 2 (3rd ed.)"},
		{Ref{Work: "W 70", Edition: "2011-2023", Place: "Table 2", Seen: FromMemory}, "W 70 Table 2 (2011 to 2023)", "W 70 Table 2 (2011 to 2023) (from memory)"},
		{Ref{Work: Practice.Work, Place: "gate posts", Seen: Derived}, "common practice, no source: gate posts", "common practice, no source: gate posts"},
		{Ref{Work: "W", Seen: Derived}, "W", "W"},
		{Ref{Work: "W", Edition: "1985", Seen: FromMemory}, "W-1985", "W-1985 (from memory)"},
		{Ref{Work: "a maker's rules, name withheld", Place: "share of the sum above three", Seen: Read}, "a maker's rules, name withheld: share of the sum above three", "a maker's rules, name withheld: share of the sum above three"},
		{Practice, "common practice, no source", "common practice, no source"},
	} {
		if got := c.r.String(); got != c.short {
			t.Errorf("%#v: %q, want %q", c.r, got, c.short)
		}
		if got := c.r.Full(); got != c.full {
			t.Errorf("%#v: %q, want %q", c.r, got, c.full)
		}
		if c.r.IsZero() != (c.r.Work == "") {
			t.Errorf("%#v: zero is %v", c.r, c.r.IsZero())
		}
	}
}

func TestSeen(t *testing.T) {
	all := []Seen{Read, Derived, FromMemory}
	for i, a := range all {
		for j, b := range all {
			if got := Worst(a, b); got != all[max(i, j)] {
				t.Errorf("worst of %v and %v: %v", a, b, got)
			}
		}
	}
	for s, want := range map[Seen]string{Read: "seen", Derived: "derived", FromMemory: "from memory", 9: "from memory"} {
		if s.String() != want {
			t.Errorf("%d prints %q, want %q", int(s), s, want)
		}
	}
}
