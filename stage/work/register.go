package work

import (
	"fmt"
	"strings"

	"stubup/answer"
	"stubup/base/sheet"
	"stubup/plan"
	"stubup/rule"
)

// Field is one thing that an entry holds.
type Field struct {
	Key   string // "mold-and-shot"
	Head  string // as printed over its column
	Photo bool   // a photo goes with it
	Given bool   // printed from the layout; the crew does not fill it
}

// Record is a kind of entry with its fields, in the order in which they are
// asked, on paper as on the screen.
type Record struct {
	ID     string // "weld-before": part of file and sheet names
	Title  string
	Fields []Field
	Blank  int // empty rows under those that the layout fills
	Topics []Topic
}

// Common are the fields that every entry carries after its own.
var Common = []Field{
	{Key: "author", Head: "by"},
	{Key: "device", Head: "phone or sheet"},
	{Key: "time", Head: "time"},
	{Key: "clock-offset", Head: "clock off by, last contact"},
	{Key: "place-words", Head: "place: two tapes and side"},
	{Key: "position", Head: "position, within"},
	{Key: "sign-off", Head: "signed"},
}

func given(key, head string) Field { return Field{Key: key, Head: head, Given: true} }
func ask(key, head string) Field   { return Field{Key: key, Head: head} }
func photo(key, head string) Field { return Field{Key: key, Head: head, Photo: true} }

// records are the kinds of entry. A weld has two halves, minutes apart, and
// several welds stand half done at once: two registers.
var records = []Record{
	{ID: "weld-before", Title: "Welds, before the shot", Topics: []Topic{Weld, Grounds}, Fields: []Field{
		given("joint", "joint"), given("kind", "kind"), given("ties", "ties"), ask("conductor-lot", "conductor lot"),
		ask("mold-and-shot", "mold and shot"), ask("charge-and-lot", "charge by the tag, lot"), ask("dried", "dried and cleaned, when due"), photo("ends-photo", "ends in the mold (photo)"), ask("weather", "weather"),
	}},
	{ID: "weld-after", Title: "Welds, after the shot", Fields: []Field{
		given("joint", "joint"), ask("fired", "fired"), ask("misfires", "misfires: relit or lost"), photo("slag-photo", "slag off, tag in view (photo)"), ask("eye", "eye checks"), ask("tap-check", "tap check"),
		ask("milliohm-expected", "mohm expected"), ask("milliohm-measured", "mohm measured"), ask("paint-back", "paint back"), ask("welder", "welder"), ask("inspector", "inspector"), ask("redo-of", "redo of"),
	}},
	{ID: "rod", Title: "Rods", Topics: []Topic{Dig}, Fields: []Field{
		given("rod", "rod"), given("ties", "ties"), ask("type", "type"), ask("driven", "length driven"), ask("couplings", "couplings tight"), ask("angle", "angle"), ask("refusal", "refusal"), ask("alternate", "alternate"),
		ask("top-depth", "depth of top by tape"), ask("ohms-alone", "ohms alone, and by depth"), ask("soil", "soil wet or dry"), ask("rod-time", "time driven"), photo("rod-photo", "photo"),
	}},
	{ID: "depth", Title: "Depths", Topics: []Topic{Dig}, Fields: []Field{
		given("station", "station"), ask("dug", "depth as dug"), ask("finished", "to finished grade, benchmark"), ask("width", "width"), ask("utilities", "other utilities"), photo("tape-photo", "photo with tape"), ask("soil", "soil"), ask("water", "water"), ask("rock", "rock"),
	}},
	{ID: "whip", Title: "Whips, bars, lugs and jumpers", Fields: []Field{
		given("whip", "id"), given("from", "from"), given("to", "to"), ask("length", "length"), ask("sleeve", "sleeve: nonmetallic, or bonded both ends"), ask("radius", "radius"), ask("tag", "tag"),
		ask("paint-removed", "paint removed"), ask("compound", "joint compound"), ask("die-or-torque", "die or torque"), photo("whip-photo", "photo"),
	}},
	{ID: "earth-test", Title: "Earth tests", Blank: 6, Topics: []Topic{EarthTest, Grounds, ResultSeen}, Fields: []Field{
		ask("disconnected", "what is disconnected, by whose leave"), ask("trench", "trench open or backfilled"), ask("method", "method"), ask("stakes", "stakes: distance, bearing, where zero is"), ask("meter", "meter: make, serial"),
		ask("calibrated", "calibrated on, before the first reading"), ask("stray", "stray voltage"), ask("readings", "readings"), ask("soil", "soil"), ask("temperature", "temperature"), ask("frozen", "frozen depth"), ask("rain", "last rain"),
		ask("limit", "limit and its source"), ask("predicted", "predicted band"), ask("verdict", "verdict and validity flags"), ask("tester", "tester"), ask("witness", "witness"),
	}},
	{ID: "continuity", Title: "Continuity", Blank: 8, Topics: []Topic{Grounds}, Fields: []Field{
		given("pair", "pair"), given("expected", "expected; ring open"), ask("measured", "measured"), ask("current", "current"), ask("temperature", "temperature"),
	}},
	{ID: "survey", Title: "Four-pin survey", Blank: 12, Topics: []Topic{EarthTest}, Fields: []Field{
		ask("line", "line"), ask("bearing", "bearing"), ask("spacing", "spacing"), ask("ohms", "R"),
	}},
	{ID: "raceway", Title: "Raceway", Topics: []Topic{Core}, Fields: []Field{
		given("section", "section"), given("degrees", "degrees"), given("boxes", "boxes"), ask("length", "length"), ask("tape", "tape reading"), ask("mandrel", "mandrel"), ask("locate-wire", "locate wire"), ask("cover", "cover"),
		ask("separation", "separation"), ask("penetrations", "penetrations: scan, core, slope out, seal, firestop"), ask("expansion", "expansion set, at pipe temperature"), ask("jumpers", "bonding jumpers on metal expansion fittings"), ask("pull-line", "pull line left"),
	}},
	{ID: "hold", Title: "Hold points", Blank: 2, Fields: []Field{
		given("hold", "hold point"), ask("missing", "still missing"), ask("inspector", "inspector: signed, card, waived by whom, or not required"), ask("release", "released at"), photo("card-photo", "card or tag (photo)"),
	}},
	{ID: "change", Title: "Deviations, RFIs and changes", Blank: 6, Fields: []Field{
		ask("kind", "deviation, RFI or change"), ask("what", "what"), ask("who-said", "who said it"), ask("when-said", "when"), ask("answer", "answer"),
	}},
	{ID: "daily", Title: "Daily", Blank: 5, Topics: []Topic{Weather}, Fields: []Field{
		ask("date", "date"), ask("weather", "weather"), ask("crew", "crew"), ask("done", "done"), ask("next", "next"), ask("stopped-by", "stopped by"),
	}},
	{ID: "safety", Title: "Safety", Blank: 5, Topics: []Topic{Weather}, Fields: []Field{
		ask("ticket", "dig ticket, valid until"), ask("permit", "hot-work permit"), ask("fire-watch", "fire watch until"), ask("lightning", "lightning: stop and start"),
	}},
	{ID: "lot", Title: "Material lots", Blank: 8, Fields: []Field{
		ask("item", "item"), ask("lot", "lot"), ask("count", "count or length"), ask("from", "from"),
	}},
	{ID: "found", Title: "Existing things found", Blank: 6, Topics: []Topic{Stripped}, Fields: []Field{
		ask("thing", "thing"), ask("state", "seen today, told only, abandoned, removed"), ask("measured", "measured"), photo("found-photo", "photo"),
	}},
	{ID: "closeout", Title: "Closeout index", Blank: 12, Fields: []Field{
		ask("document", "document"), ask("points", "points it covers"), ask("sheets", "sheets"), ask("open", "open items"),
	}},
}

