package route

import (
	"math"

	"stubup/base/geom"
	"stubup/base/unit"
)

// load is what a run has used up since its last pull point, counted to a
// corner as if the straight went on through it. What a bend's tangents take
// off is settled at the bend.
type load struct {
	deg      float64 // bend sum
	length   float64 // of raceway
	straight float64 // left behind for a tangent; negative where one is owed
	fwd      float64 // tension, fed at the pull point; +Inf where that way is shut
	back     float64 // largest tension that may still enter from the far end; -Inf where that way is shut
}

// books keeps loads against limits.
type books struct {
	lim      Limits
	drag     Drag
	tension  bool
	tMax     float64 // unbounded for none
	sMax     float64
	reel     float64
	longest  float64 // the longest tangent or straight that anything offered takes
	byDeg    bool
	byLength bool
}

// unbounded stands for no limit of tension: finite, so that a shut way (+Inf)
// is over it.
const unbounded = 1e300

func open(lim Limits, d Drag) *books {
	b := &books{lim: lim, drag: d, tension: lim.tension(), tMax: unbounded, sMax: math.Inf(1), reel: float64(lim.Reel), byDeg: lim.Bends > 0, byLength: lim.Length > 0}
	if lim.Tension > 0 {
		b.tMax = float64(lim.Tension) * (1 + slack)
	}
	if lim.Sidewall > 0 {
		b.sMax = float64(lim.Sidewall) * (1 + slack)
	}
	return b
}

// way is a heading with what a metre of straight adds along it, both ways.
type way struct {
	dir     geom.Point3
	to, fro float64
}

func (b *books) way(dir geom.Point3) way {
	if !b.tension {
		return way{dir: dir}
	}
	return way{dir, b.drag.straight(dir), b.drag.straight(dir.Scale(-1))}
}

// fed returns the load just after a pull point that takes so much straight.
func (b *books) fed(takes float64, w way) load {
	return load{0, -takes, -takes, b.reel - takes*w.to, b.tMax + takes*w.fro}
}

// run carries a load along a straight.
func (b *books) run(l load, d float64, w way) load {
	l.length += d
	l.straight = min(l.straight+d, b.longest)
	if b.tension {
		l.fwd += d * w.to
		l.back -= d * w.fro
	}
	return l
}

// lost reports whether no end can be reached within the limits: what is
// already built, short of the longest tangent, is over one.
func (b *books) lost(l load, w way) bool {
	if b.byLength && over(l.length-b.longest, float64(b.lim.Length)) {
		return true
	}
	if !b.tension {
		return false
	}
	return l.fwd-b.longest*w.to > b.tMax && l.back+b.longest*w.fro < 0
}

// short reports whether less straight is left than is needed.
func short(have, takes float64) bool { return have < takes-slack }

// bendOf is a bend at one angle between two headings.
type bendOf struct {
	turn    Turn
	tangent float64
	arc     float64
}

// bend carries a load through a bend; false where a limit or the straight
// forbids it.
func (b *books) bend(l load, o *bendOf, in, out way) (load, bool) {
	if short(l.straight, o.tangent) {
		return l, false
	}
	l.deg += float64(o.turn.Angle)
	if over(l.deg, float64(b.lim.Bends)) {
		return l, false
	}
	l.length += o.arc - o.tangent
	if over(l.length, float64(b.lim.Length)) {
		return l, false
	}
	l.length -= o.tangent
	l.straight = -o.tangent
	if !b.tension {
		return l, true
	}
	return b.around(l, o.turn, o.tangent, o.tangent, in, out)
}

// around settles the tensions of a turn whose tangents take before and after.
func (b *books) around(l load, t Turn, before, after float64, in, out way) (load, bool) {
	r := float64(t.Radius)
	if f := l.fwd - before*in.to; f <= b.tMax {
		g := b.drag.bend(f, t)
		if g <= b.tMax && g/r <= b.sMax {
			l.fwd = g - after*out.to
		} else {
			l.fwd = math.Inf(1)
		}
	} else {
		l.fwd = math.Inf(1)
	}
	h := min(l.back+before*in.fro, b.tMax, b.sMax*r)
	if h < 0 {
		l.back = math.Inf(-1)
	} else if h = min(b.drag.enter(h, t.reversed()), b.tMax); h < 0 {
		l.back = math.Inf(-1)
	} else {
		l.back = h + after*out.fro
	}
	return l, !math.IsInf(l.fwd, 1) || !math.IsInf(l.back, -1)
}

// closes reports whether a section may end here, with so much straight taken
// by what stands at its end.
func (b *books) closes(l load, takes float64, in way) bool {
	if short(l.straight, takes) || over(l.length-takes, float64(b.lim.Length)) || over(l.deg, float64(b.lim.Bends)) {
		return false
	}
	return b.pulls(l, takes, in)
}

// pulls reports whether the cable can be pulled one way or the other.
func (b *books) pulls(l load, takes float64, in way) bool {
	if !b.tension {
		return true
	}
	return l.fwd-takes*in.to <= b.tMax || min(l.back+takes*in.fro, b.tMax) >= b.reel
}

// fit carries a load through a fitting.
func (b *books) fit(l load, f *Fitting, angle unit.Degree, in, out way) (load, bool) {
	takes := float64(f.Takes)
	if short(l.straight, takes) || over(l.length-takes, float64(b.lim.Length)) {
		return l, false
	}
	if f.Resets.Bends {
		l.deg = 0
	} else {
		l.deg += float64(angle)
		if over(l.deg, float64(b.lim.Bends)) {
			return l, false
		}
	}
	if f.Resets.Length {
		l.length = -takes
	} else {
		l.length -= 2 * takes
	}
	l.straight = -takes
	if !b.tension {
		return l, true
	}
	if f.Resets.Tension {
		if !b.pulls(l, takes, in) {
			return l, false
		}
		n := b.fed(takes, out)
		l.fwd, l.back = n.fwd, n.back
		return l, true
	}
	if angle > 0 {
		return b.around(l, Turn{angle, f.Radius, in.dir, out.dir}, takes, takes, in, out)
	}
	l.fwd -= takes * (in.to + out.to)
	l.back += takes * (in.fro + out.fro)
	return l, true
}

// sameLoad is how near two loads must be to be the same.
const sameLoad = 1e-9

// asGood reports whether whatever can be made of b can be made of a.
func (k *books) asGood(a, b *load) bool {
	if a.straight < b.straight-sameLoad {
		return false
	}
	if k.byDeg && a.deg > b.deg+sameLoad {
		return false
	}
	if k.byLength && a.length > b.length+sameLoad {
		return false
	}
	if k.tension && (a.fwd > b.fwd+sameLoad || a.back < b.back-sameLoad) {
		return false
	}
	return true
}
