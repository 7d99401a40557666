package change

import (
	"slices"
	"strings"
	"testing"
)

// What a client moves is said first, whole, turned into another shape, new and
// gone; a run that ended at it and stays is named, one that goes along is not.
func TestThingsThatAreMoved(t *testing.T) {
	a := string(read(t, "compound-a.yaml"))
	swap := func(s string, pairs ...string) string {
		for i := 0; i < len(pairs); i += 2 {
			if strings.Count(s, pairs[i]) != 1 {
				t.Fatalf("%q stands %d times", pairs[i], strings.Count(s, pairs[i]))
			}
			s = strings.Replace(s, pairs[i], pairs[i+1], 1)
		}
		return s
	}
	up := []string{"corners: [[33, 4], [36, 4], [36, 8], [33, 8]]", "corners: [[33, 6], [36, 6], [36, 10], [33, 10]]", "lugs: [[33, 5], [33, 7]]", "lugs: [[33, 7], [33, 9]]"}
	for name, c := range map[string]struct {
		text string
		want []string
	}{
		"itself":                 {a, nil},
		"north, its run left":    {swap(a, up...), []string{`generator: moved 2'-0" north; generator 1 still ends where it did`}},
		"north, its run with it": {swap(a, append(slices.Clone(up), "start: [34, 9, 1]", "start: [34, 11, 1]")...), []string{`generator: moved 2'-0" north`}},
		"legs south-west":        {swap(a, "legs: [[6, 6], [6, 10]]", "legs: [[5, 5.5], [5, 9.5]]"), []string{`H-frame: moved 1'-0" west, 0'-6" south`}},
		"another shape":          {swap(a, "corners: [[10, 10], [30, 10], [30, 20], [10, 20]]", "corners: [[10, 10], [32, 10], [32, 20], [10, 20]]"), []string{"platform: changed"}},
		"a pad more":             {swap(a, "  h-frame:\n", "  battery-pad:\n    kind: pad\n    corners: [[5, 20], [7, 20], [7, 22], [5, 22]]\n  h-frame:\n"), []string{"battery pad: added"}},
		"a thing gone":           {swap(a, "  exterior-bar:\n    kind: bar\n    at: [21, 22]\n    lugs: [[20, 22], [22, 22]]\n", "", "    - to: exterior-bar lugs\n      end: lug\n", ""), []string{"exterior bar: removed"}},
	} {
		r := Of(sideOf(t, "old", []byte(a)), sideOf(t, "new", []byte(c.text)))
		var got []string
		for _, d := range r.Things {
			got = append(got, d.words(0))
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, wanted %q", name, got, c.want)
		}
		for _, w := range c.want {
			if !slices.Contains(r.Summary, w) || !slices.Contains(r.Notice, w+".") {
				t.Errorf("%s: %q is not in the summary and the notice", name, w)
			}
		}
	}
}
