package site

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand"
	"os"
	"reflect"
	"strings"
	"testing"
)

func compoundA(t testing.TB) *Document {
	t.Helper()
	src, err := os.ReadFile("../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return Load("compound-a.yaml", src)
}

const why = "the client asked for it"

func TestApplyChangesOneValueAndNoOtherByte(t *testing.T) {
	d := compoundA(t)
	for _, c := range []struct{ path, old, new, line string }{
		{"ground.ring.depth", "30 in", "36 in", "    depth: 36 in\n    corner-radius"},
		{"grid", "ft", "m", "grid: m            # bare coordinates below"},
		{"objects.generator.lugs[1]", "[33, 7]", "[33, 7.5]", "lugs: [[33, 5], [33, 7.5]]"},
		{"objects.generator.lugs[0][1]", "5", "6 ft", "lugs: [[33, 6 ft], [33, 7]]"},
		{"ground.whips[2].end", "flat", "pipe", "- to: platform corners\n      end: pipe"},
		{"ground.rods.places[0]", "corners", "mids", "places:\n      - mids\n      - [20, 2]"},
		{"soil.standing", "entered", "measured", "  standing: measured\n  source"},
	} {
		next, inverse, err := d.Apply(Edit{Path: c.path, Old: c.old, New: c.new, Sentence: why})
		if err != nil {
			t.Errorf("%s: %v", c.path, err)
			continue
		}
		if !strings.Contains(string(next.Src), c.line) || len(next.Src) != len(d.Src)+len(c.new)-len(c.old) {
			t.Errorf("%s: not found: %q", c.path, c.line)
		}
		if inverse.Path != c.path || inverse.Old != c.new || inverse.New != c.old || inverse.Sentence == "" || inverse.Splice != nil {
			t.Errorf("%s: inverse %+v", c.path, inverse)
		}
		same(t, d, next, inverse)
	}
}

func same(t testing.TB, d, next *Document, inverse Edit) {
	t.Helper()
	back, _, err := next.Apply(inverse)
	if err != nil {
		t.Fatalf("the inverse %+v is refused: %v\n%s", inverse, err, next.Src)
	}
	if !bytes.Equal(back.Src, d.Src) {
		t.Fatalf("the inverse %+v does not bring the bytes back:\n%q\n%q", inverse, d.Src, back.Src)
	}
}

func TestApplyInsertsAndTakesOut(t *testing.T) {
	d := compoundA(t)
	for _, c := range []struct{ path, old, new, want string }{
		{"ground.ring.pieces", "", "2", "    corner-radius: 8 in\n    pieces: 2\n  rods:\n"},
		{"revision", "A", "", "name: Compound A\nunits: us\n"},
		{"soil.frost", "", "36 in", "  source: the client's survey report\n  frost: 36 in\n"},
		{"objects.mast", "", "kind: mast\nat: [5, 25]", "    lugs: [[24, 20]]\n"},
		{"objects.mast", "", "kind: mast\nat: [5, 25]", "  mast:\n    kind: mast\n    at: [5, 25]\n"},
		{"objects.mast", "", "{kind: mast, at: [5, 25]}", "  mast: {kind: mast, at: [5, 25]}\n"},
		{"objects.generator.lugs[2]", "", "[33, 8]", "lugs: [[33, 5], [33, 7], [33, 8]]\n"},
		{"objects.generator.lugs[0]", "[33, 5]", "", "lugs: [[33, 7]]\n"},
		{"objects.generator.lugs[1]", "[33, 7]", "", "lugs: [[33, 5]]\n"},
		{"ground.whips[9]", "", "to: fence line posts\nend: pipe", "    - to: service lugs\n      end: lug\n    - to: fence line posts\n      end: pipe\n  jumpers:"},
		{"ground.whips[8]", "to: service lugs\nend: lug", "", "      end: tap\n  jumpers:"},
		{"ground.whips[0]", "to: fence corner posts\nend: pipe", "", "  whips:\n    - to: fence gate posts\n"},
		{"ground.rods.places[3]", "", "[2, 15]", "      - [20, 28]\n      - [2, 15]\n"},
		{"supplies.put-ups[4]", "", "2000 ft", "1000 ft, 2000 ft]"},
		{"waivers", "", "- rule: a\n  who: b\n  why: c\n  authority: d", "waivers:\n  - rule: a\n    who: b\n"},
		{"prices.\"1.5 in coupling\"", "", "3 each", ""},
	} {
		next, inverse, err := d.Apply(Edit{Path: c.path, Old: c.old, New: c.new, Sentence: why})
		if c.want == "" {
			if !errors.Is(err, ErrNoPlace) {
				t.Errorf("%s: %v", c.path, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.path, err)
			continue
		}
		if !strings.Contains(string(next.Src), c.want) {
			t.Errorf("%s: no %q in\n%s", c.path, c.want, next.Src)
		}
		for _, x := range next.Diags {
			if c.new != "" {
				t.Errorf("%s: %s", c.path, x.Show(next.Src))
			}
		}
		same(t, d, next, inverse)
	}
}

func TestApplyRefuses(t *testing.T) {
	d := compoundA(t)
	for _, c := range []struct {
		e    Edit
		want error
	}{
		{Edit{Path: "ground.ring.depth", Old: "30 in", New: "36 in"}, ErrNoSentence},
		{Edit{Path: "ground.ring.depth", Old: "30 in", New: "36 in", Sentence: "  "}, ErrNoSentence},
		{Edit{Path: "ground.ring.depth", Old: "24 in", New: "36 in", Sentence: why}, ErrOldDiffers},
		{Edit{Path: "ground.ring.depth", Old: "", New: "36 in", Sentence: why}, ErrOldDiffers},
		{Edit{Path: "ground.ring.dept", Old: "30 in", New: "36 in", Sentence: why}, ErrNoPlace},
		{Edit{Path: "ground.rings.depth", Old: "", New: "36 in", Sentence: why}, ErrNoPlace},
		{Edit{Path: "", Old: "", New: "36 in", Sentence: why}, ErrNoPlace},
		{Edit{Path: "a..b", Old: "", New: "36 in", Sentence: why}, ErrNoPlace},
		{Edit{Path: "ground.whips[99]", Old: "", New: "{to: fence posts, end: pipe}", Sentence: why}, ErrNoPlace},
		{Edit{Path: "name[0]", Old: "", New: "x", Sentence: why}, ErrNoPlace},
		{Edit{Path: "ground.ring.depth", Old: "30 in", New: "30 in", Sentence: why}, ErrBadValue},
		{Edit{Path: "ground.ring.depth", Old: "30 in", New: "36 in # deeper", Sentence: why}, ErrBadValue},
		{Edit{Path: "ground.ring.depth", Old: "30 in", New: "\"36 in", Sentence: why}, ErrBadValue},
		{Edit{Path: "ground.ring.depth", Old: "30 in", New: "[", Sentence: why}, ErrBadValue},
		{Edit{Path: "objects.generator.lugs[0][0]", Old: "33", New: "33, 4", Sentence: why}, ErrBadValue},
		{Edit{Path: "objects.generator.lugs[0][0]", Old: "33", New: "33]", Sentence: why}, ErrBadValue},
		{Edit{Path: "objects.generator.lugs[0]", Old: "[33, 5]", New: "a: 1\nb: 2", Sentence: why}, ErrBadValue},
		{Edit{Path: "name", Old: "Compound A", New: "x\nname: y", Sentence: why}, ErrBadValue},
	} {
		if _, _, err := d.Apply(c.e); !errors.Is(err, c.want) {
			t.Errorf("%+v: got %v, want %v", c.e, err, c.want)
		}
	}
}

// Values that read well but are wrong in the design or in their unit are
// taken: the person typed them, and the diag says what is wrong.
func TestApplyTakesAValueThatADiagIsAbout(t *testing.T) {
	d := compoundA(t)
	next, _, err := d.Apply(Edit{Path: "ground.ring.depth", Old: "30 in", New: "-3 in", Sentence: why})
	if err != nil || len(next.Diags) != 1 {
		t.Errorf("%v %v", err, next)
	}
}

// everyPath lists the paths of every value of a tree.
func everyPath(n *node, path string, out *[]string) {
	switch n.kind {
	case mapping:
		for _, e := range n.keys {
			p := join(path, e.key)
			*out = append(*out, p)
			everyPath(e.val, p, out)
		}
	case list:
		for i, c := range n.items {
			p := at(path, i)
			*out = append(*out, p)
			everyPath(c, p, out)
		}
	}
}

var newTexts = []string{
	"1", "30 in", "[1, 2]", "{a: 1}", "\"quoted: text\"", "'it''s'", "a: 1\nb: 2", "- 1\n- 2", "x y z", "[[0, 0], [1, 1]]", "",
	"a:\n  b:\n    - 1\n    - c: 2", "yes", "2'-6 1/2\"", "|\n  text", "[1,\n 2]", "a\nb", "#", ": ", "- ", "[", "\"", "a: 1", "- 1",
}

// Any edit that is taken changes the value at its path, keeps every byte
// before and after the place, and is undone to the byte by its inverse.
func TestApplyThenInverseIsTheSameBytes(t *testing.T) {
	rng := rand.New(rand.NewSource(11))
	docs := []*Document{compoundA(t), Load("starter.yaml", Starter())}
	for _, p := range pageDocuments(t) {
		docs = append(docs, Load("page.yaml", []byte(p)))
	}
	for _, d := range docs[:2] {
		docs = append(docs, Load("crlf.yaml", bytes.ReplaceAll(d.Src, []byte("\n"), []byte("\r\n"))),
			Load("bom.yaml", append([]byte("\xef\xbb\xbf"), bytes.TrimRight(d.Src, "\n")...)))
	}
	done, refused := 0, 0
	for _, d := range docs {
		var paths []string
		everyPath(d.root, "", &paths)
		for range 150 {
			p := paths[rng.Intn(len(paths))]
			switch rng.Intn(4) {
			case 0:
				p = join(p, []string{"new", "gates of", "a.b", "x: y"}[rng.Intn(4)])
			case 1:
				if segs, err := parsePath(p); err == nil {
					if n := find(d.root, segs); n.kind == list {
						p = at(p, len(n.items))
					}
				}
			}
			old, _ := d.Get(p)
			e := Edit{Path: p, Old: old, New: newTexts[rng.Intn(len(newTexts))], Sentence: why}
			next, inverse, err := d.Apply(e)
			if err != nil {
				refused++
				continue
			}
			done++
			same(t, d, next, inverse)
			if got, _ := next.Get(p); e.New != "" && strings.ReplaceAll(got, "\r\n", "\n") != e.New {
				t.Fatalf("%+v: reads %q", e, got)
			}
			keepsTheRest(t, d, next, e)
			sound(t, next)
		}
	}
	t.Logf("%d edits taken, %d refused", done, refused)
	if done < 400 {
		t.Errorf("only %d edits taken, %d refused", done, refused)
	}
}

// keepsTheRest checks that every value beside the path reads as before.
func keepsTheRest(t testing.TB, d, next *Document, e Edit) {
	t.Helper()
	var paths []string
	everyPath(d.root, "", &paths)
	parent := e.Path
	if i := strings.LastIndexByte(e.Path, '['); i > 0 && strings.HasSuffix(e.Path, "]") && e.New == "" {
		parent = e.Path[:i] // the items after it move up
	}
	for _, p := range paths {
		if strings.HasPrefix(p, parent) || strings.HasPrefix(e.Path, p) {
			continue
		}
		was, _ := d.Get(p)
		is, ok := next.Get(p)
		if !ok || was != is {
			t.Fatalf("%+v changed %s from %q to %q", e, p, was, is)
		}
	}
	// Every note is still there unless it stood on a line taken out.
	if e.New != "" && e.Old != "" && !strings.Contains(e.Old, "#") {
		if a, b := strings.Count(string(d.Src), "#"), strings.Count(string(next.Src), "#"); a != b && !strings.Contains(e.New, "#") {
			t.Fatalf("%+v: %d notes, then %d\n%s", e, a, b, next.Src)
		}
	}
}

func TestWithNumbers(t *testing.T) {
	numbers := []Number{{Key: "rod/ring/corner-1", ID: "R1"}, {Key: "rod/ring/point [20, 2]", ID: "R2"}, {Key: "whip/fence: posts", ID: "W17"}, {Key: "joint/a", ID: "J4", Retired: true}}
	for _, d := range []*Document{
		compoundA(t), Load("no-end.yaml", bytes.TrimRight(compoundA(t).Src, "\n")), Load("crlf.yaml", bytes.ReplaceAll(Starter(), []byte("\n"), []byte("\r\n"))),
		Load("flow.yaml", []byte("format: 1\nname: x\nnumbers: {a: R1}   # by hand\nby: me\n")), Load("first.yaml", []byte("numbers:\n  a: R1\nformat: 1\nname: x")),
	} {
		one, err := d.WithNumbers(numbers)
		if err != nil {
			t.Fatalf("%s: %v", d.File, err)
		}
		if len(one.Diags) != len(d.Diags) || len(one.Site.Numbers) != 4 {
			t.Errorf("%s: %v %v", d.File, one.Diags, one.Site.Numbers)
		}
		if _, had := d.Get("numbers"); !had && !bytes.HasPrefix(one.Src, d.Src) {
			t.Errorf("%s: the rest of the file has changed", d.File)
		}
		again, err := one.WithNumbers(numbers)
		if err != nil || !bytes.Equal(again.Src, one.Src) {
			t.Errorf("%s: writing the same numbers again changes the file: %v\n%s\n%s", d.File, err, one.Src, again.Src)
		}
		two, err := one.WithNumbers(numbers[:1])
		if err != nil || len(two.Site.Numbers) != 1 {
			t.Errorf("%s: %v", d.File, err)
		}
		// All that is not the block is the same, byte for byte.
		cut := func(d *Document) string {
			e, _ := d.root.get("numbers")
			return string(d.Src[:e.from]) + string(d.Src[e.val.to:])
		}
		if cut(one) != cut(two) {
			t.Errorf("%s: the rest of the file has changed", d.File)
		}
		none, err := two.WithNumbers(nil)
		if err != nil || len(none.Site.Numbers) != 0 {
			t.Errorf("%s: %v", d.File, err)
		}
	}
	if _, err := Load("x", nil).WithNumbers(numbers); err == nil {
		t.Error("numbers were written into an empty file")
	}
	if _, err := compoundA(t).WithNumbers([]Number{{Key: "a", ID: "R1"}, {Key: "b", ID: "R1"}}); err == nil {
		t.Error("one number was given to two points")
	}
}

// There is exactly one way up from every older format.
func TestUpgradesAreComplete(t *testing.T) {
	if len(upgrades) != Format-1 {
		t.Errorf("%d upgrades for format %d", len(upgrades), Format)
	}
	for v := 1; v < Format; v++ {
		if upgrades[v] == nil {
			t.Errorf("no upgrade from format %d", v)
		}
	}
	d := compoundA(t)
	up, err := Upgrade(d)
	if err != nil || up != d {
		t.Errorf("a document of this format changed: %v", err)
	}
}

func TestPathsRoundTrip(t *testing.T) {
	for _, keys := range [][]string{{"ground", "ring", "depth"}, {"gates of"}, {"a.b", "c[0]"}, {"say \"x\""}, {" blank "}, {"rod/ring/corner-2"}, {"é.è"}, {""}} {
		path := ""
		for _, k := range keys {
			path = join(path, k)
		}
		segs, err := parsePath(at(path, 3))
		if err != nil || len(segs) != len(keys)+1 || segs[len(keys)].index != 3 {
			t.Fatalf("%q: %v %v", path, segs, err)
		}
		for i, k := range keys {
			if segs[i].key != k {
				t.Errorf("%q: %q, want %q", path, segs[i].key, k)
			}
		}
	}
}

func TestNamedPlaces(t *testing.T) {
	d := compoundA(t)
	span, ok := d.Place("ground.ring.depth")
	if want := "    depth: 30 in"; !ok || span.Col != len("    depth: ")+1 || strings.Split(string(d.Src), "\n")[span.Line-1] != want {
		t.Errorf("%+v", span)
	}
	if keys := fmt.Sprint(d.Keys("ground")); keys != "[conductor stub-up ring rods whips jumpers]" {
		t.Error(keys)
	}
}

// Edits that follow one another come to the same bytes, the same typed view and
// the same inverse whether the view is read after each or after the last.
func TestPartsComeToTheSame(t *testing.T) {
	first := compoundA(t)
	// A key that is there twice already does not stand in the way.
	twice := Load("a.yaml", bytes.Replace(first.Src, []byte("  platform:\n"), []byte("  platform:\n    steel: no\n"), 1))
	for _, d := range []*Document{first, twice} {
		edits := []Edit{
			{Path: "objects.fence.corners[0]", Old: "[0, 0]", New: "[1, 0]"},
			{Path: "objects.fence.corners[3]", Old: "[0, 30]", New: "[1, 30]"},
			{Path: "objects.fence.gates[0].from", Old: "[0, 21]", New: "[1, 21]"},
			{Path: "objects.fence.height", New: "8 ft"},
			{Path: "ground.rods.places[1]", Old: "[20, 2]"},
			{Path: "ground.rods.places[2]", New: "[21, 2]"},
		}
		one, two := d, d
		for i, e := range edits {
			e.Sentence = why
			a, backA, err := one.Apply(e)
			if err != nil {
				t.Fatal(err)
			}
			do := two.Part
			if i == len(edits)-1 {
				do = two.Apply
			}
			b, backB, err := do(e)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(a.Src, b.Src) || fmt.Sprint(backA.Splice, backA.Old, backA.New) != fmt.Sprint(backB.Splice, backB.Old, backB.New) {
				t.Fatalf("%s: %+v, %+v", e.Path, backA, backB)
			}
			one, two = a, b
		}
		if !reflect.DeepEqual(one.Site, two.Site) || !reflect.DeepEqual(one.Diags, two.Diags) {
			t.Error("the typed view differs")
		}
	}
	// What a part breaks in the view alone is refused by the last.
	long := "["
	for i := range maxCorners + 1 {
		long += fmt.Sprintf("[%d, %d], ", i, i%2)
	}
	part, _, err := first.Part(Edit{Path: "objects.fence.corners", Old: "[[0, 0], [40, 0], [40, 30], [0, 30]]", New: long + "[0, 9]]", Sentence: why})
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err = part.Apply(Edit{Path: "grid", Old: "ft", New: "m", Sentence: why}); !errors.Is(err, ErrBadValue) {
		t.Errorf("a fence of too many corners is taken: %v", err)
	}
	// What breaks the bytes is refused at once.
	if _, _, err = first.Part(Edit{Path: "grid", Old: "ft", New: "[1}", Sentence: why}); !errors.Is(err, ErrBadValue) {
		t.Errorf("broken bytes are taken: %v", err)
	}
}
