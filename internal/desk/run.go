package desk

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"stubup"
	"stubup/answer"
	"stubup/base/diag"
	"stubup/base/geom"
	"stubup/base/stable"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
	"stubup/stage/order"
	"stubup/trade/pull"
	"stubup/trade/raceway"
	"stubup/trade/route"
)

// Node is a place where the straights of a run meet, drawn on to their common
// corner: its start, a bend, a turn in a pull point, its end.
type Node struct {
	_ [0]func() // never compared: no equality is compiled for it

	At    [3]float64 `json:"at"`
	Side  [2]float64 `json:"side"`  // along and up, m
	Space [2]float64 `json:"space"` // right and up in the isometric, m
	Step  int        `json:"step"`  // of the path; -1 for an end
	Path  string     `json:"path"`  // runs.fiber 1.corner[2], as a gesture names it
	Said  string     `json:"said"`
	Bend  string     `json:"bend,omitempty"` // "90 up" of the bend that is set in it
	Moves bool       `json:"moves"`
}

// RunSection is what lies between two pull points, against what limits it.
type RunSection struct {
	_ [0]func() // never compared: no equality is compiled for it

	Name    string     `json:"name"`
	Degrees float64    `json:"degrees"`
	Sum     string     `json:"sum"` // "135 of 180 | 360"
	Outcome string     `json:"outcome"`
	Over    string     `json:"over,omitempty"` // which bend costs what
	Length  string     `json:"length"`
	Tension string     `json:"tension,omitempty"`
	Span    [2]float64 `json:"span"` // stations, m
}

// RunStep is one step of a path in words, with what it can be swapped for.
type RunStep struct {
	_ [0]func() // never compared: no equality is compiled for it

	Path  string `json:"path"`
	Kind  string `json:"kind"`
	Said  string `json:"said"`
	Laid  bool   `json:"laid"`
	Swaps bool   `json:"swaps"`
	Size  string `json:"size,omitempty"`  // the inside of a pull point, as it may be typed
	Inner string `json:"inner,omitempty"` // where the document has that
}

// RunView is one run as it is edited.
type RunView struct {
	ID       string       `json:"id"`
	Said     string       `json:"said"`
	OK       bool         `json:"ok"`
	Length   string       `json:"length"`
	Degrees  float64      `json:"degrees"`
	Steps    []RunStep    `json:"steps"`
	Nodes    []Node       `json:"nodes"`
	Sections []RunSection `json:"sections"`
	Plan     [][2]float64 `json:"plan"`            // the centerline with its true arcs, m
	Side     [][2]float64 `json:"side"`            // along and up, m
	Space    [][2]float64 `json:"space"`           // right and up in the isometric, m
	Laid     float64      `json:"laid"`            // station to which it is laid, m
	Money    string       `json:"money,omitempty"` // what the site's bill comes to
	Limits   string       `json:"limits"`          // whose figures the sums stand against
	Hints    []string     `json:"hints"`
}

// runOf returns a run of the plan.
func runOf(p *plan.Plan, id string) (*plan.Run, error) {
	for i := range p.Runs {
		if p.Runs[i].ID == id {
			return &p.Runs[i], nil
		}
	}
	return nil, problem("pick it in the list", "there is no run %q", id)
}

// Run returns one run as it is edited.
func (d *Desk) Run(id string) (RunView, error) {
	r, err := runOf(d.res.Plan, id)
	if err != nil {
		return RunView{}, err
	}
	v := viewOf(d.res, r, true)
	v.Money = spentOn(d.res).words()
	return v, nil
}

// isometric lays a place out as the isometric sketch does: the same length
// along north, east and up.
func isometric(p geom.Point3) [2]float64 {
	const c, n = 0.8660254037844386, 0.5 // cos 30, sin 30
	return [2]float64{round((p.X + p.Y) * c), round(p.Z - (p.X-p.Y)*n)}
}

// spent is what a site comes to: its bill, and the trench that is still to be
// dug where that has a price.
type spent struct {
	total  order.Total
	lines  []order.Line
	trench float64
	dig    bool // the trench has a price
}

func spentOn(res *stubup.Result) spent {
	s := spent{total: res.Order().Total, lines: res.Order().Lines}
	for _, p := range res.Document.Site.Prices {
		per := map[string]unit.Metre{"ft": unit.Foot, "m": 1}[p.Per]
		if !strings.EqualFold(p.Item, "trench") || per == 0 {
			continue
		}
		s.dig = true
		for i := range res.Plan.Runs {
			r := &res.Plan.Runs[i]
			for _, q := range r.Pieces {
				if done := max(r.Laid, r.Open); plan.InTrench(q) && q.Station+q.Length > done {
					s.trench += float64(q.Station+q.Length-max(q.Station, done)) / float64(per) * p.Amount
				}
			}
		}
		break
	}
	return s
}

func (s spent) sum() float64 { return s.total.Amount + s.trench }
func (s spent) priced() bool { return s.dig || s.total.Priced > 0 }

// since says what it comes to more than before, and how many of the rows that
// change have no price; rows that stay have no say in it.
func (s spent) since(was spent) string {
	key := func(l order.Line) string { return l.Key }
	rows := map[string][2]order.Line{}
	for _, l := range was.lines {
		rows[key(l)] = [2]order.Line{l, {}}
	}
	for _, l := range s.lines {
		rows[key(l)] = [2]order.Line{rows[key(l)][0], l}
	}
	priced, bare := 0, 0
	for _, x := range rows {
		a, b := x[0], x[1]
		if a.Missing == b.Missing && math.Abs(a.Quantity-b.Quantity) < 1e-6 {
			continue
		}
		if (a.Price != nil || a.Key == "") && (b.Price != nil || b.Key == "") {
			priced++
		} else {
			bare++
		}
	}
	by := s.sum() - was.sum()
	if priced == 0 && (!s.dig || math.Abs(s.trench-was.trench) < 0.005) {
		if bare == 0 {
			return "nothing more"
		}
		return "no price for what it takes"
	}
	w := unit.Fixed(by, 2)
	if by >= 0 {
		w = "+" + w
	}
	if bare > 0 {
		w += fmt.Sprintf(", %d rows that change have no price", bare)
	}
	return w
}

func (s spent) words() string {
	if !s.priced() {
		return "no sum: nothing has a price"
	}
	w := unit.Fixed(s.sum(), 2)
	if s.dig {
		w += ", trench in it"
	}
	if s.total.NoPrice > 0 {
		w += fmt.Sprintf(", %d rows without a price", s.total.NoPrice)
	}
	if s.total.CannotTell > 0 {
		w += fmt.Sprintf(", %d cannot be told", s.total.CannotTell)
	}
	return w
}

func viewOf(res *stubup.Result, r *plan.Run, pulls bool) RunView {
	u := res.Document.Site.Units
	v := RunView{
		ID: r.ID, OK: r.OK, Length: u.Run(r.Length), Degrees: round(float64(r.Degrees())), Laid: round(float64(r.Laid)),
		Said:  strings.Join(nonEmpty(r.Service, r.RacewayText, ends(r), u.Run(r.Length)), ", "),
		Steps: []RunStep{}, Nodes: []Node{}, Sections: []RunSection{}, Space: [][2]float64{},
		Limits: limitWords(answer.EveryBendLimit(res.Document.Site, r)), Hints: hints(res.Document.Site, r),
	}
	for i := range r.Steps {
		s := &r.Steps[i]
		st := RunStep{Path: fmt.Sprintf("runs.%s.path[%d]", step(r.ID), i), Kind: string(s.Kind), Said: stepWords(s, u), Swaps: s.Kind == site.Bend}
		if s.Kind == site.HandholeS || s.Kind == site.BoxS {
			st.Size, st.Inner = sizeWords(s.Size), st.Path+"."+st.Kind+".size"
			for j := range res.Document.Site.Objects {
				if o := &res.Document.Site.Objects[j]; o.ID == s.Object {
					st.Size, st.Inner = sizeWords(o.Size), "objects."+step(o.ID)+".size"
				}
			}
		}
		for _, q := range r.Pieces {
			st.Laid = st.Laid || q.Span == s.Span && q.Station+q.Length <= r.Laid+1e-6
		}
		v.Steps = append(v.Steps, st)
	}
	ns, _ := nodesOf(r) // none where a bend turns back
	for k, n := range ns {
		said := "corner " + strconv.Itoa(k)
		switch {
		case k == 0:
			said = "start"
		case k == len(ns)-1:
			said = "end"
		}
		bend := ""
		if n.bend && n.step >= 0 {
			bend = degreeText(float64(r.Steps[n.step].Angle.SI)) + " " + r.Steps[n.step].Toward
		}
		v.Nodes = append(v.Nodes, Node{
			Space: isometric(n.at), Bend: bend, At: [3]float64{round(n.at.X), round(n.at.Y), round(n.at.Z)}, Step: n.step, Path: fmt.Sprintf("runs.%s.corner[%d]", step(r.ID), k), Moves: true,
			Said: fmt.Sprintf("%s, %s east, %s north, %s", said, u.Length(unit.Metre(n.at.X)), u.Length(unit.Metre(n.at.Y)), upOrDown(u, n.at.Z)),
		})
	}
	for k := range r.Sections {
		v.Sections = append(v.Sections, sectionOf(res, r, k, pulls))
	}
	along := 0.0
	stand := make([][2]float64, len(r.Pieces)+1) // how far along a piece begins, and its middle
	for i, q := range r.Pieces {
		stand[i][0] = along
		n := 1
		if q.Arc {
			n = 2 * max(1, int(math.Ceil(float64(q.Angle)/12))) // even: the middle is one of them
		}
		for k := range n + 1 {
			if k == 0 && i > 0 {
				continue
			}
			p := q.At(float64(q.Length) * float64(k) / float64(n))
			if len(v.Plan) > 0 {
				last := v.Plan[len(v.Plan)-1]
				along += math.Hypot(p.X-last[0], p.Y-last[1])
			}
			if k == n/2 {
				stand[i][1] = along
			}
			v.Plan = append(v.Plan, xy(p.Plan()))
			v.Side = append(v.Side, [2]float64{round(along), round(p.Z)})
			v.Space = append(v.Space, isometric(p))
		}
	}
	for k, n := range ns {
		x := stand[n.piece][0]
		switch {
		case n.bend:
			x = stand[n.piece][1]
		case k == len(ns)-1:
			x = along
		}
		v.Nodes[k].Side = [2]float64{round(x), v.Nodes[k].At[2]}
	}
	return v
}

