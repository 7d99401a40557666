package rule

import (
	"strings"

	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/plan"
)

// FenceBonds is how a fence is bonded to the ring, walked round once.
type FenceBonds struct {
	Posts   []plan.Post // in walking order
	Bonded  []bool      // of each post
	LineRun int         // longest run of unbonded line posts between bonded posts
	RunIDs  []string    // the posts of that run
	Gap     unit.Metre  // longest stretch along the fence from one bonded post to the next
	GapEnds [2]int      // indices of the posts at its ends
}

// BondsOf returns how a fence is bonded: a post is bonded where a whip goes to
// it. A gate opening counts as a stretch of the fence line.
func BondsOf(p *plan.Plan, fence string) FenceBonds {
	var b FenceBonds
	whip := map[string]bool{}
	for _, w := range p.Whips {
		whip[w.Key] = true
	}
	any := false
	for _, q := range p.Posts {
		if q.Fence == fence && strings.HasPrefix(q.Key, fence+"/") {
			b.Posts = append(b.Posts, q)
			b.Bonded = append(b.Bonded, whip["whip/"+q.Key])
			any = any || whip["whip/"+q.Key]
		}
	}
	n := len(b.Posts)
	if n == 0 {
		return b
	}
	if !any {
		for i, q := range b.Posts {
			if q.Kind == "line" {
				b.LineRun++
				b.RunIDs = append(b.RunIDs, q.ID)
			}
			b.Gap += unit.Metre(q.At.Dist(b.Posts[(i+1)%n].At))
		}
		return b
	}
	start := 0
	for !b.Bonded[start] {
		start++
	}
	var run []string
	var gap unit.Metre
	from := start
	for k := 1; k <= n; k++ {
		i, prev := (start+k)%n, (start+k-1)%n
		gap += unit.Metre(b.Posts[prev].At.Dist(b.Posts[i].At))
		if !b.Bonded[i] {
			if b.Posts[i].Kind == "line" {
				run = append(run, b.Posts[i].ID)
			}
			continue
		}
		if len(run) > b.LineRun {
			b.LineRun, b.RunIDs = len(run), run
		}
		if gap > b.Gap+geom.Eps {
			b.Gap, b.GapEnds = gap, [2]int{from, i}
		}
		run, gap, from = nil, 0, i
	}
	return b
}

// AddForGap returns the fewest further posts to bond so that no stretch
// between bonded posts is longer than a limit, or ok false where the posts
// themselves stand further apart. From each bonded post the next is the
// furthest within reach, which no other choice beats.
func (b FenceBonds) AddForGap(limit unit.Metre) (add []plan.Post, ok bool) {
	n := len(b.Posts)
	start := 0
	for start < n && !b.Bonded[start] {
		start++
	}
	if n == 0 || start == n {
		return nil, false
	}
	last, walked := start, unit.Metre(0) // since the last bonded or added post
	for k := 1; k <= n; k++ {
		i, prev := (start+k)%n, (start+k-1)%n
		step := unit.Metre(b.Posts[prev].At.Dist(b.Posts[i].At))
		if walked+step > limit*(1+slack) {
			if prev == last || step > limit*(1+slack) {
				return nil, false
			}
			add = append(add, b.Posts[prev])
			last, walked = prev, 0
		}
		walked += step
		if b.Bonded[i] {
			last, walked = i, 0
		}
	}
	return add, true
}

// AddForRun returns the fewest further line posts to bond so that no run of
// unbonded line posts is longer than most.
func (b FenceBonds) AddForRun(most int) []plan.Post {
	n := len(b.Posts)
	start := 0
	for start < n && !b.Bonded[start] {
		start++
	}
	if start == n {
		start = 0
	}
	var add []plan.Post
	run := 0
	for k := range n {
		i := (start + k) % n
		switch {
		case b.Bonded[i]:
			run = 0
		case b.Posts[i].Kind == "line":
			if run++; run > most {
				add, run = append(add, b.Posts[i]), 0
			}
		}
	}
	return add
}

// WhipTo returns the cut length of a whip to a place above grade, rounded up
// as whips are.
func (v View) WhipTo(q geom.Point) unit.Metre {
	r := v.Plan.Ring
	if r == nil {
		return 0
	}
	_, _, d := r.Nearest(q)
	step := unit.Foot
	if v.Site.Units == unit.SI {
		step = unit.Metre(0.1)
	}
	l := unit.Metre(d) + r.Depth + v.Site.Ground.Stub.Or(0)
	k := int64(float64(l/step) - 1e-6)
	return unit.Metre(k+1) * step
}
