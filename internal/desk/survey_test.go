package desk

import (
	"encoding/json"
	"os"
	"strings"
	"testing"
)

const modelled = "  layers:\n    - resistivity: 100 ohm-m\n  standing: entered\n"

// surveyed opens the reference compound with other soil.
func surveyed(t testing.TB, soil string) *Desk {
	t.Helper()
	b, err := os.ReadFile("../../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Replace(string(b), modelled, soil, 1)
	if soil != modelled && text == string(b) {
		t.Fatal("the example's soil is written otherwise")
	}
	var d Desk
	d.Open("surveyed", []byte(text), "2026-01-05T07:00:00Z")
	for _, x := range d.Result().Diags {
		t.Error(x.Show(d.Text()))
	}
	return &d
}

// Two layers, 500 ohm-m over 50 at 1.5 m, read on two lines in whole figures
// that a meter shows. One is off by three where bad is set.
func layered(bad bool) string {
	s := "  readings:\n"
	for _, r := range [][3]string{
		{"A", "2 ft", "127 ohm"},
		{"A", "5 ft", "38.4 ohm"},
		{"A", "10 ft", "8.8 ohm"},
		{"A", "20 ft", "1.65 ohm"},
		{"A", "40 ft", "0.65 ohm"},
		{"B", "2 ft", "122 ohm"},
		{"B", "5 ft", "37.2 ohm"},
		{"B", "10 ft", "8.4 ohm"},
		{"B", "20 ft", "1.59 ohm"},
		{"B", "40 ft", "0.63 ohm"},
	} {
		if bad && r[0] == "B" && r[1] == "5 ft" {
			r[2] = "112 ohm"
		}
		s += "    - {line: " + r[0] + ", spacing: " + r[1] + ", ohms: " + r[2] + "}\n"
	}
	return s
}

type surveyPart struct {
	Kind, ID, Layer string
	Columns         []columnPart
	Rows            [][]json.RawMessage
	Bunches         []string
	Items           [][]json.RawMessage
}

func partOf(t testing.TB, p Patch, key string) surveyPart {
	t.Helper()
	var s surveyPart
	if b, ok := p.Parts[key]; !ok {
		t.Fatalf("no part %q of %v", key, p.Order)
	} else if err := json.Unmarshal(b, &s); err != nil {
		t.Fatal(err)
	}
	return s
}

// The sheet has a sign for every reading, a cross in crayon on one that is set
// aside, the curve and both ends of its band; its twin has the same readings in
// figures.
func TestSurveyIsDrawnAndListed(t *testing.T) {
	for _, bad := range []bool{false, true} {
		p := surveyed(t, layered(bad)).Survey()
		sk := partOf(t, p, "sketch survey")
		readings, curve, band, crossed := 0, 0, 0, 0
		for _, k := range sk.Bunches {
			b := partOf(t, p, k)
			if b.Layer == "reading" && b.ID != "" {
				readings++
				if len(b.Items) == 3 && string(b.Items[1][1]) == "5" { // crayon
					crossed++
				}
			}
			for _, it := range b.Items {
				if string(it[0]) == `"l"` && b.Layer == "curve" {
					curve++
				}
				if string(it[0]) == `"l"` && b.Layer == "band" {
					band++
				}
			}
		}
		want := 0
		if bad {
			want = 1
		}
		if readings != 10 || curve != 1 || band != 2 || crossed != want {
			t.Errorf("bad %v: %d readings, %d crossed, %d curves, %d ends of the band", bad, readings, crossed, curve, band)
		}
		rows := partOf(t, p, "table survey.readings")
		if len(rows.Rows) != 10 || p.Counts["readings"] != 10 {
			t.Errorf("%d rows", len(rows.Rows))
		}
		aside := strings.Count(string(p.Parts["table survey.readings"]), "set aside: read it again")
		if aside != want || strings.Contains(strings.Join(p.Summary, "\n"), "Reading 7 at 5 ft is set aside") != bad {
			t.Errorf("bad %v: %d set aside: %q", bad, aside, p.Summary)
		}
		// The layers that made the readings lie in the intervals: 500 over 50
		// ohm-m, 1.5 m down, 4'-11".
		layers := partOf(t, p, "table survey.layers")
		if len(layers.Rows) != 2 || !strings.Contains(p.Summary[0], "2 layers: ") || strings.Contains(p.Summary[0], " m ") {
			t.Errorf("%q", p.Summary)
		}
		for _, s := range p.Summary {
			if strings.Contains(s, " m,") || strings.Contains(s, " m;") {
				t.Errorf("a site in feet is told in metres: %s", s)
			}
		}
	}
}

// Story 3: readings that agree are one layer; the same with the last at 0.65
// are not, and never an average of all.
func TestSurveyAgreesOrNot(t *testing.T) {
	const three = "  readings:\n    - {line: A, spacing: 5 ft, ohms: 10.4 ohm}\n    - {line: A, spacing: 10 ft, ohms: 5.2 ohm}\n    - {line: A, spacing: 20 ft, ohms: 2.6 ohm}\n"
	p := surveyed(t, three).Survey()
	if !strings.HasPrefix(p.Summary[0], "1 layer: 99.6 ohm-m") || !strings.Contains(strings.Join(p.Summary, " "), "The readings agree") {
		t.Errorf("%q", p.Summary)
	}
	p = surveyed(t, strings.Replace(three, "2.6 ohm", "0.65 ohm", 1)).Survey()
	said := strings.Join(p.Summary, " ")
	if strings.Contains(said, "agree:") || !strings.Contains(said, "Not used for the resistance. Cannot tell") || !strings.Contains(said, "at least 5 are needed") {
		t.Errorf("%q", p.Summary)
	}
	if !strings.Contains(string(p.Parts["table survey.readings"]), "24.9 ohm-m") {
		t.Error("0.65 ohm at 20 ft is 24.9 ohm-m")
	}
}

// With no survey one sentence says what to measure, up to the ring's diagonal
// of 44.4 ft; a reading that is none is named with its mend.
func TestSurveyMissing(t *testing.T) {
	p := surveyed(t, modelled).Survey()
	if len(p.Summary) != 1 || len(p.Parts) != 0 || !strings.Contains(p.Summary[0], "at 5, 10, 20, 40 and 80 ft") || !strings.Contains(p.Summary[0], "44.4 ft") {
		t.Errorf("%q", p.Summary)
	}
	var d Desk
	d.Open("blank", []byte("format: 1\nname: x\nunits: si\n"), "2026-01-05T07:00:00Z")
	if p := d.Survey(); len(p.Summary) != 1 || !strings.Contains(p.Summary[0], " m ") {
		t.Errorf("%q", p.Summary)
	}
	b, err := os.ReadFile("../../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d.Open("none", []byte(strings.Replace(string(b), modelled, "  readings:\n    - {line: A, spacing: 5 ft, ohms: 0 ohm}\n", 1)), "2026-01-05T07:00:00Z")
	if p := d.Survey(); len(p.Summary) == 0 || p.Parts["sketch survey"] != nil {
		t.Errorf("%q", p.Summary)
	}
}

// Layers that stand in the document are drawn beside the readings, and one that
// does not agree with them is said to.
func TestSurveyBesideEnteredLayers(t *testing.T) {
	p := surveyed(t, modelled+layered(false)).Survey()
	said := strings.Join(p.Summary, " ")
	if !strings.Contains(said, "They lie outside the band at ") || !strings.Contains(string(p.Parts["sketch survey"]), "survey/entered/entered") {
		t.Errorf("%q", p.Summary)
	}
}

func BenchmarkSurvey(b *testing.B) {
	for b.Loop() {
		surveyed(b, layered(false)).Survey()
	}
}
