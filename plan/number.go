package plan

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"stubup/base/geom"
	"stubup/base/stable"
	"stubup/site"
)

// Numbers are remembered. A point is made by a rule and is known by its key
// ("rod/ring/corner-2"); the document keeps key and number together, so that
// a hung tag means the same point for ever. A key without a number takes the
// next free one in walking order; a retired number is never used again.

// numbering hands out numbers.
type numbering struct {
	known   map[string]string // key -> id, from the document
	order   []string          // keys in document order
	retired map[string]bool   // ids that were used once
	claimed map[string]bool   // keys that a point of this plan has
	used    map[string]bool   // ids taken
	fresh   []site.Number
	given   map[string]string
}

func newNumbering(s *site.Site) *numbering {
	n := &numbering{known: map[string]string{}, retired: map[string]bool{}, claimed: map[string]bool{}, used: map[string]bool{}, given: map[string]string{}}
	for _, m := range s.Numbers {
		n.used[m.ID] = true
		if m.Retired {
			n.retired[m.ID] = true
			n.order = append(n.order, m.Key)
			n.known["retired "+m.Key] = m.ID
			continue
		}
		if _, twice := n.known[m.Key]; twice {
			continue
		}
		n.known[m.Key] = m.ID
		n.order = append(n.order, m.Key)
	}
	return n
}

// want is a point that is to be numbered.
type want struct {
	key    string
	prefix string     // "R", "J", "W", "P", "post "
	at     geom.Point // used to find a moved point again
	moves  bool       // the key carries the place, so a moved point is looked for nearby
}

// assign gives every want its number, in the order given.
func (n *numbering) assign(wants []want) []string {
	ids := make([]string, len(wants))
	// First those whose key is known.
	for i, w := range wants {
		if id, ok := n.known[w.key]; ok && !n.claimed[w.key] {
			ids[i] = id
			n.claimed[w.key] = true
		}
	}
	// Then those that carry their place in the key and were moved a little.
	for i, w := range wants {
		if ids[i] != "" || !w.moves {
			continue
		}
		if old, ok := n.nearby(w); ok {
			ids[i] = n.known[old]
			n.claimed[old] = true
		}
	}
	next := map[string]int{}
	for i, w := range wants {
		if ids[i] == "" {
			k := next[w.prefix]
			for {
				k++
				if id := w.prefix + strconv.Itoa(k); !n.used[id] {
					ids[i] = id
					n.used[id] = true
					break
				}
			}
			next[w.prefix] = k
		}
		n.given[w.key] = ids[i]
		n.fresh = append(n.fresh, site.Number{Key: w.key, ID: ids[i]})
	}
	return ids
}

// nearby finds a remembered key of the same family, unclaimed, whose place is
// within 3 m: the same point, moved.
func (n *numbering) nearby(w want) (string, bool) {
	family, _, ok := strings.Cut(w.key, "@")
	if !ok {
		return "", false
	}
	best, bestD := "", 3.0
	for _, key := range n.order {
		f, place, ok := strings.Cut(key, "@")
		if !ok || f != family || n.claimed[key] || n.known[key] == "" {
			continue
		}
		east, north, _ := strings.Cut(place, ",")
		x, err := strconv.ParseFloat(east, 64)
		y, err2 := strconv.ParseFloat(north, 64)
		if err != nil || err2 != nil {
			continue
		}
		p := geom.Point{X: x, Y: y}
		if d := p.Dist(w.at); d < bestD {
			best, bestD = key, d
		}
	}
	return best, best != ""
}

// placeKey writes a place for a key: metres to the millimetre.
func placeKey(p geom.Point) string { return "@" + millimetres(p.X) + "," + millimetres(p.Y) }

func millimetres(v float64) string {
	return strconv.FormatFloat(math.Round(v*1000)/1000+0, 'f', -1, 64)
}

// remember returns the numbers that the document is to carry: those of this
// plan, and everything that was used once and is gone, as retired.
func (n *numbering) remember() []site.Number {
	out := slices.Clone(n.fresh)
	live := map[string]bool{}
	for _, m := range out {
		live[m.ID] = true
	}
	for _, key := range n.order {
		id, ok := n.known[key]
		if !ok {
			id = n.known["retired "+key]
		}
		if id != "" && !live[id] {
			out = append(out, site.Number{Key: key, ID: id, Retired: true})
			live[id] = true
		}
	}
	stable.Sort(out, func(a, b site.Number) int {
		if c := cmp.Compare(idOrder(a.ID), idOrder(b.ID)); c != 0 {
			return c
		}
		return cmp.Compare(idNumber(a.ID), idNumber(b.ID))
	})
	return out
}

func idOrder(id string) int {
	for i, p := range []string{"R", "J", "W", "P", "X", "post "} {
		if strings.HasPrefix(id, p) {
			return i
		}
	}
	return 9
}

func idNumber(id string) int {
	i := strings.IndexFunc(id, func(r rune) bool { return r >= '0' && r <= '9' })
	if i < 0 {
		return 0
	}
	v, _ := strconv.Atoi(strings.TrimRightFunc(id[i:], func(r rune) bool { return r < '0' || r > '9' }))
	return v
}
