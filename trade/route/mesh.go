package route

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"stubup/base/geom"
	"stubup/base/stable"
	"stubup/base/unit"
)

// Surface is a flat face that a raceway may run on: a wall, a roof, a floor,
// the ground where it may be trenched.
type Surface struct {
	Name      string
	Kind      string          // "wall", "roof", "floor", "trench": what Forbid and On go by
	Outline   []geom.Point3   // its corners in order
	Holes     [][]geom.Point3 // openings and keep-outs; a run may go along their edges
	Rate      float64         // cost of a metre of raceway on it
	Along     geom.Point3     // a direction that runs follow; zero: level along a wall, east on the flat
	Diagonals bool            // runs may also cross it at 45 degrees
}

// Line is a line that a raceway may follow and leave only at its mesh points: a
// strut, an open trench.
type Line struct {
	Name   string
	Kind   string
	Points []geom.Point3
	Rate   float64 // cost of a metre
}

// Core is a straight way through a wall, a roof or a floor.
type Core struct {
	Name     string
	Kind     string
	From, To geom.Point3
	Cost     float64 // of the hole and its sealing, each
	Rate     float64 // cost of a metre of raceway in it
}

// Obstacle is an upright box that no run may enter.
type Obstacle struct {
	Name     string
	Min, Max geom.Point3
	Clear    unit.Metre // kept free around it
}

// Space is all that a run may follow and all that stands in its way. Surfaces
// join where an edge of one lies on another.
type Space struct {
	Surfaces  []Surface
	Lines     []Line
	Cores     []Core
	Obstacles []Obstacle
	Pitch     unit.Metre // of the mesh; 0 takes DefaultPitch
}

// DefaultPitch is the mesh of the surfaces: 6 in, finer than a crew places a
// run that nothing fixes. Edges of holes and obstacles, seams and ends are met
// exactly besides.
const DefaultPitch = 6 * unit.Inch

// place3 says where a point is, in feet.
func place3(p geom.Point3) string {
	f := func(v float64) string { return unit.Trim(unit.Metre(v).Ft(), 2) }
	return fmt.Sprintf("(%s, %s, %s) ft", f(p.X), f(p.Y), f(p.Z))
}

func finite3(p geom.Point3) bool { s := p.X + p.Y + p.Z; return !math.IsNaN(s) && !math.IsInf(s, 0) }

// joined is how near two mesh points must be to be one.
const joined = 10 * geom.Eps

// plane is a surface with its own axes: a point is origin-free, (p.u, p.v).
type plane struct {
	u, v, n geom.Point3
	at      float64 // p.n of its points
	outline geom.Outline
	holes   []geom.Outline
	lo, hi  geom.Point
	us, vs  []float64 // mesh lines
}

func (p *plane) flat(q geom.Point3) geom.Point { return geom.Point{X: q.Dot(p.u), Y: q.Dot(p.v)} }

func (p *plane) space(q geom.Point) geom.Point3 {
	return p.u.Scale(q.X).Add(p.v.Scale(q.Y)).Add(p.n.Scale(p.at))
}

func (p *plane) on(q geom.Point3) bool { return math.Abs(q.Dot(p.n)-p.at) < joined }

// has reports whether a point of the plane is on the surface, edges included.
func (p *plane) has(q geom.Point) bool {
	if q.X < p.lo.X-joined || q.X > p.hi.X+joined || q.Y < p.lo.Y-joined || q.Y > p.hi.Y+joined || !p.outline.Contains(q) {
		return false
	}
	for _, h := range p.holes {
		if within(h, q) {
			return false
		}
	}
	return true
}

// within reports whether q is inside the outline and not on its edge.
func within(o geom.Outline, q geom.Point) bool {
	for _, s := range o.Sides() {
		if n, _ := s.Nearest(q); n.Dist(q) < geom.Eps {
			return false
		}
	}
	return o.Contains(q)
}

// beside reports whether the surface lies at q, which is on a straight of
// direction d, or to one side of it at least. The sill of a door is the edge of
// a hole and of the wall too: there is no wall on either side.
func (p *plane) beside(q, d geom.Point) bool {
	if !p.has(q) {
		return false
	}
	s := d.Unit().Left().Scale(2 * joined)
	return p.has(q.Add(s)) || p.has(q.Sub(s))
}

