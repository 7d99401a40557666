package desk

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"stubup/base/unit"
	"stubup/site"
)

// inSomeForm is a length in one of the forms in which a person writes it, with
// what it is by the definitions of the inch and the foot.
func inSomeForm(r *rand.Rand) (text string, metre float64) {
	const in, foot = 0.0254, 0.3048
	den := []int{2, 4, 8, 16}[r.IntN(4)]
	num := 1 + r.IntN(den-1)
	part := float64(num) / float64(den)
	ft, inch := r.IntN(400), r.IntN(12)
	dec := float64(r.IntN(1000000)) / 1000
	switch r.IntN(14) {
	case 0:
		return fmt.Sprintf(`%d'-%d %d/%d"`, ft, inch, num, den), float64(ft)*foot + (float64(inch)+part)*in
	case 1:
		return fmt.Sprintf(`%d'-%d"`, ft, inch), float64(ft)*foot + float64(inch)*in
	case 2:
		return fmt.Sprintf(`%d' %d-%d/%d"`, ft, inch, num, den), float64(ft)*foot + (float64(inch)+part)*in
	case 3:
		return fmt.Sprintf(`%d ft %d in`, ft, inch), float64(ft)*foot + float64(inch)*in
	case 4:
		return fmt.Sprintf(`%d feet %d %d/%d inches`, ft, inch, num, den), float64(ft)*foot + (float64(inch)+part)*in
	case 5:
		return fmt.Sprintf("%d in", ft), float64(ft) * in
	case 6:
		return fmt.Sprintf("%d-%d/%d in", ft, num, den), (float64(ft) + part) * in
	case 7:
		return fmt.Sprintf("%d/%d in", num, den), part * in
	case 8:
		return fmt.Sprintf("%.3f ft", dec), dec * foot
	case 9:
		return fmt.Sprintf("%.3f m", dec), dec
	case 10:
		return fmt.Sprintf("%.3f cm", dec), dec / 100
	case 11:
		return fmt.Sprintf("%.3f mm", dec), dec / 1000
	case 12:
		return fmt.Sprintf("-%.3f m", dec), -dec
	}
	return fmt.Sprintf(`-%d'-%d %d/%d"`, ft, inch, num, den), -(float64(ft)*foot + (float64(inch)+part)*in)
}

// In feet and in metres, ten thousand lengths in every written form: each is
// read as what it is by definition, and what is shown for it is read as the same
// again, through the call that every field of the screens makes.
func TestLengthsAreShownAsTheyAreRead(t *testing.T) {
	const worst = 0.5e-4 * 1.001 // of the grid: what the document keeps of a place
	for name, text := range map[string][]byte{"feet": site.Blank(), "metres": site.BlankSI()} {
		d := &Desk{}
		d.Open("site.yaml", text, "")
		fine, tape := worst, 0.0
		if name == "feet" {
			fine *= 0.3048
		}
		ask := func(call string, arg any) (m float64, said string) {
			b, err := json.Marshal(arg)
			if err != nil {
				t.Fatal(err)
			}
			var out struct {
				M       float64
				Said    string
				Problem *Problem
			}
			if err := json.Unmarshal(d.Call(call, b), &out); err != nil || out.Problem != nil {
				t.Fatalf("%s, %s %s: %v %v", name, call, b, err, out.Problem)
			}
			return out.M, out.Said
		}
		r := rand.New(rand.NewPCG(20260504, 5))
		for range 10000 {
			typed, metre := inSomeForm(r)
			m, said := ask("length", map[string]string{"Text": typed})
			if math.Abs(m-metre) > 1e-9 {
				t.Fatalf("%s: %s is read as %v m, and is %v m", name, typed, m, metre)
			}
			again, twice := ask("length", map[string]string{"Text": said})
			if math.Abs(again-m) > fine {
				t.Fatalf("%s: %s is shown as %s, which is %v m and not %v m", name, typed, said, again, m)
			}
			if twice != said {
				t.Fatalf("%s: %s is shown as %s and then as %s", name, typed, said, twice)
			}
			if said != typed {
				tape++
			}
			// A place that was tapped, anywhere.
			at := (r.Float64() - 0.5) * 300
			_, shown := ask("say", map[string]float64{"M": at})
			if back, err := unit.Parse(shown, unit.Length); err != nil || math.Abs(back-at) > fine {
				t.Fatalf("%s: %v m is shown as %s, which is %v m, %v", name, at, shown, back, err)
			}
		}
		if tape < 1000 {
			t.Errorf("%s: only %v of the lengths are said as a tape reads", name, tape)
		}
	}
}

// What a tape reads is shown as a tape reads it.
func TestLengthsAsATapeReads(t *testing.T) {
	d := open(t, "compound-a.yaml")
	for typed, want := range map[string]string{
		"30 in": `2'-6"`, "30.5 in": `2'-6 1/2"`, "0.762 m": `2'-6"`, "0.76 m": "0.76 m", "-2 ft": `-2'-0"`, `2' 6-1/2"`: `2'-6 1/2"`, "10.0103 ft": "10.0103 ft", "10.0417 ft": `10'-0 1/2"`,
	} {
		if _, said, err := d.Length(typed); err != nil || said != want {
			t.Errorf("%s is shown as %s, not %s (%v)", typed, said, want, err)
		}
	}
	for m, want := range map[float64]string{3.048: `10'-0"`, 3.0607: `10'-0 1/2"`, 3.05111: "10.0102 ft"} {
		if said := d.Say(m); said != want {
			t.Errorf("%v m is shown as %s, not %s", m, said, want)
		}
	}
	if _, _, err := d.Length("30 deep"); err == nil {
		t.Error("a length with an unknown unit was taken")
	}
}
