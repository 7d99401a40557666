package wire

import (
	"encoding/json"

	"stubup"
	"stubup/base/cite"
	"stubup/base/diag"
	"stubup/base/sheet"
	"stubup/base/trace"
	"stubup/rule"
)

// Value is one number as machines read it: SI with its unit, and the words
// that a person reads.
type Value struct {
	Path     string   `json:"path"`
	Name     string   `json:"name"`
	Value    float64  `json:"value"`
	Unit     string   `json:"unit"`
	Text     string   `json:"text"`
	Standing string   `json:"standing"`
	Figures  string   `json:"figures"` // seen, derived, or from memory: the worst source it leans on
	Equation string   `json:"equation,omitempty"`
	Put      string   `json:"put,omitempty"`
	Outside  string   `json:"outside,omitempty"`
	From     []string `json:"from"`
	Cite     *Cite    `json:"cite,omitempty"`
}

// Cite is a citation.
type Cite struct {
	Work    string `json:"work"`
	Edition string `json:"edition,omitempty"`
	Place   string `json:"place,omitempty"`
	Seen    string `json:"seen"`
	Note    string `json:"note,omitempty"`
}

// Diag is one thing that is wrong with the document.
type Diag struct {
	Code  string `json:"code"`
	Level string `json:"level"`
	File  string `json:"file"`
	Line  int    `json:"line"`
	Col   int    `json:"col"`
	Path  string `json:"path,omitempty"`
	What  string `json:"what"`
	Mend  string `json:"mend"`
}

// Finding is what one rule saw.
type Finding struct {
	Rule     string   `json:"rule"`
	Title    string   `json:"title"`
	Force    string   `json:"force"`
	Outcome  string   `json:"outcome"`
	Path     string   `json:"path,omitempty"`
	Required string   `json:"required,omitempty"`
	Found    string   `json:"found,omitempty"`
	Margin   string   `json:"margin,omitempty"`
	Mend     string   `json:"mend,omitempty"`
	Note     string   `json:"note,omitempty"`
	Points   []string `json:"points,omitempty"`
	Waived   string   `json:"waived,omitempty"`
	Cite     *Cite    `json:"cite"`
}

// Table is a headed table; number cells carry both forms.
type Table struct {
	ID      string   `json:"id"`
	Title   string   `json:"title"`
	Columns []string `json:"columns"`
	Rows    [][]any  `json:"rows"`
	Notes   []string `json:"notes,omitempty"`
}

// Point is one row of the point list, SI.
type Point struct {
	ID    string     `json:"id"`
	Key   string     `json:"key"`
	Kind  string     `json:"kind"`
	What  string     `json:"what"`
	At    [3]float64 `json:"at"`
	Place string     `json:"place"`
}

// Result is one stage of one site.
type Result struct {
	Format   int               `json:"format"`
	Engine   string            `json:"engine"`
	Verb     string            `json:"verb"`
	Site     string            `json:"site"`   // sha256 of the document
	Result   string            `json:"result"` // sha256 of all that the result depends on
	Name     string            `json:"name"`
	Revision string            `json:"revision,omitempty"`
	AsOf     string            `json:"as_of"`
	Summary  []string          `json:"summary"`
	Values   map[string]Value  `json:"values"`
	Findings []Finding         `json:"findings"`
	Points   []Point           `json:"points"`
	Tables   []Table           `json:"tables"`
	Numbers  map[string]string `json:"numbers"`
	Diags    []Diag            `json:"diags"`
}

func citeOf(c cite.Ref) *Cite {
	if c.IsZero() {
		return nil
	}
	return &Cite{Work: c.Work, Edition: c.Edition, Place: c.Place, Seen: c.Seen.String(), Note: c.Note}
}