// andThen stands between what is said of one section and of the next.
const andThen = "; then "

// limitWords says whose the limits of a tally are: "180 is the owner's limit,
// 360 the code's".
func limitWords(limits []answer.BendLimit) string {
	var out []string
	for i, l := range limits {
		is, limit := " ", ""
		if i == 0 {
			is, limit = " is ", " limit"
		}
		out = append(out, unit.Trim(float64(l.Limit), 1)+is+"the "+l.Who+limit)
	}
	return strings.Join(out, ", ")
}

// sizeWords says a size as it may be typed: "24 x 36 x 24 in", "" where a part
// of it is not said.
func sizeWords(q [3]unit.Q[unit.Metre]) string {
	var out [3]string
	one := true
	for i := range q {
		if !q[i].Set {
			return ""
		}
		out[i] = q[i].Text
		one = one && lengthUnit(out[i]) == lengthUnit(q[2].Text)
	}
	if u := lengthUnit(q[2].Text); one && !strings.ContainsAny(u, "'\"") {
		for i := range 2 {
			out[i] = strings.TrimSpace(strings.TrimSuffix(out[i], u))
		}
	}
	return strings.Join(out[:], " x ")
}

// lengthUnit is what stands behind the first figures of a length.
func lengthUnit(s string) string { return strings.TrimLeft(s, "0123456789./- ") }

// sizeText reads a size as it is typed, "24 x 36 x 24 in", into the document's
// list. The unit of the last length is that of those without one.
func sizeText(typed string) (string, error) {
	parts := strings.Split(strings.NewReplacer("[", "", "]", "", "by", ",", "x", ",", "X", ",").Replace(typed), ",")
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
		if lengthUnit(parts[i]) == "" {
			parts[i] += " " + lengthUnit(parts[len(parts)-1])
		}
		if m, err := unit.Parse(parts[i], unit.Length); err != nil || m <= 0 || len(parts) != 3 {
			return "", problem("write length, width and depth, for instance 24 x 36 x 24 in", "%q is no inside size", typed)
		}
		parts[i] = written(parts[i])
	}
	return "[" + strings.Join(parts, ", ") + "]", nil
}

// pointSized gives a pull point another inside, where the document has it.
func (d *Desk) pointSized(g Gesture) ([]site.Edit, string, error) {
	text, err := sizeText(g.Text)
	old := d.Get(g.Path)
	if err == nil && old == "" {
		err = problem("pick a pull point", "it has no inside")
	}
	return []site.Edit{{Path: g.Path, Old: old, New: text}}, "inside of the pull point: " + g.Text, err
}

// hints are what is odd of a run without being against a rule: an end that
// stays in the ground at a thing that stands on it.
func hints(s *site.Site, r *plan.Run) []string {
	out := []string{}
	n := len(r.Pieces)
	if !r.OK || n == 0 || len(r.Sections) == 0 {
		return out
	}
	limits := answer.EveryBendLimit(s, r)
	hint := func(at, dir geom.Point3, thing string, sum unit.Degree, does, end string) {
		if at.Z > -0.05 || math.Abs(dir.Z) > 0.5 || !aboveGround(s, thing, at.Plan()) {
			return
		}
		tally, _ := answer.BendTally(sum+90, limits)
		out = append(out, does+s.Units.Short(unit.Metre(-at.Z))+" deep: no rise at its "+end+" is drawn; a 90 up would make "+tally)
	}
	hint(r.Pieces[0].A, r.Pieces[0].Dir, r.From, r.Sections[0].Degrees, "begins ", "start")
	hint(r.Pieces[n-1].B, r.Pieces[n-1].Out, r.To, r.Sections[len(r.Sections)-1].Degrees, "ends ", "end")
	return out
}

// aboveGround reports whether an end is at a thing that stands on the ground
// or above it, by the words for it or by where it ends.
func aboveGround(s *site.Site, thing string, at geom.Point) bool {
	thing = strings.ToLower(thing)
	for _, w := range []string{"handhole", "vault"} {
		if strings.Contains(thing, w) {
			return false
		}
	}
	kinds := []site.Kind{site.Platform, site.Equipment, site.Shelter}
	for _, w := range append(kinds, "cabinet") {
		if strings.Contains(thing, string(w)) {
			return true
		}
	}
	for i := range s.Objects {
		o := &s.Objects[i]
		if slices.Contains(kinds, o.Kind) && (len(o.Outline) > 2 && o.Outline.Contains(at) || thing != "" && (thing == o.ID || thing == strings.ToLower(rule.Words(o)))) {
			return true
		}
	}
	return false
}

func nonEmpty(ss ...string) []string {
	var out []string
	for _, s := range ss {
		if s != "" {
			out = append(out, s)
		}
	}
	return out
}

func ends(r *plan.Run) string {
	switch {
	case r.From != "" && r.To != "":
		return r.From + " to " + r.To
	case r.To != "":
		return "to " + r.To
	case r.From != "":
		return "from " + r.From
	}
	return ""
}

func upOrDown(u unit.System, z float64) string {
	if z < 0 {
		return u.Length(unit.Metre(-z)) + " deep"
	}
	return u.Length(unit.Metre(z)) + " up"
}

func stepWords(s *site.Step, u unit.System) string {
	var w []string
	switch s.Kind {
	case site.Straight:
		w = append(w, u.Length(s.Length.SI)+" straight")
		if s.Where != "" {
			w = append(w, "in "+s.Where)
		}
	case site.Bend:
		w = append(w, "bend "+unit.Trim(float64(s.Angle.SI), 2)+" "+s.Toward)
		if s.Radius.Set {
			w = append(w, "radius "+s.Radius.Text)
		}
		if s.Made != "" {
			w = append(w, s.Made)
		}
	case site.Body:
		w = append(w, "conduit body "+s.Letter)
	case site.HandholeS:
		w = append(w, strings.Join(nonEmpty("handhole", s.Object, sizeWords(s.Size)), " "))
	case site.BoxS:
		w = append(w, strings.Join(nonEmpty("pull box", s.Object, sizeWords(s.Size)), " "))
	case site.Entry:
		w = append(w, "through "+s.Object)
	case site.Expansion:
		w = append(w, "expansion fitting")
	case site.Offset, site.Saddle:
		w = append(w, string(s.Kind)+" "+u.Length(s.Length.SI)+" "+s.Toward)
	}
	if s.Turns {
		w = append(w, "turns "+s.Toward)
	}
	return strings.TrimSpace(strings.Join(w, ", "))
}