// clear reports whether the straight from a to b, both on the surface, stays on
// it: along an edge is on it.
func (p *plane) clear(a, b geom.Point) bool {
	cuts := []float64{0, 1}
	seg := geom.Segment{A: a, B: b}
	d := b.Sub(a)
	l2 := d.Dot(d)
	note := func(o geom.Outline) {
		for _, s := range o.Sides() {
			if q, ok := s.Crosses(seg); ok {
				cuts = append(cuts, q.Sub(a).Dot(d)/l2)
			}
			for _, c := range []geom.Point{s.A, s.B} {
				if n, t := seg.Nearest(c); n.Dist(c) < geom.Eps {
					cuts = append(cuts, t)
				}
			}
		}
	}
	note(p.outline)
	for _, h := range p.holes {
		note(h)
	}
	stable.Ascend(cuts)
	for i := 1; i < len(cuts); i++ {
		if (cuts[i]-cuts[i-1])*math.Sqrt(l2) > geom.Eps && !p.beside(a.Add(d.Scale((cuts[i]+cuts[i-1])/2)), d) {
			return false
		}
	}
	return true
}

// planeOf finds the axes of a surface.
func planeOf(s *Surface) (*plane, error) {
	where := fmt.Sprintf("surface %q", s.Name)
	if len(s.Outline) < 3 {
		return nil, &Fault{where, fmt.Sprintf("%d corners do not bound a surface", len(s.Outline)), "give at least three"}
	}
	all := slices.Clone(s.Outline)
	for _, h := range s.Holes {
		if len(h) < 3 {
			return nil, &Fault{where, "a hole has fewer than three corners", "give at least three"}
		}
		all = append(all, h...)
	}
	for _, p := range all {
		if !finite3(p) {
			return nil, &Fault{where, "a corner is not a place", "give three finite coordinates"}
		}
	}
	if bad(s.Rate) {
		return nil, &Fault{where, "its rate is not a figure", "give a cost by length of nought or more"}
	}
	var n geom.Point3
	for i, p := range s.Outline {
		n = n.Add(p.Cross(s.Outline[(i+1)%len(s.Outline)]))
	}
	if n.Norm() < 1e-9 {
		return nil, &Fault{where, "it has no area", "list its corners in order around it"}
	}
	p := &plane{n: n.Unit()}
	p.at = s.Outline[0].Dot(p.n)
	for i, q := range all {
		if off := math.Abs(q.Dot(p.n) - p.at); off > 1e-4 {
			return nil, &Fault{where, fmt.Sprintf("corner %d stands %s off the plane of the others", i+1, unit.US.Short(unit.Metre(off))), "split the surface in two, or move the corner"}
		}
	}
	if s.Along != (geom.Point3{}) {
		a := s.Along.Sub(p.n.Scale(s.Along.Dot(p.n)))
		if !finite3(a) || a.Norm() < 1e-6 {
			return nil, &Fault{where, "the direction along it does not lie in it", "give a direction along the surface"}
		}
		p.u = a.Unit()
	} else if math.Hypot(p.n.X, p.n.Y) < 1e-6 {
		p.u = geom.Point3{X: 1}
	} else {
		p.u = geom.Point3{X: -p.n.Y, Y: p.n.X}.Unit()
		if p.u.X < -1e-9 || math.Abs(p.u.X) <= 1e-9 && p.u.Y < 0 {
			p.u = p.u.Scale(-1)
		}
	}
	p.v = p.n.Cross(p.u)
	if p.v.Z < -1e-9 || math.Abs(p.v.Z) <= 1e-9 && p.v.Y < 0 {
		p.v = p.v.Scale(-1)
	}
	outline := func(pts []geom.Point3) geom.Outline {
		o := make(geom.Outline, len(pts))
		for i, q := range pts {
			o[i] = p.flat(q)
		}
		return o
	}
	p.outline = outline(s.Outline)
	if _, crosses := p.outline.CrossesItself(); crosses {
		return nil, &Fault{where, "its outline crosses itself", "list its corners in order around it"}
	}
	for _, h := range s.Holes {
		p.holes = append(p.holes, outline(h))
	}
	p.lo, p.hi = p.outline[0], p.outline[0]
	for _, q := range p.outline {
		p.lo = geom.Point{X: min(p.lo.X, q.X), Y: min(p.lo.Y, q.Y)}
		p.hi = geom.Point{X: max(p.hi.X, q.X), Y: max(p.hi.Y, q.Y)}
	}
	return p, nil
}

// rule adds mesh lines through q where it is within the surface's bounds.
func (p *plane) rule(q geom.Point) bool {
	a := insert(&p.us, q.X, p.lo.X, p.hi.X)
	b := insert(&p.vs, q.Y, p.lo.Y, p.hi.Y)
	return a || b
}

