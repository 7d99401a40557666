package site

import (
	"bytes"
	"strings"
	"testing"

	"stubup/base/diag"
	"stubup/base/geom"
)

// Whatever the bytes are: no panic, every diag inside the file with a code
// and a mend, the same answer twice, and every path leads back to its value.
func FuzzLoad(f *testing.F) {
	f.Add(Starter())
	f.Add(compoundA(f).Src)
	for _, p := range pageDocuments(f) {
		f.Add([]byte(p))
	}
	for _, c := range broken {
		f.Add([]byte(head + strings.Replace(c.doc, "‹", "", 1)))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		d := Load("t.yaml", src)
		sound(t, d)
		again := Load("t.yaml", src)
		if len(again.Diags) != len(d.Diags) {
			t.Fatal("two answers for one document")
		}
		for i := range d.Diags {
			if d.Diags[i] != again.Diags[i] {
				t.Fatalf("two answers for one document: %v %v", d.Diags[i], again.Diags[i])
			}
		}
		var paths []string
		if d.root != nil {
			everyPath(d.root, "", &paths)
		}
		for _, p := range paths[:min(len(paths), 200)] {
			if _, ok := d.Get(p); !ok {
				t.Fatalf("the path %q does not lead back", p)
			}
		}
	})
}

// Whatever the phrase is: it is read against the site, or refused with a
// place inside it.
func FuzzPhrase(f *testing.F) {
	for _, s := range []string{
		"every fence post", "every 5th fence post", "fence corner posts", "platform corners", "gate posts", "2 for the generator", "tower ring taps",
		"each fence line post", "all h-frame legs", "exterior bar", "every 2nd", "99999999999999999999 for it", "every every the the", "gate gate posts posts", "é corners",
	} {
		f.Add(s)
	}
	src := compoundA(f).Src
	d := &decoder{file: "t", site: &Site{}, source: newSource(src)}
	root, _ := parseTree("t", d.source)
	d.document(root)
	f.Fuzz(func(t *testing.T, s string) {
		p, bad := parsePhrase(s, d)
		if bad != nil {
			if bad.from < 0 || bad.from > bad.to || bad.to > len(s) || bad.code == "" || bad.what == "" || bad.mend == "" {
				t.Fatalf("%q: %+v", s, bad)
			}
			return
		}
		if d.object(p.Object) == nil || p.Which == "" || p.Every < 0 || p.Count < 0 {
			t.Fatalf("%q: %+v", s, p)
		}
	})
}

// Whatever the edit is: refused, or undone to the byte by its inverse.
func FuzzEdit(f *testing.F) {
	f.Add(0, "ground.ring.depth", "36 in")
	f.Add(1, "objects.hh-1.at[0]", "5 ft")
	f.Add(2, "waivers", "- rule: a\n  who: b")
	f.Add(0, "ground.whips[0]", "")
	f.Add(3, "ground.whips[0].to", "")
	f.Add(1, "objects.new", "{kind: mast}")
	f.Add(0, "name", "|\n  x\n  y")
	docs := []*Document{
		compoundA(f), Load("t", Starter()), Load("t", []byte(pageDocuments(f)[0])), Load("t", bytes.ReplaceAll(Starter(), []byte("\n"), []byte("\r\n"))),
		Load("t", []byte("a: [1, {b: 2}, ]\nc:\n- d\n-\n- e: 1\n  f: 2\n- - 1\n  - 2\ng:\nh: |\n  x\n\n  y\n")),
	}
	f.Fuzz(func(t *testing.T, which int, path, text string) {
		d := docs[((which%len(docs))+len(docs))%len(docs)]
		old, _ := d.Get(path)
		next, inverse, err := d.Apply(Edit{Path: path, Old: old, New: text, Sentence: why})
		if err != nil {
			return
		}
		sound(t, next)
		same(t, d, next, inverse)
	})
}