// sectionOf sets a section's bends against every limit, and says of one that
// passes a limit what each of its bends costs.
func sectionOf(res *stubup.Result, r *plan.Run, k int, pulls bool) RunSection {
	s := r.Sections[k]
	u := res.Document.Site.Units
	limits := answer.EveryBendLimit(res.Document.Site, r)
	out := RunSection{Name: s.Name(), Degrees: round(float64(s.Degrees)), Length: u.Run(s.Length), Outcome: "holds"}
	if n := len(s.Pieces); n > 0 {
		out.Span = [2]float64{round(float64(s.Pieces[0].Station)), round(float64(s.Pieces[n-1].Station + s.Pieces[n-1].Length))}
	}
	out.Sum, _ = answer.BendTally(s.Degrees, limits)
	var passed []string
	over := func(who string, limit unit.Degree) {
		if s.Degrees > limit+1e-9 {
			out.Outcome = "broken"
			passed = append(passed, fmt.Sprintf("%s deg over the %s %s", unit.Trim(float64(s.Degrees-limit), 1), who, unit.Trim(float64(limit), 1)))
		}
	}
	for _, l := range limits {
		over(l.Who, l.Limit)
	}
	if len(passed) > 0 {
		var costs []string
		var sum unit.Degree
		for _, q := range s.Pieces {
			if !q.Arc {
				continue
			}
			was := sum
			sum += q.Angle
			said := fmt.Sprintf("%s costs %s", q.What, unit.Trim(float64(q.Angle), 1))
			for _, l := range limits {
				if was <= l.Limit+1e-9 && sum > l.Limit+1e-9 {
					said += fmt.Sprintf(" and passes the %s %s at %s", l.Who, unit.Trim(float64(l.Limit), 1), unit.Trim(float64(sum), 1))
				}
			}
			costs = append(costs, said)
		}
		out.Over = strings.Join(passed, ", ") + ": " + strings.Join(costs, ", ")
	}
	if !pulls {
		return out
	}
	if c := res.Answers.PullCard(r, k); c.Card != nil && c.Card.Best >= 0 {
		best := c.Card.Directions[c.Card.Best]
		out.Tension = u.Force(best.Greatest.High)
		if c.Limit != nil {
			out.Tension += " of " + c.Limit.Text
		}
		if c.Card.Outcome == pull.Over {
			out.Outcome = "broken"
		}
	}
	return out
}

// node is a corner of a run and the bend that is set in it.
type node struct {
	at     geom.Point3
	step   int // of the path, -1 for an end
	tan    float64
	radius float64
	piece  int  // the arc, or what comes after the turn
	bend   bool // a bend; else a turn in a pull point, or an end
}

// nodesOf returns the corners of a run in order, with its two ends. It fails
// where a bend turns back on itself, so that its straights meet nowhere.
func nodesOf(r *plan.Run) ([]node, error) {
	if !r.OK || len(r.Pieces) == 0 {
		return nil, problem("mend what the document says of it first", "run %s does not come to its end", r.ID)
	}
	out := []node{{at: r.Start, step: -1}}
	stepAt := func(at diag.Span) int {
		for i := range r.Steps {
			if r.Steps[i].Span == at {
				return i
			}
		}
		return -1
	}
	for i, q := range r.Pieces {
		if i > 0 && r.Pieces[i-1].Out.Dot(q.Dir) < 1-1e-9 { // it turned in a pull point
			for _, p := range r.Pulls {
				if math.Abs(float64(p.Station-q.Station)) < 1e-6 && p.Kind != plan.PullStart {
					out = append(out, node{at: q.A, step: stepAt(p.Span), piece: i})
				}
			}
		}
		if !q.Arc {
			continue
		}
		if q.Angle > 150 {
			return nil, problem("change it by its figures", "the bend of %s degrees turns back", unit.Trim(float64(q.Angle), 1))
		}
		t := float64(q.Radius) * math.Tan(float64(q.Angle)*math.Pi/360)
		n := node{at: q.A.Add(q.Dir.Scale(t)), step: stepAt(q.Span), tan: t, radius: float64(q.Radius), piece: i, bend: true}
		if q.Part != "" {
			n.step = -2 // half of an offset or a saddle
		}
		out = append(out, n)
	}
	last := r.Pieces[len(r.Pieces)-1]
	return append(out, node{at: last.B, step: -1}), nil
}

// aside is how far the end of a leg may lie beside where the word of its turn
// has it, m: no more than what an angle written to a hundredth of a degree costs.
const aside = 0.002

// sideOf names the turn from one direction to another as the document does,
// and its angle, degrees, for a leg of so many metres after it.
func sideOf(in, out geom.Point3, leg float64) (word string, deg float64, err error) {
	deg = math.Acos(max(-1, min(1, in.Dot(out)))) * 180 / math.Pi
	if deg < 0.05 {
		return "", 0, nil
	}
	t := out.Sub(in.Scale(out.Dot(in))).Unit()
	left := geom.Point3{X: -in.Y, Y: in.X}.Unit()
	up := in.Cross(left)
	words := map[string]geom.Point3{"left": left, "right": left.Scale(-1), "up": up, "down": up.Scale(-1)}
	if math.Abs(in.Z) > 0.999 {
		words = map[string]geom.Point3{"north": {Y: 1}, "south": {Y: -1}, "east": {X: 1}, "west": {X: -1}}
	}
	for w, v := range words {
		off := t.Sub(v.Scale(t.Dot(v))).Norm() * math.Sin(deg*math.Pi/180) * leg
		if t.Dot(v) > 1-1e-6 && off < aside {
			return w, deg, nil
		}
	}
	if math.Abs(in.Z) > 0.999 {
		return "", deg, problem("draw it from its other end, or have it leave square to the compass", "a riser's foot would turn neither north, east, south nor west")
	}
	return "", deg, problem("turn level first and plumb after it", "a bend would turn sideways and up at once")
}

// lengthText writes a length as the document's grid has it, to a tenth of a
// millimetre.
func (d *Desk) lengthText(m float64) string {
	if d.grid() == float64(unit.Foot) || d.res.Document.Site.Units == unit.US {
		return unit.Trim(unit.Metre(m).Ft(), 4) + " ft"
	}
	return unit.Trim(m, 4) + " m"
}

func degreeText(deg float64) string { return unit.Trim(math.Round(deg*100)/100, 2) }

// runCorner splits runs.fiber 1.corner[2].
func runCorner(path string) (id string, k int, ok bool) {
	at := strings.LastIndex(path, ".corner[")
	if at < 0 || !strings.HasPrefix(path, "runs.") || !strings.HasSuffix(path, "]") {
		return "", 0, false
	}
	k, err := strconv.Atoi(path[at+len(".corner[") : len(path)-1])
	id = path[len("runs."):at]
	if q, qerr := strconv.Unquote(id); qerr == nil {
		id = q
	}
	return id, k, err == nil
}

// corner moves one corner of a run: its straights and the bends at both their
// ends follow, and everything else of the run stays as it is written.
func (d *Desk) corner(g Gesture) ([]site.Edit, string, error) {
	id, k, ok := runCorner(g.Path)
	if !ok {
		return nil, "", problem("pick it in the list", "nothing stands at %s", g.Path)
	}
	r, err := runOf(d.res.Plan, id)
	if err != nil {
		return nil, "", err
	}
	ns, err := nodesOf(r)
	if err != nil {
		return nil, "", err
	}
	if k < 0 || k >= len(ns) {
		return nil, "", problem("pick it in the list", "run %s has no corner %d", id, k)
	}
	to := geom.Point3{X: g.At[0], Y: g.At[1], Z: ns[k].at.Z}
	if z := g.field("z"); z != "" {
		m, err := unit.Parse(z, unit.Length)
		if err != nil {
			return nil, "", problem(`write it like 30 in, or -2 ft for below the ground`, "%q is no height", z)
		}
		to.Z = m
	}
	if !to.Plan().Finite() || to.Sub(ns[k].at).Norm() < 5e-4 {
		return nil, "", problem("type how far, for instance 2'-0\"", "the corner would not move")
	}
	for i := max(0, k-2); i <= min(len(ns)-1, k+2); i++ {
		if ns[i].step == -2 {
			return nil, "", problem("change it by its figures", "an offset or a saddle hangs on this corner")
		}
	}
	base := "runs." + step(id)
	var out []site.Edit
	set := func(path, text string) {
		if old := d.Get(path); old != text {
			out = append(out, site.Edit{Path: path, Old: old, New: text})
		}
	}
	at := make([]geom.Point3, len(ns))
	for i := range ns {
		at[i] = ns[i].at
	}
	at[k] = to
	leg := func(i int) (geom.Point3, error) { // from corner i to the next
		v := at[i+1].Sub(at[i])
		if v.Norm() < 1e-6 {
			return v, problem("move it another way", "two corners of the run would be one")
		}
		return v.Unit(), nil
	}
	if k == 0 {
		set(base+".start", d.place3(to))
	}
	if k <= 1 {
		dir, err := leg(0)
		if err != nil {
			return nil, "", err
		}
		h, err := d.heading(dir)
		if err != nil {
			return nil, "", err
		}
		set(base+".heading", h)
	}
	tan := make([]float64, len(ns))
	for i := range ns {
		tan[i] = ns[i].tan
	}
	for i := max(1, k-1); i <= min(len(ns)-2, k+1); i++ {
		in, err := leg(i - 1)
		if err != nil {
			return nil, "", err
		}
		on, err := leg(i)
		if err != nil {
			return nil, "", err
		}
		word, deg, err := sideOf(in, on, at[i+1].Sub(at[i]).Norm())
		if err != nil {
			return nil, "", err
		}
		p := fmt.Sprintf("%s.path[%d]", base, ns[i].step)
		switch {
		case ns[i].step < 0:
			return nil, "", problem("change it by its figures", "corner %d belongs to no step of its own", i)
		case !ns[i].bend:
			set(p+".turns", word)
		case deg < 0.5 || deg > 150:
			return nil, "", problem("move it another way, or take the bend out", "corner %d would bend %s degrees", i, degreeText(deg))
		default:
			deg, _ = strconv.ParseFloat(degreeText(deg), 64)
			set(p+".bend", degreeText(deg)+" "+word)
			tan[i] = ns[i].radius * math.Tan(deg*math.Pi/360)
		}
	}
	for i := max(0, k-2); i <= min(len(ns)-2, k+1); i++ {
		need := at[i+1].Sub(at[i]).Norm() - tan[i] - tan[i+1]
		var straights []int
		sum := 0.0
		from, end := ns[i].step, ns[i+1].step
		if i == 0 {
			from = -1
		}
		if i == len(ns)-2 {
			end = len(r.Steps)
		}
		for j := from + 1; j < end; j++ {
			if r.Steps[j].Kind == site.Straight {
				straights, sum = append(straights, j), sum+float64(r.Steps[j].Length.SI)
			}
		}
		if math.Abs(need-sum) < 2e-5 {
			continue
		}
		left := need - sum // of the last straight
		if len(straights) > 0 {
			left += float64(r.Steps[straights[len(straights)-1]].Length.SI)
		}
		switch {
		case left >= least && len(straights) > 0:
			set(fmt.Sprintf("%s.path[%d].straight", base, straights[len(straights)-1]), d.lengthText(left))
		case left >= least && i == len(ns)-2:
			set(fmt.Sprintf("%s.path[%d]", base, len(r.Steps)), d.newStraight(r, len(r.Steps), at[i+1].Sub(at[i]), left))
		case left >= least:
			return nil, "", problem("set a smaller radius first", "no straight stands before corner %d", i+1)
		default:
			return nil, "", problem("move it less, or set a smaller radius", "the straight before corner %d is too short by %s for its bends", i+1, d.missing(left))
		}
	}
	name := "corner " + strconv.Itoa(k)
	switch k {
	case 0:
		name = "start"
	case len(ns) - 1:
		name = "end"
	}
	by := to.Sub(ns[k].at)
	way := d.words(by.Plan())
	if math.Abs(by.Z) > 5e-4 {
		way = strings.TrimPrefix(way+", to "+upOrDown(d.res.Document.Site.Units, to.Z), "nowhere, ")
	}
	return out, fmt.Sprintf("move the %s of %s %s", name, id, way), nil
}