// insert keeps vs sorted, with no two nearer than a joint's width.
func insert(vs *[]float64, v, lo, hi float64) bool {
	if v < lo-joined || v > hi+joined {
		return false
	}
	i, _ := slices.BinarySearch(*vs, v)
	if i < len(*vs) && (*vs)[i]-v < joined || i > 0 && v-(*vs)[i-1] < joined {
		return false
	}
	*vs = slices.Insert(*vs, i, v)
	return true
}

// lattice adds the regular mesh. It counts from the origin of the space, so
// that the meshes of surfaces that are square to each other meet.
func (p *plane) lattice(pitch float64) {
	for k := math.Ceil(p.lo.X/pitch - 1e-9); k*pitch <= p.hi.X+joined; k++ {
		insert(&p.us, k*pitch, p.lo.X, p.hi.X)
	}
	for k := math.Ceil(p.lo.Y/pitch - 1e-9); k*pitch <= p.hi.Y+joined; k++ {
		insert(&p.vs, k*pitch, p.lo.Y, p.hi.Y)
	}
}

// edge leads from one mesh point to the next.
type edge struct {
	to      int32
	heading int32
	face    int32 // index into faces
	length  float64
	cost    float64
}

// face is what an edge lies on.
type face struct {
	name, kind string
	fixed      float64 // of a core
	rate       float64
	mask       uint64 // bit of its kind
}

// net is the mesh of a space.
type net struct {
	at       []geom.Point3
	out      [][]edge
	headings []geom.Point3
	faces    []face
	kinds    []string
	cells    map[[3]int64]int32
	planes   []*plane
}

// node returns the mesh point at q, made if it is new.
func (n *net) node(q geom.Point3) int32 {
	if i, ok := n.find(q); ok {
		return i
	}
	i := int32(len(n.at))
	n.at = append(n.at, q)
	n.out = append(n.out, nil)
	n.cells[cell(q)] = i
	return i
}

// cellSize is well over the width within which two points are one.
const cellSize = 10 * joined

func cell(q geom.Point3) [3]int64 {
	f := func(v float64) int64 { return int64(math.Floor(v/cellSize + 0.37)) }
	return [3]int64{f(q.X), f(q.Y), f(q.Z)}
}

func (n *net) find(q geom.Point3) (int32, bool) {
	lo := cell(q.Sub(geom.Point3{X: joined, Y: joined, Z: joined}))
	hi := cell(q.Add(geom.Point3{X: joined, Y: joined, Z: joined}))
	for x := lo[0]; x <= hi[0]; x++ {
		for y := lo[1]; y <= hi[1]; y++ {
			for z := lo[2]; z <= hi[2]; z++ {
				if i, ok := n.cells[[3]int64{x, y, z}]; ok && n.at[i].Dist(q) < joined {
					return i, true
				}
			}
		}
	}
	return 0, false
}

// heading returns the number of a direction.
func (n *net) heading(d geom.Point3) int32 {
	for i, h := range n.headings {
		if h.Dist(d) < 1e-6 {
			return int32(i)
		}
	}
	n.headings = append(n.headings, d)
	return int32(len(n.headings) - 1)
}

func (n *net) kindBit(kind string) uint64 {
	i := slices.Index(n.kinds, kind)
	if i < 0 {
		i = len(n.kinds)
		n.kinds = append(n.kinds, kind)
	}
	return 1 << (i % 64)
}

// join adds the edge between two mesh points, both ways.
func (n *net) join(a, b int32, f int32) {
	if a == b {
		return
	}
	d := n.at[b].Sub(n.at[a])
	l := d.Norm()
	h, back := n.heading(d.Unit()), n.heading(d.Unit().Scale(-1))
	c := n.faces[f].fixed + n.faces[f].rate*l
	n.out[a] = append(n.out[a], edge{b, h, f, l, c})
	n.out[b] = append(n.out[b], edge{a, back, f, l, c})
}