// Records lists the kinds of entry in their order. The common fields are not
// repeated in them.
func Records() []Record { return records }

// All returns the fields of a record with the common ones after them.
func (r Record) All() []Field {
	return append(append([]Field(nil), r.Fields...), Common...)
}

// register lays a record out as a table: a row for each of the given ids with
// what the layout knows, all other cells empty, and blank rows where the
// layout knows none.
func (r Record) register(rows [][]string) sheet.Table {
	t := sheet.Table{ID: "work.register." + r.ID, Title: r.Title, Blank: r.Blank, Empty: "Nothing on the layout asks for this yet; the empty rows are for what comes."}
	fields := r.All()
	for _, f := range fields {
		t.Columns = append(t.Columns, sheet.Column{Head: f.Head})
	}
	for _, row := range rows {
		cells := make(sheet.Row, len(fields))
		k := 0
		for i, f := range fields {
			if f.Given && k < len(row) {
				cells[i] = sheet.Cell{Text: row[k], Bold: i == 0}
				k++
			}
			if f.Key == "place-words" && k < len(row) && k == r.given() {
				cells[i] = sheet.T(row[k])
				k++
			}
		}
		t.Rows = append(t.Rows, cells)
	}
	if len(rows) == 0 && t.Blank == 0 {
		t.Blank = 4
	}
	return t
}

// given counts the fields that the layout fills.
func (r Record) given() int {
	n := 0
	for _, f := range r.Fields {
		if f.Given {
			n++
		}
	}
	return n
}

// registers returns every register with the ids of the plan in it.
func registers(v rule.View) []sheet.Table {
	out := make([]sheet.Table, len(records))
	for i, r := range records {
		out[i] = r.register(rowsOf(r.ID, v))
	}
	return out
}

