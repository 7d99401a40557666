package jot

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

type inner struct {
	ID   string  `json:"id"`
	Note string  `json:"note,omitempty"`
	Size float64 `json:"size,omitempty"`
}

type outer struct {
	inner
	Name    string `json:"name"`
	Plain   int
	Flag    bool               `json:"flag,omitempty"`
	At      [2]float64         `json:"at"`
	Many    [][2]float64       `json:"many"`
	Texts   []string           `json:"texts"`
	Parts   []inner            `json:"parts,omitempty"`
	By      map[string]float64 `json:"by"`
	One     *inner             `json:"one"`
	None    *inner             `json:"none,omitempty"`
	Any     any                `json:"any"`
	Skipped string             `json:"-"`
}

func anyOuter(t *rapid.T) outer {
	text := rapid.OneOf(rapid.String(), rapid.StringOf(rapid.RuneFrom([]rune("<>&\"\\\n\t\r\x00\x1f\u2028\u2029\u007fä😀"))))
	num := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{0, 1e-7, -1e-7, 1e21, 1e20, 123456789, 1e-6, 5e-324}))
	in := func() inner { return inner{text.Draw(t, "id"), text.Draw(t, "note"), num.Draw(t, "size")} }
	o := outer{inner: in(), Name: text.Draw(t, "name"), Plain: rapid.Int().Draw(t, "plain"), Flag: rapid.Bool().Draw(t, "flag"), At: [2]float64{num.Draw(t, "x"), num.Draw(t, "y")}}
	for range rapid.IntRange(0, 3).Draw(t, "many") {
		o.Many = append(o.Many, [2]float64{num.Draw(t, "x"), 1})
		o.Texts = append(o.Texts, text.Draw(t, "text"))
		o.Parts = append(o.Parts, in())
	}
	if rapid.Bool().Draw(t, "map") {
		o.By = map[string]float64{text.Draw(t, "key"): 1, text.Draw(t, "key"): 2}
		p := in()
		o.One = &p
		o.Any = map[string]any{"edits": o.Texts, "part": o.Parts}
	}
	return o
}

// The same bytes as the standard library writes.
func TestWritesAsTheLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := anyOuter(t)
		want, err := json.Marshal(o)
		if err != nil {
			t.Fatal(err)
		}
		got, err := Write(o)
		if err != nil || string(got) != string(want) {
			t.Errorf("%v\n%s\nwanted\n%s", err, got, want)
		}
	})
}

// What the library reads is read the same, and what it refuses is refused.
func TestReadsAsTheLibrary(t *testing.T) {
	type shape struct {
		Name  string `json:"name"`
		Plain int
		Flag  bool
		At    [2]float64
		Many  [][2]float64
		Parts []inner
		One   *inner
	}
	rapid.Check(t, func(t *rapid.T) {
		b, err := json.Marshal(anyOuter(t))
		if err != nil {
			t.Fatal(err)
		}
		if rapid.Bool().Draw(t, "spoilt") {
			b[rapid.IntRange(0, len(b)-1).Draw(t, "at")] = rapid.SampledFrom([]byte(`{}[],:"\ntrue0-1e.`)).Draw(t, "sign")
		}
		var got, want shape
		errGot, errWant := Read(b, &got), json.Unmarshal(b, &want)
		if (errGot == nil) != (errWant == nil) {
			t.Fatalf("%s\n%v, the library %v", b, errGot, errWant)
		}
		if errGot == nil && !reflect.DeepEqual(got, want) {
			t.Errorf("%s\n%+v\nwanted\n%+v", b, got, want)
		}
	})
}

func TestRaw(t *testing.T) {
	b, err := Write(map[string]any{"parts": map[string]Raw{"a": Raw(`{"x":1}`)}})
	if err != nil || string(b) != `{"parts":{"a":{"x":1}}}` {
		t.Errorf("%s %v", b, err)
	}
	if _, err := Write(struct{ F func() }{}); err == nil {
		t.Error("a function crossed the border")
	}
}

func FuzzRead(f *testing.F) {
	f.Add(`{"name":"a","at":[1,2],"one":{"id":"x"}}`)
	f.Add(strings.Repeat("[", 100))
	f.Fuzz(func(_ *testing.T, s string) {
		var o struct {
			Name string
			At   [2]float64
			One  *inner
			Many []inner
		}
		_ = Read([]byte(s), &o)
	})
}