// enters reports whether the straight from a to b enters an obstacle; along its
// edge is not in it. On a surface of normal n a box that only touches the
// surface stands on it, or against it, and is in the way; zero n is a line in
// the open.
func (o *Obstacle) enters(a, b, n geom.Point3) bool {
	c := float64(o.Clear)
	touch := func(n float64) float64 {
		if math.Abs(n) > 0.99 {
			return 3 * joined
		}
		return 0
	}
	t0, t1 := 0.0, 1.0
	d := b.Sub(a)
	for _, ax := range [3][5]float64{{a.X, d.X, o.Min.X - c, o.Max.X + c, n.X}, {a.Y, d.Y, o.Min.Y - c, o.Max.Y + c, n.Y}, {a.Z, d.Z, o.Min.Z - c, o.Max.Z + c, n.Z}} {
		lo, hi := ax[2]+joined-touch(ax[4]), ax[3]-joined+touch(ax[4])
		if math.Abs(ax[1]) < 1e-12 {
			if ax[0] <= lo || ax[0] >= hi {
				return false
			}
			continue
		}
		u, v := (lo-ax[0])/ax[1], (hi-ax[0])/ax[1]
		t0, t1 = max(t0, min(u, v)), min(t1, max(u, v))
	}
	return t0 < t1
}

// corners returns the eight corners of an obstacle with what is kept clear.
func (o *Obstacle) corners() []geom.Point3 {
	c := float64(o.Clear)
	var out []geom.Point3
	for _, x := range []float64{o.Min.X - c, o.Max.X + c} {
		for _, y := range []float64{o.Min.Y - c, o.Max.Y + c} {
			for _, z := range []float64{o.Min.Z - c, o.Max.Z + c} {
				out = append(out, geom.Point3{X: x, Y: y, Z: z})
			}
		}
	}
	return out
}

func (s *Space) check() error {
	if bad(float64(s.Pitch)) || s.Pitch > 0 && s.Pitch < unit.Inch {
		return &Fault{"mesh", fmt.Sprintf("a pitch of %v m is not one", float64(s.Pitch)), "give an inch or more, or leave it out for 6 in"}
	}
	if len(s.Surfaces)+len(s.Lines)+len(s.Cores) == 0 {
		return &Fault{"space", "there is nothing to run on", "give at least one surface or line"}
	}
	for _, l := range s.Lines {
		where := fmt.Sprintf("line %q", l.Name)
		if len(l.Points) < 2 {
			return &Fault{where, "it has fewer than two points", "give at least two"}
		}
		for i, p := range l.Points {
			if !finite3(p) {
				return &Fault{where, fmt.Sprintf("point %d is not a place", i+1), "give three finite coordinates"}
			}
			if i > 0 && p.Dist(l.Points[i-1]) < joined {
				return &Fault{where, fmt.Sprintf("points %d and %d are the same place", i, i+1), "leave one out"}
			}
		}
		if bad(l.Rate) {
			return &Fault{where, "its rate is not a figure", "give a cost by length of nought or more"}
		}
	}
	for _, c := range s.Cores {
		where := fmt.Sprintf("core %q", c.Name)
		if !finite3(c.From) || !finite3(c.To) || c.From.Dist(c.To) < joined {
			return &Fault{where, "it has no length", "give the places of its two ends"}
		}
		if bad(c.Cost) || bad(c.Rate) {
			return &Fault{where, "its cost is not a figure", "give a cost of nought or more"}
		}
	}
	for _, o := range s.Obstacles {
		if !finite3(o.Min) || !finite3(o.Max) || bad(float64(o.Clear)) || o.Min.X > o.Max.X || o.Min.Y > o.Max.Y || o.Min.Z > o.Max.Z {
			return &Fault{fmt.Sprintf("obstacle %q", o.Name), "it is not a box", "give its least corner and its greatest"}
		}
	}
	return nil
}

// mesh lays the net over a space; ends are places that must be met exactly.
func (s *Space) mesh(ends ...geom.Point3) (*net, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	pitch := float64(s.Pitch)
	if pitch == 0 {
		pitch = float64(DefaultPitch)
	}
	n := &net{cells: map[[3]int64]int32{}}
	fixed := slices.Clone(ends)
	for _, l := range s.Lines {
		fixed = append(fixed, l.Points...)
	}
	for _, c := range s.Cores {
		fixed = append(fixed, c.From, c.To)
	}
	for i := range s.Surfaces {
		p, err := planeOf(&s.Surfaces[i])
		if err != nil {
			return nil, err
		}
		for _, q := range p.outline {
			p.rule(q)
		}
		for _, h := range p.holes {
			for _, q := range h {
				p.rule(q)
			}
		}
		for k := range s.Obstacles {
			o := &s.Obstacles[k]
			lo, hi := math.Inf(1), math.Inf(-1)
			for _, c := range o.corners() {
				lo, hi = min(lo, c.Dot(p.n)), max(hi, c.Dot(p.n))
			}
			if lo-joined < p.at && p.at < hi+joined {
				for _, c := range o.corners() {
					p.rule(p.flat(c))
				}
			}
		}
		for _, q := range fixed {
			if p.on(q) && p.has(p.flat(q)) {
				p.rule(p.flat(q))
			}
		}
		p.lattice(pitch)
		n.planes = append(n.planes, p)
	}
	n.seam()
	if err := n.size(); err != nil {
		return nil, err
	}
	for i := range s.Surfaces {
		n.cover(&s.Surfaces[i], n.planes[i], s.Obstacles)
	}
	n.thread(s, pitch, ends)
	if len(n.kinds) > mostKinds {
		return nil, &Fault{"space", fmt.Sprintf("%d kinds of surface are too many", len(n.kinds)), fmt.Sprintf("use %d or fewer", mostKinds)}
	}
	return n, nil
}

