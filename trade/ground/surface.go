package ground

import (
	"context"
	"fmt"
	"math"
	"slices"
)

// Box is a rectangle of the surface, in m.
type Box struct{ X0, Y0, X1, Y1 float64 }

// Grid is the potential of the surface at the points of a grid, in volts for
// each volt of the energized electrode.
type Grid struct {
	X0, Y0, Step float64 // m
	NX, NY       int     // points
	V            []float64
}

// At returns the potential at point (i, j).
func (g *Grid) At(i, j int) float64 { return g.V[j*g.NX+i] }

// Place returns where point (i, j) is.
func (g *Grid) Place(i, j int) [2]float64 {
	return [2]float64{g.X0 + float64(i)*g.Step, g.Y0 + float64(j)*g.Step}
}

// MaxGrid is the most points of a grid.
const MaxGrid = 400000

// above evaluates the surface potential with one ladder for each depth.
type above struct {
	s       *Solution
	c       []float64
	ladders []*ladder
}

// surface returns the ladders from every depth of the mesh to the surface, made
// once.
func (f *filler) surface() []*ladder {
	f.once.Do(func() {
		f.top = make([]*ladder, f.n)
		for d, k := range f.classes {
			if k < f.n {
				f.top[k] = newLadder(d.z, 0, f.k.images(0, d.layer), nearest, 24)
			}
		}
	})
	return f.top
}

// pointApart is the distance, in lengths of an element, beyond which its
// potential at a point is taken from two terms, true to 1e-5.
const pointApart = 8.0

func (s *Solution) above(energised int) (*above, error) {
	if energised < 0 || energised >= len(s.given) {
		return nil, whole(BadOption, fmt.Sprintf("there is no electrode %d", energised+1), "count from 0, in the order given")
	}
	a := &above{s: s, c: s.floating(energised), ladders: s.fill.surface()}
	for i := range a.c { // per volt, not per ampere
		a.c[i] /= s.transfer[energised][energised]
	}
	return a, nil
}

// at returns the potential of the surface at a place.
func (a *above) at(x, y float64) float64 {
	p := element{mid: vec{x, y, 0}}
	var v float64
	for i := range a.s.elements {
		v += a.c[i] * a.s.over(a.ladders, &a.s.elements[i], &p)
	}
	return v
}

// over returns the potential at a place of the surface for one ampere from an
// element.
func (s *Solution) over(ladders []*ladder, e, p *element) float64 {
	if e.class >= 0 {
		dx, dy := p.mid[0]-e.mid[0], p.mid[1]-e.mid[1]
		if far := pointApart * e.l; dx*dx+dy*dy > far*far {
			if u, ok := ladders[e.class].mean(e, p); ok {
				return u
			}
		}
	}
	return s.from(e, p.mid, 0)
}

// grid returns the steps of a box.
func (b Box) grid(step float64) (nx, ny int, err error) {
	for _, v := range [4]float64{b.X0, b.Y0, b.X1, b.Y1} {
		if !(math.Abs(v) <= maxCoordinate) {
			return 0, 0, whole(BadPlace, fmt.Sprintf("the area (%g, %g) to (%g, %g) is not a place", b.X0, b.Y0, b.X1, b.Y1), "give finite coordinates in m")
		}
	}
	if b.X1 < b.X0 || b.Y1 < b.Y0 || !(step > 0) {
		return 0, 0, whole(BadOption, fmt.Sprintf("an area of %g by %g m in steps of %g m is not usable", b.X1-b.X0, b.Y1-b.Y0, step), "give the lower corner first and a step above zero")
	}
	fx, fy := math.Floor((b.X1-b.X0)/step+1e-9)+1, math.Floor((b.Y1-b.Y0)/step+1e-9)+1
	if !(fx*fy <= MaxGrid) {
		return 0, 0, whole(BadOption, fmt.Sprintf("%.0f points are too many", fx*fy), fmt.Sprintf("take a larger step, for at most %d", MaxGrid))
	}
	return int(fx), int(fy), nil
}