// The shortest straight that is written, m. Two bends may meet without one.
const least = 0.0002

// missing says how much of a straight is missing where left of it would stay.
func (d *Desk) missing(left float64) string {
	return d.res.Document.Site.Units.Length(unit.Metre(max(0.002, -left)))
}

// newStraight writes a straight where none stands: as the nearest of the run
// lies, or in the air where it is a riser.
func (d *Desk) newStraight(r *plan.Run, k int, v geom.Point3, m float64) string {
	if math.Abs(v.Unit().Z) < 0.9 {
		for by := range len(r.Steps) + 1 {
			for _, j := range []int{k - by, k + by} {
				if j >= 0 && j < len(r.Steps) && r.Steps[j].Kind == site.Straight && r.Steps[j].Where != "" {
					return "straight: " + d.lengthText(m) + "\nin: " + r.Steps[j].Where
				}
			}
		}
	}
	return "straight: " + d.lengthText(m) + "\nin: air"
}

// place3 writes a place in space.
func (d *Desk) place3(p geom.Point3) string {
	return d.coordinates(p.X, p.Y, p.Z)
}

// heading writes a direction as the document does.
func (d *Desk) heading(v geom.Point3) (string, error) {
	for w, u := range map[string]geom.Point3{"north": {Y: 1}, "south": {Y: -1}, "east": {X: 1}, "west": {X: -1}, "up": {Z: 1}, "down": {Z: -1}} {
		if v.Dot(u) > 1-1e-9 {
			return w, nil
		}
	}
	if math.Abs(v.Z) > 1e-6 {
		return "", problem("move its other end with it, or begin level or plumb", "the run would begin at a slant")
	}
	ns, ew := "N", "E"
	if v.Y < 0 {
		ns = "S"
	}
	if v.X < 0 {
		ew = "W"
	}
	return ns + " " + unit.Trim(math.Atan2(math.Abs(v.X), math.Abs(v.Y))*180/math.Pi, 4) + " " + ew, nil
}

// stepText returns the steps of a run as the document writes them.
func (d *Desk) stepTexts(r *plan.Run) []string {
	out := make([]string, len(r.Steps))
	for i := range r.Steps {
		out[i] = d.Get(fmt.Sprintf("runs.%s.path[%d]", step(r.ID), i))
	}
	return out
}

func listText(steps []string) string {
	var b strings.Builder
	for _, s := range steps {
		b.WriteString("- " + strings.ReplaceAll(s, "\n", "\n  ") + "\n")
	}
	return strings.TrimRight(b.String(), "\n")
}

// withLength returns the text of a straight with another length.
func withLength(text, length string) string {
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		if strings.HasPrefix(strings.TrimSpace(l), "straight:") {
			lines[i] = "straight: " + length
			return strings.Join(lines, "\n")
		}
	}
	// Written in brackets: {straight: 3 ft, in: air}.
	from := strings.Index(text, "straight:") + len("straight:")
	end := strings.IndexAny(text[from:], ",}")
	if end < 0 {
		return text
	}
	return text[:from] + " " + length + text[from+end:]
}

// rewrite replaces the path of a run.
func (d *Desk) rewrite(id string, steps []string) []site.Edit {
	path := "runs." + step(id) + ".path"
	return []site.Edit{{Path: path, Old: d.Get(path), New: listText(steps)}}
}

// stations reads lengths along a run.
func stations(text string) ([]float64, error) {
	var out []float64
	for _, w := range strings.Split(text, ";") {
		m, err := unit.Parse(strings.TrimSpace(w), unit.Length)
		if err != nil {
			return nil, problem(`write it like 98 ft`, "%q is no place along the run", strings.TrimSpace(w))
		}
		out = append(out, m)
	}
	return out, nil
}

// pullPoint sets pull points into straights of a run, each at a place along
// it. What is under the ground gets a handhole, what is above it a box.
func (d *Desk) pullPoint(g Gesture) ([]site.Edit, string, error) {
	r, err := runOf(d.res.Plan, g.ID)
	if err != nil {
		return nil, "", err
	}
	at, err := stations(g.Text)
	if err != nil {
		return nil, "", err
	}
	typed := g.field("size")
	if typed != "" {
		if typed, err = sizeText(typed); err != nil {
			return nil, "", err
		}
	}
	steps := d.stepTexts(r)
	said := []string{}
	var texts []string
	for i := range r.Steps {
		s := &r.Steps[i]
		var piece *plan.Piece
		for k := range r.Pieces {
			if !r.Pieces[k].Arc && r.Pieces[k].Span == s.Span && s.Kind == site.Straight {
				piece = &r.Pieces[k]
			}
		}
		if piece == nil {
			texts = append(texts, steps[i])
			continue
		}
		rest, from := float64(piece.Length), float64(piece.Station)
		for _, st := range at {
			if st <= from+0.05 || st >= from+rest-0.05 {
				continue
			}
			kind := "box"
			if piece.At(st-float64(piece.Station)).Z < 0 {
				kind = "handhole"
			}
			size := typed
			if size == "" {
				size = d.sizeOf(r, kind, 0).text
			}
			texts = append(texts, withLength(steps[i], d.lengthText(st-from)), kind+":\n  size: "+size)
			rest, from = from+rest-st, st
			said = append(said, fmt.Sprintf("%s at %s", pointWord(kind), d.res.Document.Site.Units.Run(unit.Metre(st))))
		}
		if rest == float64(piece.Length) {
			texts = append(texts, steps[i])
		} else {
			texts = append(texts, withLength(steps[i], d.lengthText(rest)))
		}
	}
	if len(said) != len(at) {
		return nil, "", problem("take one of the places that are proposed", "a pull point goes into a straight, away from its ends")
	}
	return d.rewrite(r.ID, texts), fmt.Sprintf("set in %s: %s", r.ID, strings.Join(said, ", ")), nil
}

// Spot is a place for a pull point, with the sums that it leaves.
type Spot struct {
	_ [0]func() // never compared: no equality is compiled for it

	Station string `json:"station"` // as the gesture takes it
	Said    string `json:"said"`
	Sums    string `json:"sums"` // "135; then 90"
	Holds   bool   `json:"holds"`
	Why     string `json:"why,omitempty"` // one in an end straight is offered
}

// Spots are the places for a pull point in one section, and what is said of
// them all.
type Spots struct {
	Spots []Spot   `json:"spots"`
	Notes []string `json:"notes"`
}