func rowsOf(id string, v rule.View) [][]string {
	p := v.Plan
	var rows [][]string
	switch id {
	case "weld-before":
		for _, j := range p.Welded() {
			rows = append(rows, []string{j.ID, j.Kind.Words(), strings.Join(j.Ties, " - "), j.Place})
		}
	case "weld-after":
		for _, j := range p.Welded() {
			rows = append(rows, []string{j.ID, j.Place})
		}
	case "rod":
		for _, r := range p.Rods {
			ties := "ring"
			for _, j := range p.Joints {
				if j.Kind == plan.ToRod && len(j.Ties) == 2 && j.Ties[1] == r.ID {
					ties = j.Ties[0] + ", joint " + j.ID
				}
			}
			rows = append(rows, []string{r.ID, ties, p.PlaceWords(r.At)})
		}
	case "depth":
		for _, s := range stations(p) {
			rows = append(rows, []string{s.name, s.place})
		}
	case "whip":
		for _, w := range p.Whips {
			rows = append(rows, []string{w.ID, "ring", w.Item, p.PlaceWords(w.To)})
		}
		for _, j := range p.Joints {
			if j.Kind == plan.Lug && len(j.Ties) == 2 {
				rows = append(rows, []string{j.ID + " lug", j.Ties[0], j.Ties[1], j.Place})
			}
		}
		for _, j := range p.Jumpers {
			rows = append(rows, []string{j.ID, j.From, "gate leaf", p.PlaceWords(j.At)})
		}
	case "continuity":
		for _, f := range v.Answer.ContinuityPlan() {
			w := answer.MilliohmRange(f.Low, f.High)
			if f.Open > 0 {
				w += "; " + answer.Milliohms(f.Open)
			}
			rows = append(rows, []string{f.From + " - " + f.To, w})
		}
	case "raceway":
		for _, r := range p.Runs {
			for _, s := range r.Sections {
				rows = append(rows, []string{r.ID + ", " + s.Name(), fmt.Sprintf("%.4g", float64(s.Degrees)), boxes(s)})
			}
		}
	case "hold":
		if p.Ring != nil {
			rows = append(rows, []string{"ring trench before backfill: " + plural(len(buried(p)), "buried joint") + ", " + plural(len(p.Rods), "rod")})
		}
		for _, r := range p.Runs {
			if r.Trench > 0 {
				rows = append(rows, []string{r.ID + " trench before backfill"})
			}
		}
	}
	return rows
}

// buried returns the joints that the backfill covers.
func buried(p *plan.Plan) []plan.Joint {
	var out []plan.Joint
	for _, j := range p.Joints {
		if j.Z < 0 {
			out = append(out, j)
		}
	}
	return out
}

func boxes(s plan.Section) string {
	var out []string
	for _, q := range []plan.Pull{s.From, s.To} {
		if q.ID != "" {
			out = append(out, q.ID+" "+q.Words())
		}
	}
	return strings.Join(out, ", ")
}

// A sheet of paper takes this many columns that are wide enough to write in.
const columnsOnPaper = 9

// onPaper returns a register as it can be written in by hand. A record whose
// rows the layout names is cut into strips that each begin with the id; one
// that is all blank stands upright, a line to a field and a column to an
// entry. The order of the fields stays.
func (r Record) onPaper(t sheet.Table) []sheet.Block {
	if len(t.Rows) == 0 {
		return []sheet.Block{r.upright()}
	}
	var out []sheet.Block
	lead := t.Columns[0]
	lead.Width = 0.10
	rest := len(t.Columns) - 1
	strips := (rest + columnsOnPaper - 2) / (columnsOnPaper - 1)
	for k := range strips {
		from, to := 1+rest*k/strips, 1+rest*(k+1)/strips
		s := sheet.Table{ID: fmt.Sprintf("%s.%d", t.ID, k+1), Empty: t.Empty, Blank: t.Blank, Columns: []sheet.Column{lead}}
		if strips > 1 {
			s.Title = fmt.Sprintf("Part %d of %d", k+1, strips)
		}
		weight := 0.0
		for _, c := range t.Columns[from:to] {
			weight += widthOf(c.Head)
		}
		for _, c := range t.Columns[from:to] {
			c.Width = 0.90 * widthOf(c.Head) / weight
			s.Columns = append(s.Columns, c)
		}
		for _, row := range t.Rows {
			s.Rows = append(s.Rows, append(sheet.Row{row[0]}, row[from:to]...))
		}
		out = append(out, s)
	}
	return out
}

// widthOf gives the columns that the layout fills with words more room.
func widthOf(head string) float64 {
	switch head {
	case "place: two tapes and side":
		return 2.6
	case "ties", "to", "section", "hold point":
		return 1.5
	}
	return 1
}

// upright returns the record as a form: a line to a field.
func (r Record) upright() sheet.Table {
	t := sheet.Table{ID: "work.register." + r.ID + ".form", Columns: []sheet.Column{{Head: "field", Width: 0.28}}}
	const entries = 3
	for k := range entries {
		t.Columns = append(t.Columns, sheet.Column{Head: fmt.Sprintf("entry %d", k+1), Width: 0.24})
	}
	for _, f := range r.All() {
		row := make(sheet.Row, entries+1)
		row[0] = sheet.T(f.Head)
		t.Rows = append(t.Rows, row)
	}
	return t
}