// SurfaceGrid returns the potential of the surface over an area while one
// electrode is energized and the others float.
func (s *Solution) SurfaceGrid(ctx context.Context, energised int, box Box, step float64) (*Grid, error) {
	nx, ny, err := box.grid(step)
	if err != nil {
		return nil, err
	}
	a, err := s.above(energised)
	if err != nil {
		return nil, err
	}
	g := &Grid{X0: box.X0, Y0: box.Y0, Step: step, NX: nx, NY: ny, V: make([]float64, nx*ny)}
	err = inParallel(ctx, ny, 1, func(j int) {
		for i := range nx {
			p := g.Place(i, j)
			g.V[j*nx+i] = a.at(p[0], p[1])
		}
	})
	return g, err
}

// Contour is the places of one potential.
type Contour struct {
	Level float64 // volts for each volt of the energized electrode
	Lines [][][2]float64
}

// Contours returns the lines of equal potential by marching squares, straight
// between the edges of the grid's squares; a saddle is parted by the mean of
// its corners. A closed line ends where it begins.
func (g *Grid) Contours(levels ...float64) []Contour {
	var out []Contour
	for _, l := range levels {
		out = append(out, Contour{l, g.lines(l)})
	}
	return out
}

// edge is one edge of the grid: from point (i, j) to the right, or up.
type edge struct {
	i, j int
	up   bool
}

func (g *Grid) lines(level float64) [][][2]float64 {
	over := func(i, j int) bool { return g.At(i, j) >= level }
	cross := func(e edge) [2]float64 {
		i, j := e.i+1, e.j
		if e.up {
			i, j = e.i, e.j+1
		}
		a, b := g.At(e.i, e.j), g.At(i, j)
		p, q := g.Place(e.i, e.j), g.Place(i, j)
		t := (level - a) / (b - a)
		return [2]float64{p[0] + t*(q[0]-p[0]), p[1] + t*(q[1]-p[1])}
	}
	next := map[edge][]edge{} // at most two for each edge
	var order []edge
	join := func(a, b edge) {
		for _, e := range [2]edge{a, b} {
			if next[e] == nil {
				order = append(order, e)
			}
		}
		next[a], next[b] = append(next[a], b), append(next[b], a)
	}
	for j := range g.NY - 1 {
		for i := range g.NX - 1 {
			south, west, north, east := edge{i, j, false}, edge{i, j, true}, edge{i, j + 1, false}, edge{i + 1, j, true}
			var cut []edge
			sw, se, nw, ne := over(i, j), over(i+1, j), over(i, j+1), over(i+1, j+1)
			if sw != se {
				cut = append(cut, south)
			}
			if se != ne {
				cut = append(cut, east)
			}
			if nw != ne {
				cut = append(cut, north)
			}
			if sw != nw {
				cut = append(cut, west)
			}
			switch len(cut) {
			case 2:
				join(cut[0], cut[1])
			case 4:
				mid := (g.At(i, j)+g.At(i+1, j)+g.At(i, j+1)+g.At(i+1, j+1))/4 >= level
				if mid == sw { // the corners on the mean's side are joined
					join(south, east)
					join(north, west)
				} else {
					join(south, west)
					join(north, east)
				}
			}
		}
	}
	var out [][][2]float64
	seen := map[edge]bool{}
	follow := func(e edge) [][2]float64 {
		var line [][2]float64
		for first, last := e, e; ; {
			seen[e] = true
			line = append(line, cross(e))
			k := slices.IndexFunc(next[e], func(n edge) bool { return !seen[n] })
			if k < 0 {
				if len(next[e]) == 2 && len(line) > 2 && slices.Contains(next[e], first) && last != first {
					line = append(line, line[0])
				}
				return line
			}
			last, e = e, next[e][k]
		}
	}
	for pass := range 2 { // open lines from their ends first, then closed ones
		for _, e := range order {
			if !seen[e] && (pass == 1 || len(next[e]) == 1) {
				out = append(out, follow(e))
			}
		}
	}
	return out
}