// mostKinds is how many kinds of surface the search can tell apart.
const mostKinds = 62

// mostPoints is where a mesh is refused: far over any compound at 6 in.
const mostPoints = 2_000_000

func (n *net) size() error {
	sum := 0
	for _, p := range n.planes {
		sum += len(p.us) * len(p.vs)
	}
	if sum > mostPoints {
		return &Fault{"mesh", fmt.Sprintf("it would have %d points", sum), "give a coarser pitch, or smaller surfaces"}
	}
	return nil
}

// seam makes the meshes of surfaces meet along the edges that they share.
func (n *net) seam() {
	for range 3 { // a line may cross from wall to floor to wall
		changed := false
		for i, p := range n.planes {
			for _, e := range p.outline.Sides() {
				a, b := p.space(e.A), p.space(e.B)
				for j, q := range n.planes {
					if i == j || !q.on(a) || !q.on(b) {
						continue
					}
					pts := append(crossings(p, a, b), crossings(q, a, b)...)
					for _, x := range pts {
						if !q.has(q.flat(x)) {
							continue
						}
						if q.rule(q.flat(x)) {
							changed = true
						}
						if p.rule(p.flat(x)) {
							changed = true
						}
					}
				}
			}
		}
		if !changed {
			return
		}
	}
}

// crossings returns where the mesh lines of p cross the segment from a to b,
// which lies in its plane, and the segment's ends.
func crossings(p *plane, a, b geom.Point3) []geom.Point3 {
	out := []geom.Point3{a, b}
	fa, fb := p.flat(a), p.flat(b)
	cut := func(vs []float64, x, y float64) {
		if math.Abs(y-x) < joined {
			return
		}
		for _, v := range vs {
			if t := (v - x) / (y - x); t > 0 && t < 1 {
				out = append(out, a.Add(b.Sub(a).Scale(t)))
			}
		}
	}
	cut(p.us, fa.X, fb.X)
	cut(p.vs, fa.Y, fb.Y)
	return out
}

// cover adds the mesh points and edges of one surface.
func (n *net) cover(s *Surface, p *plane, obstacles []Obstacle) {
	f := int32(len(n.faces))
	n.faces = append(n.faces, face{name: s.Name, kind: s.Kind, rate: s.Rate, mask: n.kindBit(s.Kind)})
	nu, nv := len(p.us), len(p.vs)
	ids := make([]int32, nu*nv)
	for i, u := range p.us {
		for j, v := range p.vs {
			ids[i*nv+j] = -1
			if q := (geom.Point{X: u, Y: v}); p.has(q) {
				ids[i*nv+j] = n.node(p.space(q))
			}
		}
	}
	simple := len(p.holes) == 0 && len(p.outline) == 4 && isRectangle(p)
	join := func(i, j, k, l int) {
		a, b := ids[i*nv+j], ids[k*nv+l]
		if a < 0 || b < 0 {
			return
		}
		if !simple && !p.clear(geom.Point{X: p.us[i], Y: p.vs[j]}, geom.Point{X: p.us[k], Y: p.vs[l]}) {
			return
		}
		for o := range obstacles {
			if obstacles[o].enters(n.at[a], n.at[b], p.n) {
				return
			}
		}
		n.join(a, b, f)
	}
	for i := range nu {
		for j := range nv {
			if i+1 < nu {
				join(i, j, i+1, j)
			}
			if j+1 < nv {
				join(i, j, i, j+1)
			}
			if s.Diagonals {
				// To the first mesh point that lies at 45 degrees.
				for _, up := range []int{1, -1} {
					if k, l, ok := diagonal(p, i, j, up); ok {
						join(i, j, k, l)
					}
				}
			}
		}
	}
}