// ValueOf turns a traced value into its machine form.
func ValueOf(v *trace.Value) Value {
	out := Value{
		Path: v.Path, Name: v.Name, Value: v.SI, Unit: v.Unit, Text: v.Text, Standing: v.Standing.String(), Figures: v.Seen().String(),
		Equation: v.By.Equation, Put: v.By.Put, Outside: v.Outside, From: []string{}, Cite: citeOf(v.By.Cite),
	}
	for _, f := range v.From {
		out.From = append(out.From, f.Path)
	}
	return out
}

func diags(l diag.List) []Diag {
	out := []Diag{}
	for _, d := range l {
		out = append(out, Diag{Code: string(d.Code), Level: d.Level.String(), File: d.File, Line: d.Span.Line, Col: d.Span.Col, Path: d.Span.Path, What: d.What, Mend: d.Mend})
	}
	return out
}

func tables(ts []sheet.Table) []Table {
	out := []Table{}
	for _, t := range ts {
		j := Table{ID: t.ID, Title: t.Title, Columns: []string{}, Rows: [][]any{}, Notes: t.Notes}
		for _, c := range t.Columns {
			j.Columns = append(j.Columns, c.Head)
		}
		for _, r := range t.Rows {
			row := []any{}
			for _, c := range r {
				if c.IsNum {
					row = append(row, map[string]any{"value": c.Num, "text": c.Text})
				} else {
					row = append(row, c.Text)
				}
			}
			j.Rows = append(j.Rows, row)
		}
		out = append(out, j)
	}
	return out
}

// Findings turns findings into their machine form, in their order.
func Findings(fs []rule.Finding) []Finding {
	var out []Finding
	for _, f := range fs {
		j := Finding{
			Rule: f.Rule.ID, Title: f.Rule.Title, Force: string(f.Rule.Force), Outcome: f.Outcome.String(), Path: f.Path, Required: f.Required, Found: f.Found, Margin: f.Margin,
			Mend: f.Mend, Note: f.Note, Points: f.Points, Cite: citeOf(f.Cite),
		}
		if f.Waived != nil {
			j.Waived = f.Waived.Who + ": " + f.Waived.Why
		}
		out = append(out, j)
	}
	return out
}

// Stage returns one stage of a result as JSON.
func Stage(r *stubup.Result, verb string, summary []string, ts []sheet.Table) ([]byte, error) {
	s := r.Document.Site
	out := Result{
		Format: stubup.Format, Engine: stubup.Version, Verb: verb, Site: r.SiteHash, Result: r.Hash, Name: s.Name, Revision: s.Revision, AsOf: r.Input.AsOf,
		Summary: append([]string{}, summary...), Values: map[string]Value{}, Findings: []Finding{}, Points: []Point{}, Tables: tables(ts), Numbers: map[string]string{}, Diags: diags(r.Diags),
	}
	p := r.Prove()
	for _, v := range p.Ledger.All() {
		out.Values[v.Path] = ValueOf(v)
	}
	out.Findings = append(out.Findings, Findings(p.Findings)...)
	for _, q := range r.Plan.Points {
		out.Points = append(out.Points, Point{ID: q.ID, Key: q.Key, Kind: string(q.Kind), What: q.What, At: [3]float64{q.At.X, q.At.Y, q.At.Z}, Place: q.Place})
	}
	for _, n := range r.Plan.Numbers {
		if n.Retired {
			out.Numbers[n.Key] = "retired " + n.ID
		} else {
			out.Numbers[n.Key] = n.ID
		}
	}
	return line(out)
}

// Checked is what is wrong with a document.
type Checked struct {
	Format int    `json:"format"`
	Engine string `json:"engine"`
	Site   string `json:"site"` // sha256 of the document
	Diags  []Diag `json:"diags"`
}

// Check returns the diags of a document as JSON.
func Check(r *stubup.Result) ([]byte, error) {
	return line(Checked{stubup.Format, stubup.Version, r.SiteHash, diags(r.Diags)})
}

func line(v any) ([]byte, error) {
	b, err := json.MarshalIndent(v, "", " ")
	return append(b, '\n'), err
}