// Spots proposes places for a pull point in the straights of one section: the
// middle of each that has room for it, the best first. One in the first or the
// last straight takes no bend off the section: it is left out, and that is
// said, unless the section is too long or pulls too hard.
func (d *Desk) Spots(id string, section int) (Spots, error) {
	out := Spots{Spots: []Spot{}, Notes: []string{}}
	r, err := runOf(d.res.Plan, id)
	if err != nil {
		return out, err
	}
	if section < 0 || section >= len(r.Sections) {
		return out, problem("pick it in the list", "run %s has no section %d", id, section+1)
	}
	u := d.res.Document.Site.Units
	s, limits := r.Sections[section], d.res.Answers.RunLimits(r)
	why := ""
	if limits.Length > 0 && s.Length > limits.Length+1e-9 {
		why = fmt.Sprintf("the section is %s of %s", u.Run(s.Length), u.Run(limits.Length))
	} else if c := d.res.Answers.PullCard(r, section).Card; c != nil && c.Outcome == pull.Over {
		why = "the section pulls over its limit"
	}
	first, last := -1, -1
	for i, q := range s.Pieces {
		if q.Arc {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	atEnd, sizes := 0, map[string]bool{}
	places := answer.Middles(r, section, limits.Bends, func(i int, q plan.Piece) bool {
		size := d.sizeOf(r, pointKind(q.At(float64(q.Length)/2)), 0)
		if q.Length < size.along-1e-6 {
			return false
		}
		if i < first || i > last {
			atEnd++
			if why == "" {
				return false
			}
		}
		if !sizes[size.said] {
			sizes[size.said] = true
			out.Notes = append(out.Notes, size.said)
		}
		return true
	})
	stable.Sort(places, func(a, b answer.PullPlace) int {
		return cmp.Compare(max(a.Before, a.After), max(b.Before, b.After))
	})
	for _, p := range places {
		w := Spot{
			Station: unit.Trim(float64(p.Station), 4) + " m", Sums: unit.Trim(float64(p.Before), 1) + andThen + unit.Trim(float64(p.After), 1), Holds: p.Fits,
			Said: fmt.Sprintf("middle of the %s straight, at %s", u.Length(p.Straight), u.Run(p.Station)),
		}
		if p.Before == 0 || p.After == 0 {
			w.Why = "takes no bend off; offered since " + why
		}
		out.Spots = append(out.Spots, w)
	}
	if atEnd > 0 && why == "" {
		out.Notes = append(out.Notes, fmt.Sprintf("the first and the last straight are left out: a pull point there leaves all %s degrees on one side", degreeText(float64(s.Degrees))))
	}
	return out, nil
}

// pointKind is what a pull point at a place is.
func pointKind(p geom.Point3) string {
	if p.Z < 0 {
		return "handhole"
	}
	return "box"
}

// pointSize is the inside of a pull point that is set without a size given.
type pointSize struct {
	text  string     // as the document writes it
	words string     // as it may be typed
	along unit.Metre // of it, what lies along the run
	said  string     // where its figures come from
}

// The usual sizes (common practice, no source), in inches and, for a site in
// metres, in millimetres: along the run, across, deep.
var usualSizes = map[string][2][3]float64{
	"box":      {{12, 12, 6}, {300, 300, 150}},
	"handhole": {{24, 36, 24}, {600, 900, 600}},
}

// sizeOf returns the inside size of a pull point that is set into a run: the
// usual one, made as long as NFPA 70 314.28(A) asks for where it applies.
func (d *Desk) sizeOf(r *plan.Run, kind string, turn unit.Degree) pointSize {
	si := d.res.Document.Site.Units == unit.SI
	word := pointWord(kind)
	v, name, mm := usualSizes[kind][0], "in", 25.4
	if si {
		v, name, mm = usualSizes[kind][1], "mm", 1
	}
	usual := v
	var code string
	if large := answer.Largest(r); raceway.InScope(r.Trade, large) {
		entry := raceway.Entry{Wall: raceway.West, Trade: r.Trade, To: 1, Largest: large}
		exit := raceway.Entry{Wall: raceway.East, Trade: r.Trade, To: 0, Largest: large}
		place, rule := "314.28(A)(1)", "8 x the largest trade size for a straight pull"
		if turn > 1 {
			exit.Wall = raceway.North
			place, rule = "314.28(A)(2)", "6 x the largest trade size and the others of the row for an angle pull"
		}
		if b, err := raceway.PullBox([]raceway.Entry{entry, exit}); err == nil {
			up := func(m unit.Metre) float64 { return math.Ceil(float64(m)*1000/mm - 1e-6) }
			if up(b.X) > v[0] && up(b.X) <= v[1] && up(b.Y) <= v[0] { // it does the other way round
				v[0], v[1] = v[1], v[0]
				usual = v
			}
			v[0], v[1] = max(v[0], up(b.X)), max(v[1], up(b.Y))
			least := unit.Trim(up(b.X), 0)
			if b.Y > 0 {
				least += " x " + unit.Trim(up(b.Y), 0)
			}
			code = fmt.Sprintf("NFPA 70 %s asks for at least %s %s with %s: %s", place, least, name, large, rule)
			for _, x := range b.Spacing {
				code += fmt.Sprintf(", its two entries %s %s apart at least", unit.Trim(up(x.Least), 0), name)
			}
		}
	} else {
		code = "NFPA 70 314.28(A) does not size it: no conductor of 4 AWG or larger in a raceway of 3/4 or larger"
		if len(r.Carries) == 0 {
			code = "NFPA 70 314.28(A) cannot be told: what it carries is not said"
		}
	}
	text := func(v [3]float64) string {
		return fmt.Sprintf("%s x %s x %s %s", unit.Trim(v[0], 0), unit.Trim(v[1], 0), unit.Trim(v[2], 0), name)
	}
	said := fmt.Sprintf("%s %s: the usual size, common practice without a source. %s. The AHJ decides; change it in the run's steps.", word, text(v), code)
	if v != usual {
		said = fmt.Sprintf("%s %s: %s; the usual %s is too small, its other sides are common practice without a source. The AHJ decides; change it in the run's steps.", word, text(v), code, text(usual))
	}
	return pointSize{
		text:  fmt.Sprintf("[%[1]s %[4]s, %[2]s %[4]s, %[3]s %[4]s]", unit.Trim(v[0], 0), unit.Trim(v[1], 0), unit.Trim(v[2], 0), name),
		words: text(v), along: unit.Metre(v[0] * mm / 1000), said: said,
	}
}

// Swap is another fitting for a bend, with what it does to the run.
type Swap struct {
	_ [0]func() // never compared: no equality is compiled for it

	Text    string `json:"text"` // the step, as the gesture takes it
	Said    string `json:"said"`
	Sums    string `json:"sums"`
	Length  string `json:"length"`
	Now     bool   `json:"now"`
	Note    string `json:"note,omitempty"`
	Problem string `json:"problem,omitempty"`
	Outcome string `json:"outcome"`
}

// choice is a step that may stand in the place of another.
type choice struct{ text, said, note string }

// turnedPoint is a pull point in the place of a bend.
func (d *Desk) turnedPoint(r *plan.Run, kind string, s site.Step) choice {
	z := d.sizeOf(r, kind, s.Angle.SI)
	return choice{kind + ":\n  size: " + z.text + "\nturns: " + s.Toward, pointWord(kind) + " " + z.words + ", the cable turns in it", z.said}
}

// radii are the sweeps that a supplier usually has, in inches (common
// practice, no source); what a run takes is for its tables to say.
var radii = []float64{24, 36, 48, 60}

// Swaps proposes other fittings for the bend at a step of a run.
func (d *Desk) Swaps(id string, k int) ([]Swap, error) {
	r, err := runOf(d.res.Plan, id)
	if err != nil {
		return nil, err
	}
	if k < 0 || k >= len(r.Steps) || r.Steps[k].Kind != site.Bend {
		return nil, problem("pick a bend", "step %d of %s is no bend", k+1, id)
	}
	s := r.Steps[k]
	turn := "bend: " + degreeText(float64(s.Angle.SI)) + " " + s.Toward
	var cs []choice
	least, _, known := raceway.MinBendRadius(r.Trade, raceway.OtherBend)
	in := func(m unit.Metre) string { return unit.Trim(m.In(), 2) + " in" }
	if d.res.Document.Site.Units == unit.SI {
		in = func(m unit.Metre) string { return unit.Trim(float64(m)*1000, 0) + " mm" }
	}
	if known && s.Made != "sweep" {
		cs = append(cs, choice{turn + "\nradius: " + in(least) + "\nmade: factory", "factory bend, radius " + in(least), ""})
	}
	for _, inch := range radii {
		if m := unit.Metre(inch * 0.0254); !known || m >= least {
			cs = append(cs, choice{turn + "\nradius: " + in(m) + "\nmade: sweep", "sweep, radius " + in(m), ""})
		}
	}
	for _, b := range d.res.Document.Site.Benders {
		if b.Raceway == string(r.Kind) && b.Trade == r.Trade && b.Radius.Set {
			cs = append(cs, choice{turn + "\nmade: field\nbender: " + strconv.Quote(b.Name), "field bend with " + b.Name, ""})
		}
	}
	square := math.Abs(float64(s.Angle.SI)-90) < 0.01
	buried := false
	for _, q := range r.Pieces {
		if q.Span == s.Span {
			buried = q.A.Z < 0 && q.B.Z < 0
		}
	}
	if square && !buried {
		letter := "LB"
		switch s.Toward {
		case "left":
			letter = "LL"
		case "right":
			letter = "LR"
		}
		cs = append(cs, choice{"body: " + letter + "\nturns: " + s.Toward, "conduit body " + letter, ""}, d.turnedPoint(r, "box", s))
	}
	if square && buried {
		cs = append(cs, d.turnedPoint(r, "handhole", s))
	}
	out := []Swap{}
	now := d.stepTexts(r)[k]
	for _, c := range cs {
		w := Swap{Text: c.text, Said: c.said, Note: c.note, Now: strings.ReplaceAll(now, "\n", " ") == strings.ReplaceAll(c.text, "\n", " ")}
		view, err := d.RunWith(Gesture{Op: "run-fitting", ID: id, Path: strconv.Itoa(k), Text: c.text})
		if err != nil {
			w.Problem, w.Outcome = err.Error(), "cannot tell"
		} else {
			w.Sums, w.Outcome, w.Length = sumsOf(view)
		}
		if !w.Now || w.Problem == "" {
			out = append(out, w)
		}
	}
	return out, nil
}

func sumsOf(v RunView) (text, outcome, length string) {
	var out []string
	outcome = "holds"
	for _, s := range v.Sections {
		out = append(out, degreeText(s.Degrees))
		if s.Outcome != "holds" {
			outcome = s.Outcome
		}
	}
	return strings.Join(out, andThen), outcome, v.Length
}

// fitting sets another fitting in the place of a bend. Its corner stays where
// it is: the straights beside it grow or shrink by what the fitting takes.
func (d *Desk) fitting(g Gesture) ([]site.Edit, string, error) {
	r, err := runOf(d.res.Plan, g.ID)
	if err != nil {
		return nil, "", err
	}
	k, err := strconv.Atoi(g.Path)
	if err != nil || k < 0 || k >= len(r.Steps) || r.Steps[k].Kind != site.Bend {
		return nil, "", problem("pick a bend", "step %s of %s is no bend", g.Path, g.ID)
	}
	var was float64
	var dirs [2]geom.Point3
	for _, q := range r.Pieces {
		if q.Span == r.Steps[k].Span {
			dirs = [2]geom.Point3{q.Dir, q.Out}
			was = float64(q.Radius) * math.Tan(float64(q.Angle)*math.Pi/360)
		}
	}
	steps := d.stepTexts(r)
	if strings.ReplaceAll(steps[k], "\n", " ") == strings.ReplaceAll(g.Text, "\n", " ") {
		return nil, "", problem("pick another", "that fitting is there already")
	}
	// What the fitting takes of its straights is read from the run made with
	// it: a field bend's radius is its bender's, not the document's.
	trial := append([]string(nil), steps...)
	trial[k] = g.Text
	doc, _, err := apply(d.res.Document, withSentence(d.rewrite(r.ID, trial), "try"))
	if err != nil {
		return nil, "", err
	}
	is := 0.0
	q, err := runOf(plan.Make(doc.Site), r.ID)
	if err != nil {
		return nil, "", err
	}
	if !q.OK || len(q.Steps) != len(r.Steps) {
		return nil, "", problem("pick another", "the run would not come to its end with it")
	}
	for _, p := range q.Pieces {
		if p.Arc && p.Span == q.Steps[k].Span {
			is = float64(p.Radius) * math.Tan(float64(p.Angle)*math.Pi/360)
		}
	}
	grow := was - is
	var short []string
	var made [2]string // a straight where none stands
	for i, way := range []int{-1, 1} {
		j := k + way
		for j >= 0 && j < len(steps) && (r.Steps[j].Kind == site.Entry || r.Steps[j].Kind == site.Expansion) {
			j += way
		}
		stands := j >= 0 && j < len(steps) && r.Steps[j].Kind == site.Straight
		l := grow
		if stands {
			l += float64(r.Steps[j].Length.SI)
		}
		switch {
		case l < -least:
			short = append(short, "by "+d.missing(l)+" "+[]string{"before", "after"}[i]+" the bend")
		case stands && l < least: // nothing of it stays
			trial[j] = ""
		case stands:
			trial[j] = withLength(steps[j], d.lengthText(l))
		case l >= least:
			made[i] = d.newStraight(r, k, dirs[i], l)
		}
	}
	if len(short) > 0 {
		return nil, "", problem("move the corner away from its neighbor first", "the straight is too short %s", strings.Join(short, " and "))
	}
	trial = nonEmpty(append(append(append([]string(nil), trial[:k]...), made[0], trial[k], made[1]), trial[k+1:]...)...)
	return d.rewrite(r.ID, trial), fmt.Sprintf("in %s: %s in the place of %s", r.ID, strings.ReplaceAll(g.Text, "\n", ", "), stepWords(&r.Steps[k], d.res.Document.Site.Units)), nil
}

func withSentence(es []site.Edit, s string) []site.Edit {
	for i := range es {
		es[i].Sentence = s
	}
	return es
}

// draw adds a run from the places that it goes through, level at its depth,
// with a riser at an end where a height is given.
func (d *Desk) drawRun(g Gesture) ([]site.Edit, string, error) {
	id := g.field("id")
	if id == "" {
		id = strings.TrimSpace(g.field("service"))
	}
	for n := 1; ; n++ {
		name := id
		if n > 1 || g.field("id") == "" {
			name = fmt.Sprintf("%s %d", id, n)
		}
		if _, err := runOf(d.res.Plan, name); err != nil {
			id = name
			break
		}
	}
	if g.field("service") == "" || g.field("raceway") == "" {
		return nil, "", problem(`say what it is for and what it is, for instance fiber, "PVC-40 2 in"`, "a run needs its service and its raceway")
	}
	if len(g.Places) < 2 {
		return nil, "", problem("tap where it goes on the sketch", "a run needs two places")
	}
	// The document reads the raceway as it will when the run is there.
	var trade unit.Trade
	try := site.Load("", []byte("runs:\n  one:\n    service: "+written(g.field("service"))+"\n    raceway: "+written(g.field("raceway"))+"\n"))
	for _, x := range try.Diags {
		if strings.HasSuffix(x.Span.Path, ".raceway") || strings.HasSuffix(x.Span.Path, ".service") {
			return nil, "", problem(x.Mend, "%s", x.What)
		}
	}
	for _, r := range try.Site.Runs {
		trade = r.Trade
	}
	num := func(key, mend string) (float64, bool, error) {
		t := g.field(key)
		if t == "" {
			return 0, false, nil
		}
		m, err := unit.Parse(t, unit.Length)
		if err != nil {
			return 0, false, problem(mend, "%q is no length", t)
		}
		return m, true, nil
	}
	depth, deep, err := num("depth", "write it like 24 in")
	if err != nil {
		return nil, "", err
	}
	if !deep {
		return nil, "", problem("write how deep it lies, for instance 24 in; 0 in on the ground", "a run needs its depth")
	}
	radius, hasRadius, err := num("radius", "write it like 36 in")
	if err != nil {
		return nil, "", err
	}
	at := make([]geom.Point3, 0, len(g.Places)+2)
	for _, p := range g.Places {
		at = append(at, geom.Point3{X: p[0], Y: p[1], Z: -depth})
	}
	first, up, err := num("rise-at-start", "write it like 3 ft")
	if err != nil {
		return nil, "", err
	}
	if up {
		at = append([]geom.Point3{{X: at[0].X, Y: at[0].Y, Z: first}}, at...)
	}
	last, up2, err := num("rise-at-end", "write it like 3 ft")
	if err != nil {
		return nil, "", err
	}
	if up2 {
		n := at[len(at)-1]
		at = append(at, geom.Point3{X: n.X, Y: n.Y, Z: last})
	}
	where := g.field("in")
	if where == "" {
		where = "trench"
		if depth <= 0 {
			where = "air"
		}
	}
	made := g.field("made")
	if made == "" {
		made = "sweep"
	}
	rad := func() (float64, error) {
		if hasRadius {
			return radius, nil
		}
		if m, _, ok := raceway.MinBendRadius(trade, raceway.OtherBend); ok {
			return float64(m), nil
		}
		return 0, problem("write a radius, for instance 36 in", "the raceway has no size to take a radius from")
	}
	steps, err := d.stepsOf(at, rad, hasRadius, g.field("radius"), made, where)
	if err != nil {
		return nil, "", err
	}
	heading, err := d.heading(at[1].Sub(at[0]).Unit())
	if err != nil {
		return nil, "", err
	}
	lines := []string{"service: " + written(g.field("service")), "raceway: " + written(g.field("raceway"))}
	for _, k := range []string{"from", "to"} {
		if v := g.field(k); v != "" {
			lines = append(lines, k+": "+written(v))
		}
	}
	lines = append(lines, "start: "+d.place3(at[0]), "heading: "+heading, "path:", "  "+strings.ReplaceAll(listText(steps), "\n", "\n  "))
	text := strings.Join(lines, "\n")
	e := site.Edit{Path: "runs." + step(id), New: text}
	if d.Get("runs") == "" {
		e = site.Edit{Path: "runs", New: step(id) + ":\n  " + strings.ReplaceAll(text, "\n", "\n  ")}
	}
	return []site.Edit{e}, fmt.Sprintf("add run %s, %s", id, g.field("raceway")), nil
}

// written returns typed words as a value of the document: in quotes where a
// sign in them would mean something else, as the # of "post #3" would.
func written(s string) string {
	if strings.ContainsAny(s, "#:\"'[]{},&*!|>%@`\\\n\r\t") {
		return strconv.Quote(s)
	}
	return s
}

// stepsOf writes a way through corners as straights and bends.
func (d *Desk) stepsOf(at []geom.Point3, radius func() (float64, error), given bool, radiusText, made, where string) ([]string, error) {
	var steps []string
	tan := 0.0
	for i := 1; i < len(at); i++ {
		v := at[i].Sub(at[i-1])
		if v.Norm() < 1e-3 {
			return nil, problem("take one of them back", "places %d and %d are one", i, i+1)
		}
		next, bend := 0.0, ""
		if i+1 < len(at) {
			on := at[i+1].Sub(at[i])
			if on.Norm() < 1e-3 {
				return nil, problem("take one of them back", "places %d and %d are one", i+1, i+2)
			}
			word, deg, err := sideOf(v.Unit(), on.Unit(), on.Norm())
			if err != nil {
				return nil, err
			}
			if deg > 150 {
				return nil, problem("move the place before it", "the run would turn back at place %d", i+1)
			}
			if word != "" {
				r, err := radius()
				if err != nil {
					return nil, err
				}
				bend = "bend: " + degreeText(deg) + " " + word
				if given {
					bend += "\nradius: " + written(radiusText)
				}
				bend += "\nmade: " + made
				next = r * math.Tan(deg*math.Pi/360)
			}
		}
		l := v.Norm() - tan - next
		if l < least {
			return nil, problem("tap it farther away, or set a smaller radius", "the straight between places %d and %d is too short for its bends by %s", i, i+1, d.missing(l))
		}
		in := where
		if math.Abs(v.Unit().Z) > 0.9 {
			in = "air"
		}
		steps = append(steps, "straight: "+d.lengthText(l)+"\nin: "+in)
		if bend != "" {
			steps = append(steps, bend)
		}
		tan = next
	}
	return steps, nil
}

// thinned is the document without what no run hangs on: while one is bent it
// is read again for every place of a finger.
func (d *Desk) thinned() *site.Document {
	if d.thinOf != d.res {
		d.thin, d.thinOf = d.res.Document, d.res
		for _, k := range strings.Fields("soil ground tests continuity fault transfer feeders supplies prices hours waivers") {
			if old := d.Get(k); old != "" {
				if doc, _, err := d.thin.Apply(site.Edit{Path: k, Old: old, Sentence: "thin"}); err == nil {
					d.thin = doc
				}
			}
		}
	}
	return d.thin
}

// RunWith returns the run that a gesture is about as it would be, without
// making it.
func (d *Desk) RunWith(g Gesture) (RunView, error) {
	edits, err := d.Edits(g)
	if err != nil {
		return RunView{}, err
	}
	doc, _, err := apply(d.thinned(), edits)
	if err != nil {
		return RunView{}, err
	}
	p := plan.Make(doc.Site)
	id := g.ID
	if c, _, ok := runCorner(g.Path); ok {
		id = c
	}
	if id == "" && len(p.Runs) > 0 { // one that is drawn
		id = p.Runs[len(p.Runs)-1].ID
		for i := range p.Runs {
			if _, err := runOf(d.res.Plan, p.Runs[i].ID); err != nil {
				id = p.Runs[i].ID
			}
		}
	}
	r, err := runOf(p, id)
	if err != nil {
		return RunView{}, err
	}
	res := &stubup.Result{Document: doc, Plan: p, Answers: answer.New(context.Background(), p)}
	return viewOf(res, r, false), nil
}

// Way is a proposal to bring a run within its limits, as it is shown beside
// others. Its figures are those of the run with it made, so that what it tells
// is what the run shows when it is taken.
type Way struct {
	_ [0]func() // never compared: no equality is compiled for it

	Said    string   `json:"said"` // the gesture that takes it says it again
	Sums    string   `json:"sums"`
	Outcome string   `json:"outcome"`
	Length  string   `json:"length"`
	New     string   `json:"new"`
	Tension string   `json:"tension"`
	Cost    string   `json:"cost"`  // what taking it adds
	Money   string   `json:"money"` // what the site comes to with it
	Corners []string `json:"corners"`
	Leaves  string   `json:"leaves,omitempty"` // what of the old way is no longer there
	Notes   []string `json:"notes"`
	Needs   string   `json:"needs,omitempty"`
	Blocked string   `json:"blocked,omitempty"`
}

// Ways returns the proposals for a run that passes its limits.
func (d *Desk) Ways(id string) ([]Way, error) {
	r, err := runOf(d.res.Plan, id)
	if err != nil {
		return nil, err
	}
	out := []Way{}
	for _, p := range d.res.Answers.Proposals(r) {
		w, err := d.wayWith(r, p)
		if err != nil {
			w = Way{Said: p.Words, Needs: p.Needs, Blocked: err.Error(), Corners: []string{}, Notes: []string{}}
		}
		out = append(out, w)
	}
	return out, nil
}

// wayWith evaluates the site with a proposal made.
func (d *Desk) wayWith(r *plan.Run, p answer.Proposal) (Way, error) {
	w := Way{Said: p.Words, Needs: p.Needs, Outcome: "holds", Corners: []string{}, Notes: []string{}, Tension: "cannot tell"}
	made, err := d.steps(r, p)
	if err != nil {
		return w, err
	}
	doc, _, err := apply(d.res.Document, withSentence(d.rewrite(r.ID, made.texts), "try"))
	if err != nil {
		return w, err
	}
	res := d.res.With(context.Background(), doc)
	n, err := runOf(res.Plan, r.ID)
	if err != nil {
		return w, err
	}
	if end := n.Pulls[len(n.Pulls)-1].At; !n.OK || end.Sub(r.Pulls[len(r.Pulls)-1].At).Norm() > 0.005 {
		return w, problem("draw it through its corners", "the run would not come to its end this way")
	}
	for _, x := range res.Plan.Diags {
		if x.Code == diag.Crossing && !slices.ContainsFunc(d.res.Plan.Diags, func(o diag.Diag) bool { return o.Code == x.Code && o.What == x.What }) {
			return w, problem("take another", "%s", x.What)
		}
	}
	u := res.Document.Site.Units
	v := viewOf(res, n, true)
	w.Sums, w.Outcome, w.Length = sumsOf(v)
	w.New, w.Leaves, w.Notes = u.Run(n.Length-n.Laid), strings.Join(made.leaves, ", "), made.notes
	w.Tension = tensionsOf(v)
	was, is := spentOn(d.res), spentOn(res)
	w.Money, w.Cost = is.words(), is.since(was)
	for _, k := range v.Nodes {
		if len(p.Way) == 0 || k.Step >= 0 && k.Step < made.kept || k.Step == -1 {
			continue
		}
		said := k.Said
		if k.Bend != "" {
			said += ": " + k.Bend
		}
		w.Corners = append(w.Corners, said)
	}
	return w, nil
}

// tensionsOf says what each section of a run pulls.
func tensionsOf(v RunView) string {
	var out []string
	for _, s := range v.Sections {
		if s.Tension == "" {
			return "cannot tell"
		}
		out = append(out, s.Tension)
	}
	return strings.Join(out, andThen)
}

// made is the path of a run with a proposal in it.
type made struct {
	texts  []string
	kept   int // steps of the old path, of which the last may be cut
	leaves []string
	notes  []string
}

// steps writes the path of a run with a proposal made.
func (d *Desk) steps(r *plan.Run, p answer.Proposal) (made, error) {
	switch {
	case p.Blocked != "":
		return made{}, problem("take another", "%s", p.Blocked)
	case len(p.Way) > 0:
		return d.anotherWay(r, p)
	}
	return d.withPoints(r, p)
}

// wayTaken makes one of the ways that are proposed for a run.
func (d *Desk) wayTaken(g Gesture) ([]site.Edit, string, error) {
	r, err := runOf(d.res.Plan, g.ID)
	if err != nil {
		return nil, "", err
	}
	for _, p := range d.res.Answers.Proposals(r) {
		if p.Words != g.Text {
			continue
		}
		if _, err := d.wayWith(r, p); err != nil {
			return nil, "", err
		}
		m, err := d.steps(r, p)
		if err != nil {
			return nil, "", err
		}
		return d.rewrite(r.ID, m.texts), fmt.Sprintf("take for %s: %s", r.ID, p.Words), nil
	}
	return nil, "", problem("look at the ways again", "that way is not offered for %s any more", g.ID)
}

// pointWord is a pull point in words, as the document names its step.
func pointWord(kind string) string {
	if kind == "box" {
		return "pull box"
	}
	return kind
}

// docWord is a pull point as the document names its step.
func docWord(name string) string {
	if name == "pull box" {
		return "box"
	}
	return name
}

// withPoints sets the pull points of a proposal into the run as it is drawn.
// One at a turn takes the place of its bend, whose corner stays: the straights
// beside it grow by the tangent.
func (d *Desk) withPoints(r *plan.Run, p answer.Proposal) (made, error) {
	m := made{kept: len(r.Steps)}
	old := d.stepTexts(r)
	grow, ahead := make([]float64, len(old)), make([]float64, len(old)) // of a straight, in all and at its front
	note := func(z pointSize) {
		if !slices.Contains(m.notes, z.said) {
			m.notes = append(m.notes, z.said)
		}
	}
	for _, q := range p.Points {
		if q.Turn == 0 {
			continue
		}
		k := slices.IndexFunc(r.Steps, func(s site.Step) bool { return s.Span == q.Span && s.Kind == site.Bend })
		if k < 0 {
			return m, problem("set it by its figures", "the turn at %s is no bend of its own", d.res.Document.Site.Units.Run(q.Station))
		}
		z := d.sizeOf(r, docWord(q.What), q.Turn)
		note(z)
		if math.Abs(float64(q.Turn)-90) > 0.01 {
			return m, problem("take another, or make the turn square first", "a %s is left square to the way in: the turn of %s degrees at %s is not", q.What, degreeText(float64(q.Turn)), d.res.Document.Site.Units.Run(q.Station))
		}
		old[k] = docWord(q.What) + ":\n  size: " + z.text + "\nturns: " + r.Steps[k].Toward
		t := 0.0
		for _, x := range r.Pieces {
			if x.Span == q.Span && x.Arc {
				t = float64(raceway.Tangent(x.Radius, x.Angle))
			}
		}
		for _, way := range []int{-1, 1} {
			j := k + way
			for j >= 0 && j < len(old) && (r.Steps[j].Kind == site.Entry || r.Steps[j].Kind == site.Expansion) {
				j += way
			}
			if j < 0 || j >= len(old) || r.Steps[j].Kind != site.Straight {
				return m, problem("set it by its figures", "no straight stands beside the turn at %s", d.res.Document.Site.Units.Run(q.Station))
			}
			grow[j] += t
			if way > 0 {
				ahead[j] += t
			}
		}
		m.notes = append(m.notes, fmt.Sprintf("the pull point takes %s of the run on each side of the turn: that much less pipe", d.res.Document.Site.Units.Length(unit.Metre(t))))
	}
	set := 0
	for i, s := range r.Steps {
		if s.Kind != site.Straight {
			m.texts = append(m.texts, old[i])
			continue
		}
		var piece plan.Piece
		for _, q := range r.Pieces {
			if !q.Arc && q.Span == s.Span {
				piece = q
			}
		}
		whole, from := float64(piece.Length)+grow[i], 0.0
		for _, q := range p.Points {
			at := float64(q.Station-piece.Station) + ahead[i]
			if q.Turn > 0 || q.Station <= piece.Station || q.Station >= piece.Station+piece.Length {
				continue
			}
			set++
			z := d.sizeOf(r, docWord(q.What), 0)
			note(z)
			m.texts = append(m.texts, withLength(old[i], d.lengthText(at-from)), docWord(q.What)+":\n  size: "+z.text)
			from = at
		}
		if from == 0 && grow[i] == 0 {
			m.texts = append(m.texts, old[i])
		} else {
			m.texts = append(m.texts, withLength(old[i], d.lengthText(whole-from)))
		}
	}
	for _, q := range p.Points {
		if q.Turn > 0 {
			set++
		}
	}
	if set != len(p.Points) {
		return m, problem("set them by their figures", "%d of %d pull points stand in no straight", len(p.Points)-set, len(p.Points))
	}
	return m, nil
}

// anotherWay writes a way through the yard: what is laid stays as it is
// written, and from there the path goes through the way's corners to the foot
// of the riser, whose own steps stay too.
func (d *Desk) anotherWay(r *plan.Run, p answer.Proposal) (made, error) {
	var m made
	u := d.res.Document.Site.Units
	old := d.stepTexts(r)
	at := func(q plan.Piece) int {
		return slices.IndexFunc(r.Steps, func(s site.Step) bool { return s.Span == q.Span })
	}
	cut, last := -1, -1
	var laid float64 // of the straight that is cut
	for _, q := range r.Pieces {
		if !q.Arc && q.Part == "" && q.Station < r.Laid-1e-9 && r.Laid <= q.Station+q.Length+1e-9 {
			cut, laid = at(q), float64(r.Laid-q.Station)
		}
	}
	for i, s := range r.Steps {
		if s.Kind != site.Straight && s.Kind != site.Entry && s.Kind != site.Expansion && (s.Kind == site.Bend || s.Toward != "") {
			last = i
		}
	}
	if cut < 0 || last <= cut || r.Steps[last].Kind != site.Bend || r.Steps[cut].Kind != site.Straight {
		return m, problem("draw it through its corners", "the run is not laid to a straight with a bend up at its end")
	}
	m.kept = cut + 1
	m.texts = append(m.texts, old[:cut]...)
	for i := cut + 1; i < last; i++ {
		if s := &r.Steps[i]; s.Kind != site.Straight && s.Kind != site.Bend && s.Kind != site.Offset && s.Kind != site.Saddle {
			m.leaves = append(m.leaves, stepWords(s, u))
		}
	}
	// The bends are the largest of the run, made as that one is.
	model, radius := -1, unit.Metre(0)
	for _, q := range r.Pieces {
		if q.Arc && q.Part == "" && q.Radius > radius {
			model, radius = at(q), q.Radius
		}
	}
	bendOf := func(q route.Piece) (string, error) {
		word, deg, err := sideOf(q.Heading, q.Out, 0) // as it was walked: nothing lies aside
		if err != nil {
			return "", err
		}
		text := "bend: " + degreeText(deg) + " " + word
		switch s := r.Steps[model]; {
		case s.Radius.Set:
			text += "\nradius: " + s.Radius.Text
		default:
			text += "\nradius: " + d.lengthText(float64(radius))
		}
		if made := r.Steps[model].Made; made != "" {
			text += "\nmade: " + made
		}
		return text, nil
	}
	length, heading, risers := laid, geom.Point3{}, 0.0
	flush := func() {
		if length > 1e-6 {
			m.texts = append(m.texts, withLength(old[cut], d.lengthText(length)))
		}
		length = 0
	}
	for _, q := range p.Way {
		switch q.What {
		case route.Straight:
			heading = q.Heading
			if math.Abs(heading.Z) > 0.99 {
				risers += float64(q.Length)
				continue
			}
			length += float64(q.Length)
		case route.Bent:
			if model < 0 || risers > 0 {
				return m, problem("draw it through its corners", "the way bends above the ground")
			}
			flush()
			text, err := bendOf(q)
			if err != nil {
				return m, err
			}
			m.texts = append(m.texts, text)
		default:
			if q.Angle > 0 {
				return m, problem("draw it through its corners", "a %s of the way does not stand in a straight", q.Name)
			}
			flush()
			z := d.sizeOf(r, docWord(q.Name), 0)
			if !slices.Contains(m.notes, z.said) {
				m.notes = append(m.notes, z.said)
			}
			m.texts = append(m.texts, docWord(q.Name)+":\n  size: "+z.text)
		}
	}
	if length > 1e-6 {
		return m, problem("draw it through its corners", "the way does not rise at its end")
	}
	// The riser keeps its own steps; its first straight takes up what a deeper
	// foot or another radius asks for.
	var tail []int
	was := 0.0
	for i := last + 1; i < len(old); i++ {
		if r.Steps[i].Kind == site.Straight {
			tail, was = append(tail, i), was+float64(r.Steps[i].Length.SI)
		}
	}
	if len(tail) == 0 && risers > 1e-4 {
		m.texts = append(m.texts, "straight: "+d.lengthText(risers)+"\nin: air")
	}
	for i := last + 1; i < len(old); i++ {
		text := old[i]
		if len(tail) > 0 && i == tail[0] && math.Abs(risers-was) > 1e-5 {
			l := float64(r.Steps[i].Length.SI) + risers - was
			if l < least {
				return m, problem("take another", "the riser is too short for the bend at its foot by %s", d.missing(l))
			}
			text = withLength(text, d.lengthText(l))
		}
		m.texts = append(m.texts, text)
	}
	return m, nil
}