// diagonal returns the first mesh point at 45 degrees from one, ahead in u and
// up or down in v.
func diagonal(p *plane, i, j, up int) (int, int, bool) {
	k, l := i+1, j+up
	for k < len(p.us) && l >= 0 && l < len(p.vs) {
		du, dv := p.us[k]-p.us[i], math.Abs(p.vs[l]-p.vs[j])
		switch {
		case math.Abs(du-dv) < joined:
			return k, l, true
		case du < dv:
			k++
		default:
			l += up
		}
	}
	return 0, 0, false
}

func isRectangle(p *plane) bool {
	for _, q := range p.outline {
		if math.Min(math.Abs(q.X-p.lo.X), math.Abs(q.X-p.hi.X)) > geom.Eps || math.Min(math.Abs(q.Y-p.lo.Y), math.Abs(q.Y-p.hi.Y)) > geom.Eps {
			return false
		}
	}
	return true
}

// thread adds lines and cores. A line has mesh points at the pitch, at its
// corners, and wherever another line, a core or an end of the run touches it.
func (n *net) thread(s *Space, pitch float64, ends []geom.Point3) {
	type seg struct {
		a, b geom.Point3
		face int32
		cuts []float64
		core bool
	}
	var segs []seg
	for _, l := range s.Lines {
		f := int32(len(n.faces))
		n.faces = append(n.faces, face{name: l.Name, kind: l.Kind, rate: l.Rate, mask: n.kindBit(l.Kind)})
		for i := 1; i < len(l.Points); i++ {
			g := seg{a: l.Points[i-1], b: l.Points[i], face: f}
			for d := pitch; d < g.a.Dist(g.b)-pitch/2; d += pitch {
				g.cuts = append(g.cuts, d)
			}
			segs = append(segs, g)
		}
	}
	for _, c := range s.Cores {
		f := int32(len(n.faces))
		n.faces = append(n.faces, face{name: c.Name, kind: c.Kind, fixed: c.Cost, rate: c.Rate, mask: n.kindBit(c.Kind)})
		segs = append(segs, seg{a: c.From, b: c.To, face: f, core: true})
	}
	touch := func(g *seg, q geom.Point3) {
		d := g.b.Sub(g.a)
		t := q.Sub(g.a).Dot(d.Unit())
		if t > joined && t < d.Norm()-joined && g.a.Add(d.Unit().Scale(t)).Dist(q) < joined {
			g.cuts = append(g.cuts, t)
		}
	}
	for i := range segs {
		g := &segs[i]
		if g.core {
			continue
		}
		for _, q := range ends {
			touch(g, q)
		}
		for _, p := range n.planes {
			if p.on(g.a) && p.on(g.b) {
				for _, q := range crossings(p, g.a, g.b) {
					touch(g, q)
				}
			}
		}
		for j := range segs {
			if i == j {
				continue
			}
			touch(g, segs[j].a)
			touch(g, segs[j].b)
			if q, ok := meet(g.a, g.b, segs[j].a, segs[j].b); ok && !segs[j].core {
				touch(g, q)
			}
		}
	}
	for i := range segs {
		g := &segs[i]
		l := g.a.Dist(g.b)
		stable.Sort(g.cuts, func(a, b float64) int { return cmp.Compare(a, b) })
		at := n.node(g.a)
		was := 0.0
		for _, t := range append(g.cuts, l) {
			if t-was < joined && t < l {
				continue
			}
			q := n.node(g.a.Add(g.b.Sub(g.a).Scale(t / l)))
			blocked := false
			for o := range s.Obstacles {
				blocked = blocked || s.Obstacles[o].enters(n.at[at], n.at[q], geom.Point3{})
			}
			if !blocked {
				n.join(at, q, g.face)
			}
			at, was = q, t
		}
	}
}

// meet returns where two segments in space cross.
func meet(a, b, c, d geom.Point3) (geom.Point3, bool) {
	u, v, w := b.Sub(a), d.Sub(c), a.Sub(c)
	uu, uv, vv := u.Dot(u), u.Dot(v), v.Dot(v)
	den := uu*vv - uv*uv
	if den < 1e-12*uu*vv {
		return geom.Point3{}, false
	}
	s := (uv*v.Dot(w) - vv*u.Dot(w)) / den
	t := (uu*v.Dot(w) - uv*u.Dot(w)) / den
	p, q := a.Add(u.Scale(s)), c.Add(v.Scale(t))
	return p, s > 0 && s < 1 && t > -1e-9 && t < 1+1e-9 && p.Dist(q) < joined
}