// Worst is the largest difference of potential that was found.
type Worst struct {
	Volts float64 // for each volt of the energized electrode
	At    [2]float64
	To    [2]float64 // the other foot, or the metal that is touched
}

// CautionTouch stands beside every touch or step value.
const CautionTouch = "An estimate from a layered model of the soil. Step and touch voltage at a high-voltage site need an engineer; local code and the authority having jurisdiction decide."

// around is how many directions are tried about a point.
const around = 24

// Touch returns the largest voltage between metal of an electrode and the
// surface a reach away, over the places where it can be touched, while one
// electrode is energized. The electrode touched may float: a fence that is not
// bonded. A reach of 0 is 1 m.
func (s *Solution) Touch(energised, touched int, places [][2]float64, reach float64) (Worst, error) {
	if reach == 0 {
		reach = 1
	}
	if touched < 0 || touched >= len(s.given) || !(reach > 0 && reach <= 10) || len(places) == 0 {
		return Worst{}, whole(BadOption, fmt.Sprintf("electrode %d touched at %d places from %g m is not usable", touched+1, len(places), reach), "name an electrode, at least one place, and a reach of up to 10 m")
	}
	a, err := s.above(energised)
	if err != nil {
		return Worst{}, err
	}
	metal := s.transfer[touched][energised] / s.transfer[energised][energised]
	out := Worst{Volts: -1}
	for _, p := range places {
		if err := place("place", [3]float64{p[0], p[1], 0}); err != nil {
			return Worst{}, err
		}
		for k := range around {
			q := spread(p, reach, k)
			if v := math.Abs(metal - a.at(q[0], q[1])); v > out.Volts {
				out = Worst{v, q, p}
			}
		}
	}
	return out, nil
}

// Walk returns the largest touch and step voltage over an area, at the points
// of a grid: touch is that between the energized electrode and the surface, as
// if its metal could be touched from everywhere in the area; step that between
// two feet a pace apart, the first in the area, in any direction. A pace of 0
// is 1 m.
func (s *Solution) Walk(ctx context.Context, energised int, box Box, step, pace float64) (touch, stride Worst, err error) {
	if pace == 0 {
		pace = 1
	}
	if !(pace > 0 && pace <= 10) {
		return touch, stride, whole(BadOption, fmt.Sprintf("a pace of %g m is not usable", pace), "give up to 10 m, or 0 for 1 m")
	}
	g, err := s.SurfaceGrid(ctx, energised, box, step)
	if err != nil {
		return touch, stride, err
	}
	a, err := s.above(energised)
	if err != nil {
		return touch, stride, err
	}
	touches, strides := make([]Worst, g.NY), make([]Worst, g.NY)
	err = inParallel(ctx, g.NY, 1, func(j int) {
		t, st := Worst{Volts: -1}, Worst{Volts: -1}
		for i := range g.NX {
			p, v := g.Place(i, j), g.At(i, j)
			if 1-v > t.Volts {
				t = Worst{1 - v, p, p}
			}
			for k := range around {
				q := spread(p, pace, k)
				if d := math.Abs(v - a.at(q[0], q[1])); d > st.Volts {
					st = Worst{d, p, q}
				}
			}
		}
		touches[j], strides[j] = t, st
	})
	touch, stride = Worst{Volts: -1}, Worst{Volts: -1}
	for j := range g.NY {
		if touches[j].Volts > touch.Volts {
			touch = touches[j]
		}
		if strides[j].Volts > stride.Volts {
			stride = strides[j]
		}
	}
	return touch, stride, err
}

func spread(p [2]float64, d float64, k int) [2]float64 {
	sin, cos := math.Sincos(2 * math.Pi * float64(k) / around)
	return [2]float64{p[0] + d*cos, p[1] + d*sin}
}