// Phrases and what they mean, by the grammar in docs/format.md.
func TestPhrases(t *testing.T) {
	d := &decoder{file: "t", site: &Site{}}
	d.source = newSource([]byte(head + fenceYAML + `    gates: [{from: [0, 21], to: [0, 9]}]
  platform: {kind: platform, corners: [[1, 1], [2, 1], [2, 2]]}
  generator: {kind: generator, name: pad generator, at: [9, 9], lugs: [[9, 9], [9, 8]]}
  cable-bridge: {kind: frame, legs: [[3, 3]]}
  H_frame: {kind: frame, legs: [[4, 4]]}
  old ring: {kind: ring, corners: [[50, 0], [60, 0], [60, 9]], taps: [[50, 1]]}
  mast: {kind: mast, at: [5, 5]}
  gate post: {kind: other, at: [6, 6]}
`))
	root, _ := parseTree("t", d.source)
	d.document(root)
	for _, x := range d.diags {
		t.Fatal(x)
	}
	for s, want := range map[string]Phrase{
		"every fence post":            {Object: "fence", Which: "posts"},
		"every 5th fence post":        {Object: "fence", Which: "posts", Every: 5},
		"Every fifth Fence Post":      {Object: "fence", Which: "posts", Every: 5},
		"every 3rd fence line post":   {Object: "fence", Which: "line posts", Every: 3},
		"fence corner posts":          {Object: "fence", Which: "corner posts"},
		"fence":                       {Object: "fence", Which: "posts"},
		"gate posts":                  {Object: "fence", Which: "gate posts"},
		"posts":                       {Object: "fence", Which: "posts"},
		"platform corners":            {Object: "platform", Which: "corners"},
		"the platform":                {Object: "platform", Which: "corners"},
		"2 for the generator":         {Object: "generator", Which: "lugs", Count: 2},
		"2 for the generator lugs":    {Object: "generator", Which: "lugs", Count: 2},
		"pad generator lugs":          {Object: "generator", Which: "lugs"},
		"cable bridge legs":           {Object: "cable-bridge", Which: "legs"},
		"cable-bridge legs":           {Object: "cable-bridge", Which: "legs"},
		"h frame leg":                 {Object: "H_frame", Which: "legs"},
		"old ring taps":               {Object: "old ring", Which: "taps"},
		"ring taps":                   {Object: "old ring", Which: "taps"},
		"mast":                        {Object: "mast", Which: "at"},
		"gate post":                   {Object: "gate post", Which: "at"},
		"1 for fence corner posts":    {Object: "fence", Which: "corner posts", Count: 1},
		"each of":                     {},
		"every 0th fence post":        {Object: "", Which: ""},
		"frame legs":                  {}, // two of the kind
		"fence lugs":                  {},
		"every 5th platform corner":   {},
		"":                            {},
		"fence corner posts and more": {},
	} {
		got, bad := parsePhrase(s, d)
		if got != want || (bad == nil) != (want.Object != "") {
			t.Errorf("%q: got %+v %+v, want %+v", s, got, bad, want)
		}
	}
}

// Headings against the compass: north is +y, east is +x; a bearing is the
// angle from north or south toward east or west (surveying, common practice).
func TestHeadings(t *testing.T) {
	for words, want := range map[string]geom.Point3{
		"north": {Y: 1}, "West": {X: -1}, "up": {Z: 1}, "N 0 E": {Y: 1}, "S 90 W": {X: -1},
		"N 30 E": {X: 0.5, Y: 0.8660254}, "S 45 W": {X: -0.70710678, Y: -0.70710678}, "toward [3, 4]": {X: 0.6, Y: 0.8}, "toward [-5 ft, 0 in]": {X: -1},
	} {
		d := Load("t", []byte(head+strings.Replace(runYAML, "north", words, 1)+"      - straight: 1 ft\n"))
		if len(d.Diags) > 0 || d.Site.Runs[0].Heading.Dist(want) > 1e-7 {
			t.Errorf("%q: %+v %v", words, d.Site.Runs, d.Diags)
		}
	}
}

// Values parsed to SI: exact by the definition of the inch and the Fahrenheit
// scale.
func TestValuesInSI(t *testing.T) {
	d := Load("t", []byte(head+`runs:
  r:
    service: fiber
    raceway: PVC schedule 40 2-1/2 in
    carries: [3 x 250 kcmil THWN-2, 1 x 8 bare egc, {cable: f, od: 0.5 in, fiber: yes, count: 2}]
    temperatures: -40..212 F
    install: 70 F
    start: [1, 2 m, -24 in]
    heading: north
    path: [{straight: "2'-6 1/2\""}, {bend: 22.5 left}, {offset: 12 in up, angle: 30}, {saddle: 4 in up}]
`))
	for _, x := range d.Diags {
		t.Fatal(x.Show(d.Src))
	}
	r := d.Site.Runs[0]
	near := func(what string, got, want float64) {
		t.Helper()
		if d := got - want; d > 1e-9 || d < -1e-9 {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	near("cold", float64(r.Cold.SI), -40)
	near("hot", float64(r.Hot.SI), 100)
	near("x", r.Start.X, 0.3048)
	near("y", r.Start.Y, 2)
	near("z", r.Start.Z, -0.6096)
	near("straight", float64(r.Steps[0].Length.SI), 30.5*0.0254)
	near("bend", float64(r.Steps[1].Angle.SI), 22.5)
	near("offset", float64(r.Steps[2].Length.SI), 0.3048)
	if r.Raceway != "PVC-40" || r.Trade.Name() != "2-1/2" || r.Steps[3].Bends != 3 || r.Steps[1].Toward != "left" {
		t.Errorf("%+v", r)
	}
	c := r.Carries
	if c[0].Count != 3 || c[0].Size.Name() != "250" || c[0].Insulation != "THWN-2" || !c[1].EGC || c[1].Insulation != "bare" || !c[2].Fiber || c[2].Count != 2 {
		t.Errorf("%+v", c)
	}
	if codes := codesOf(d.Diags); len(codes) != 0 {
		t.Error(codes)
	}
}

func codesOf(l diag.List) (out []diag.Code) {
	for _, d := range l {
		out = append(out, d.Code)
	}
	return out
}
