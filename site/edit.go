package site

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"stubup/base/diag"
)

// Edit changes one value of a document. Old is the text that stands there
// now and New the text to stand there, both as written in the file; an empty
// Old inserts, an empty New takes out. Sentence says in words what is done
// and why: no change of a document goes without one.
type Edit struct {
	Path     string `json:"path"`
	Old      string `json:"old"`
	New      string `json:"new"`
	Sentence string `json:"sentence"`

	// Splice is set in an inverse edit that has to bring back more than one
	// value: the notes and blanks of a line, or its place among others.
	Splice *Splice `json:"splice,omitempty"`
}

// Splice replaces the bytes Cut, which stand at offset At, by Put.
type Splice struct {
	At  int    `json:"at"`
	Cut string `json:"cut"`
	Put string `json:"put"`
}

// What an edit is refused for.
var (
	ErrNoSentence = errors.New("an edit needs a sentence that says what it does")
	ErrOldDiffers = errors.New("what stands in the document is not what the edit expects")
	ErrNoPlace    = errors.New("there is no such place in the document")
	ErrBadValue   = errors.New("the new text would not read back as one value")
)

// segment is one step of a path: a key, or an index when it is not negative.
type segment struct {
	key   string
	index int
}

func parsePath(path string) ([]segment, error) {
	bad := func() ([]segment, error) { return nil, fmt.Errorf("%w: %q is not a path", ErrNoPlace, clip(path)) }
	var out []segment
	s := path
	for s != "" {
		switch {
		case s[0] == '[':
			num, rest, ok := strings.Cut(s[1:], "]")
			i, err := strconv.Atoi(num)
			if !ok || err != nil || i < 0 {
				return bad()
			}
			out, s = append(out, segment{index: i}), rest
			if s != "" && s[0] != '.' && s[0] != '[' {
				return bad()
			}
			s = strings.TrimPrefix(s, ".")
		case s[0] == '"':
			q, err := strconv.QuotedPrefix(s)
			if err != nil {
				return bad()
			}
			key, err := strconv.Unquote(q)
			if err != nil {
				return bad()
			}
			out, s = append(out, segment{key: key, index: -1}), s[len(q):]
			if s != "" && s[0] != '.' && s[0] != '[' {
				return bad()
			}
			s = strings.TrimPrefix(s, ".")
		default:
			i := strings.IndexAny(s, ".[")
			if i < 0 {
				i = len(s)
			}
			if i == 0 {
				return bad()
			}
			out, s = append(out, segment{key: s[:i], index: -1}), s[i:]
			s = strings.TrimPrefix(s, ".")
		}
	}
	if len(out) == 0 {
		return bad()
	}
	return out, nil
}

// find returns the value at the end of a path, or nil.
func find(n *node, segs []segment) *node {
	for _, s := range segs {
		switch {
		case n == nil:
			return nil
		case s.index >= 0:
			if n.kind != list || s.index >= len(n.items) {
				return nil
			}
			n = n.items[s.index]
		default:
			e, ok := n.get(s.key)
			if !ok {
				return nil
			}
			n = e.val
		}
	}
	return n
}

// Get returns the text of the value at a path, as it is written. Lines below
// the first of a block are given without the indent of the block.
func (d *Document) Get(path string) (string, bool) {
	segs, err := parsePath(path)
	if err != nil {
		return "", false
	}
	n := find(d.root, segs)
	if n == nil {
		return "", false
	}
	return d.written(n), true
}

// Place returns where the value at a path stands.
func (d *Document) Place(path string) (diag.Span, bool) {
	segs, err := parsePath(path)
	if err != nil {
		return diag.Span{}, false
	}
	n := find(d.root, segs)
	if n == nil {
		return diag.Span{}, false
	}
	return d.source.span(path, n.from, n.to), true
}

// Keys returns the keys of the map at a path, in order; the top for an empty
// path.
func (d *Document) Keys(path string) []string {
	n := d.root
	if path != "" {
		segs, err := parsePath(path)
		if err != nil {
			return nil
		}
		n = find(d.root, segs)
	}
	if n == nil || n.kind != mapping {
		return nil
	}
	out := make([]string, len(n.keys))
	for i, e := range n.keys {
		out[i] = e.key
	}
	return out
}

func (d *Document) written(n *node) string {
	if n.kind == null {
		return ""
	}
	s := string(d.Src[n.from:n.to])
	if n.flow || n.kind == scalar || !strings.Contains(s, "\n") {
		return s
	}
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = strings.TrimSuffix(lines[i], "\r")
		for k := 0; i > 0 && k < n.indent && strings.HasPrefix(lines[i], " "); k++ {
			lines[i] = lines[i][1:]
		}
	}
	return strings.Join(lines, "\n")
}

// eol returns the line ending that the document uses.
func (d *Document) eol() string {
	if len(d.source.starts) > 1 && d.source.starts[1] >= 2 && d.Src[d.source.starts[1]-2] == '\r' {
		return "\r\n"
	}
	return "\n"
}

// isBlock reports whether text is a block map or list, which has to begin on
// a line of its own.
func isBlock(text string) bool {
	n, _ := parseTree("", newSource([]byte(text)))
	return n != nil && n.kind != scalar && n.kind != null && !n.flow
}

// indented returns text with every line but the first moved to column col.
func indented(text string, col int, eol string) string {
	lines := strings.Split(text, "\n")
	for i := 1; i < len(lines); i++ {
		if lines[i] != "" {
			lines[i] = strings.Repeat(" ", col) + lines[i]
		}
	}
	return strings.Join(lines, eol)
}

// Apply returns the document with one value changed, and the edit that undoes
// it. Every byte that the value does not need stays as it is. It refuses an
// edit without a sentence, one whose Old is not what stands there, and one
// after which the document would not read back with New at its place.
func (d *Document) Apply(e Edit) (*Document, Edit, error) { return d.apply(e, false) }

// Part is Apply for an edit that others follow at once: the typed view is not
// read before the last of them, which Apply takes. Until then the document is
// its bytes alone.
func (d *Document) Part(e Edit) (*Document, Edit, error) { return d.apply(e, true) }

func (d *Document) apply(e Edit, part bool) (*Document, Edit, error) {
	fail := func(err error, format string, args ...any) (*Document, Edit, error) {
		return nil, Edit{}, fmt.Errorf("%s: %w"+format, append([]any{clip(e.Path), err}, args...)...)
	}
	if strings.TrimSpace(e.Sentence) == "" {
		return fail(ErrNoSentence, "")
	}
	segs, err := parsePath(e.Path)
	if err != nil {
		return nil, Edit{}, err
	}
	old, _ := d.Get(e.Path)
	n := find(d.root, segs)
	var sp Splice
	text := strings.TrimRight(strings.ReplaceAll(e.New, "\r\n", "\n"), "\n")
	if e.Splice != nil {
		sp = *e.Splice
		if old != e.Old || sp.At < 0 || sp.At > len(d.Src) || !strings.HasPrefix(string(d.Src[sp.At:]), sp.Cut) {
			return fail(ErrOldDiffers, "")
		}
	} else {
		if n == nil && e.Old != "" {
			return fail(ErrNoPlace, ": %s", d.nearestPlace(segs))
		}
		if e.Old != old && !(n != nil && n.kind == scalar && e.Old == n.text) {
			return fail(ErrOldDiffers, ": there is %s, not %s", quote(old), quote(e.Old))
		}
		if text == strings.ReplaceAll(old, "\r\n", "\n") {
			return fail(ErrBadValue, ": nothing would change")
		}
		switch {
		case n == nil:
			sp, err = d.insertion(segs, text)
		case text == "":
			sp, err = d.removal(segs)
		default:
			sp, err = d.replacement(segs, n, text)
		}
		if err != nil {
			return fail(err, "")
		}
	}
	src := slices.Concat(d.Src[:sp.At], []byte(sp.Put), d.Src[sp.At+len(sp.Cut):])
	next := load(d.File, src, part, nil)
	if next.broken() > max(d.broken(), d.before) {
		return fail(ErrBadValue, ": %s", next.firstBroken())
	}
	if part {
		next.before = max(d.broken(), d.before)
	}
	is, there := next.Get(e.Path)
	switch {
	case e.Splice != nil:
		if is != e.New {
			return fail(ErrOldDiffers, "")
		}
	case text == "":
		if there && segs[len(segs)-1].index < 0 {
			return fail(ErrBadValue, ": it is written twice")
		}
	case strings.ReplaceAll(is, "\r\n", "\n") != text:
		return fail(ErrBadValue, ": it would read as %s", quote(is))
	}
	inverse := Edit{Path: e.Path, Old: is, New: old, Sentence: "undo: " + e.Sentence}
	if text == "" && there {
		// The next item of a list has moved to this place.
		inverse.Old = is
	}
	whole := n != nil && text != "" && sp.Cut == old && sp.Put == is && !strings.ContainsAny(old+is, "\n")
	if !whole || e.Splice != nil {
		inverse.Splice = &Splice{At: sp.At, Cut: sp.Put, Put: sp.Cut}
	}
	return next, inverse, nil
}

// broken counts the faults that make a document read as something else than
// it says.
func (d *Document) broken() int {
	n := 0
	for _, x := range d.Diags {
		if isBroken(x.Code) {
			n++
		}
	}
	return n
}

func (d *Document) firstBroken() string {
	for _, x := range d.Diags {
		if isBroken(x.Code) {
			return x.What
		}
	}
	return ""
}

func isBroken(c diag.Code) bool {
	switch c {
	case diag.Syntax, diag.Alias, diag.TooBig, diag.KeyTwice, diag.TooMany:
		return true
	}
	return false
}

func (d *Document) nearestPlace(segs []segment) string {
	for i := range segs {
		if find(d.root, segs[:i+1]) == nil {
			if p := find(d.root, segs[:i]); p != nil && p.kind == mapping && segs[i].index < 0 {
				var names []string
				for _, e := range p.keys {
					names = append(names, e.key)
				}
				if near, ok := nearest(segs[i].key, names); ok {
					return "did you mean " + quote(near)
				}
			}
			if segs[i].index >= 0 {
				return fmt.Sprintf("there is no entry %d", segs[i].index)
			}
			return "there is no " + quote(segs[i].key)
		}
	}
	return ""
}

// column returns how far from the beginning of its line an offset is.
func (d *Document) column(off int) int { return off - d.source.starts[d.source.lineOf(off)] }

// lineStart returns where the line of off begins, and whether only blanks
// stand before off on it.
func (d *Document) lineStart(off int) (int, bool) {
	at := d.source.starts[d.source.lineOf(off)]
	return at, strings.Trim(string(d.Src[at:off]), " ") == ""
}

// afterLine returns the offset after the line of off, its ending included.
func (d *Document) afterLine(off int) int {
	l := d.source.lineOf(off)
	if l+1 < len(d.source.starts) {
		return d.source.starts[l+1]
	}
	return len(d.Src)
}

func (d *Document) splice(from, to int, put string) Splice {
	return Splice{At: from, Cut: string(d.Src[from:to]), Put: put}
}

func (d *Document) replacement(segs []segment, n *node, text string) (Splice, error) {
	parent, last := find(d.root, segs[:len(segs)-1]), segs[len(segs)-1]
	inFlow := parent.flow
	block := isBlock(text)
	if inFlow && (block || strings.Contains(text, "\n") && n.kind != scalar) {
		return Splice{}, fmt.Errorf("%w: within brackets it has to be written in brackets", ErrBadValue)
	}
	switch {
	case n.kind == null && last.index < 0:
		e, _ := parent.get(last.key)
		if block {
			return d.splice(e.colon, e.colon, d.eol()+d.step(parent.indent+2, text)), nil
		}
		put := " " + text
		if !inFlow {
			put = " " + indented(text, parent.indent+2, d.eol())
		}
		return d.splice(e.colon, e.colon, put), nil
	case n.kind == null: // an empty item of a list
		if inFlow {
			return d.splice(n.from, n.from, text), nil
		}
		return d.splice(n.from, n.from, " "+indented(text, parent.indent+2, d.eol())), nil
	case n.kind == scalar || n.flow:
		if block && last.index < 0 {
			e, _ := parent.get(last.key)
			return d.splice(e.colon, n.to, d.eol()+d.step(parent.indent+2, text)), nil
		}
		if inFlow {
			return d.splice(n.from, n.to, text), nil
		}
		col := d.column(n.from)
		if !block {
			col = parent.indent + 2
		}
		return d.splice(n.from, n.to, indented(text, col, d.eol())), nil
	}
	col, pad := n.indent, ""
	if last.index < 0 && n.indent == parent.indent && (!block || text[0] != '-') {
		// A list may stand under its key without indent; nothing else may.
		pad, col = "  ", n.indent+2
	}
	return d.splice(n.from, n.to, pad+indented(text, col, d.eol())), nil
}

// step returns text as lines of their own at column col.
func (d *Document) step(col int, text string) string {
	return strings.Repeat(" ", col) + indented(text, col, d.eol())
}

func (d *Document) removal(segs []segment) (Splice, error) {
	parent, last := find(d.root, segs[:len(segs)-1]), segs[len(segs)-1]
	var from, to, prev, next int // the entry, the end of the one before, the beginning of the one after
	prev, next = -1, -1
	if last.index >= 0 {
		i := last.index
		from, to = parent.items[i].from, parent.items[i].to
		if !parent.flow {
			from = parent.dashes[i]
			to = max(to, from+1)
		}
		if i > 0 {
			prev = parent.items[i-1].to
		}
		if i+1 < len(parent.items) {
			next = parent.items[i+1].from
			if !parent.flow {
				next = parent.dashes[i+1]
			}
		}
	} else {
		i := parent.index[last.key]
		e := parent.keys[i]
		from, to = e.from, max(e.colon, e.val.to)
		if i > 0 {
			prev = max(parent.keys[i-1].colon, parent.keys[i-1].val.to)
		}
		if i+1 < len(parent.keys) {
			next = parent.keys[i+1].from
		}
	}
	if parent.flow {
		switch {
		case next >= 0:
			to = next
		case prev >= 0:
			from = prev
		}
		return d.splice(from, to, ""), nil
	}
	if start, own := d.lineStart(from); own {
		return d.splice(start, d.afterLine(max(from, to-1)), ""), nil
	}
	// It shares its line with the dash of the list that it stands in.
	if last.index >= 0 && next >= 0 {
		if strings.Contains(string(d.Src[to:next]), "#") {
			return Splice{}, fmt.Errorf("%w: a note stands between this entry and the next", ErrBadValue)
		}
		return d.splice(from, next, ""), nil
	}
	return d.splice(from, to, ""), nil
}

func (d *Document) insertion(segs []segment, text string) (Splice, error) {
	last := segs[len(segs)-1]
	above := segs[:len(segs)-1]
	parent := find(d.root, above)
	if parent == nil {
		return Splice{}, fmt.Errorf("%w: %s", ErrNoPlace, d.nearestPlace(segs))
	}
	block := isBlock(text)
	lead := "- "
	if last.index < 0 {
		lead = writeKey(last.key) + ": "
		if block {
			lead = writeKey(last.key) + ":"
		}
	}
	// at writes the entry as lines of its own at column col.
	at := func(col int) string {
		pad := strings.Repeat(" ", col)
		if last.index < 0 && block {
			return pad + lead + d.eol() + d.step(col+2, text)
		}
		return pad + lead + indented(text, col+2, d.eol())
	}
	switch parent.kind {
	case null:
		if last.index > 0 || len(above) == 0 {
			return Splice{}, fmt.Errorf("%w: the list is empty", ErrNoPlace)
		}
		gp, seg := find(d.root, above[:len(above)-1]), above[len(above)-1]
		if gp.flow || seg.index >= 0 {
			return Splice{}, fmt.Errorf("%w: what it belongs to is empty; write that first", ErrNoPlace)
		}
		return d.newLines(parent.to, at(gp.indent+2)), nil
	case mapping:
		if last.index >= 0 {
			return Splice{}, fmt.Errorf("%w: it is not a list", ErrNoPlace)
		}
	case list:
		if last.index != len(parent.items) {
			return Splice{}, fmt.Errorf("%w: the list has %d entries", ErrNoPlace, len(parent.items))
		}
	default:
		return Splice{}, fmt.Errorf("%w: one value stands there", ErrNoPlace)
	}
	if parent.flow {
		if block || strings.Contains(text, "\n") {
			return Splice{}, fmt.Errorf("%w: within brackets it has to be written in brackets", ErrBadValue)
		}
		put := text
		if last.index < 0 {
			put = lead + text
		}
		end := parent.from + 1
		switch {
		case len(parent.items) > 0:
			end, put = parent.items[len(parent.items)-1].to, ", "+put
		case len(parent.keys) > 0:
			e := parent.keys[len(parent.keys)-1]
			end, put = max(e.val.to, e.colon), ", "+put
		}
		return d.splice(end, end, put), nil
	}
	end := parent.to
	if len(parent.keys) > 0 {
		k := len(parent.keys) - 1
		if parent == d.root && k > 0 && parent.keys[k].key == "numbers" {
			k-- // the numbers stay at the end
		}
		end = max(parent.keys[k].val.to, parent.keys[k].colon)
	}
	return d.newLines(end, at(parent.indent)), nil
}

// newLines puts text on lines of its own after the line that holds the byte
// before end.
func (d *Document) newLines(end int, text string) Splice {
	after := d.afterLine(max(0, end-1))
	if after > 0 && d.Src[after-1] != '\n' {
		return d.splice(after, after, d.eol()+text)
	}
	return d.splice(after, after, text+d.eol())
}

// writeKey returns a key as it has to be written.
func writeKey(k string) string {
	plain := k != "" && strings.TrimSpace(k) == k && !strings.ContainsAny(k, ":#[]{},\"'&*!|>%@`\\") && !strings.HasPrefix(k, "- ") && !strings.HasPrefix(k, "? ") &&
		k != "-" && k != "?" && k != "~" && k != "---" && k != "..."
	for _, r := range k {
		plain = plain && r >= ' ' && r != 0x7f && r != '\uFEFF'
	}
	if plain {
		return k
	}
	return strconv.Quote(k)
}

// WithNumbers returns the document with its numbers block rewritten, or added
// at the end, and every other byte as it was.
func (d *Document) WithNumbers(numbers []Number) (*Document, error) {
	if d.root == nil || d.root.kind != mapping || d.root.flow {
		return nil, fmt.Errorf("%w: the document has no keys at its top", ErrNoPlace)
	}
	eol := d.eol()
	var b strings.Builder
	if len(numbers) > 0 {
		b.WriteString("numbers:")
	}
	for _, n := range numbers {
		b.WriteString(eol + "  " + writeKey(n.Key) + ": ")
		if n.Retired {
			b.WriteString("retired ")
		}
		b.WriteString(n.ID)
	}
	var sp Splice
	e, there := d.root.get("numbers")
	switch {
	case there && len(numbers) == 0:
		start, own := d.lineStart(e.from)
		if !own {
			start = e.from
		}
		sp = d.splice(start, d.afterLine(max(e.colon, e.val.to)-1), "")
	case there:
		sp = d.splice(e.from, max(e.colon, e.val.to), b.String())
	case len(numbers) == 0:
		return d, nil
	default:
		lead := ""
		if len(d.Src) > 0 && d.Src[len(d.Src)-1] != '\n' {
			lead = eol
		}
		lead += eol + "# Written by the program: the numbers on the hung tags." + eol
		sp = d.splice(len(d.Src), len(d.Src), lead+b.String()+eol)
	}
	next := Load(d.File, slices.Concat(d.Src[:sp.At], []byte(sp.Put), d.Src[sp.At+len(sp.Cut):]))
	if next.broken() > d.broken() {
		return nil, fmt.Errorf("%w: %s", ErrBadValue, next.firstBroken())
	}
	if !slices.EqualFunc(next.Site.Numbers, numbers, func(a, b Number) bool { return a.Key == b.Key && a.ID == b.ID && a.Retired == b.Retired }) {
		return nil, fmt.Errorf("%w: the numbers do not read back", ErrBadValue)
	}
	return next, nil
}

// upgrades holds, by the format that it reads, what brings a document to the
// next one. There is none yet: format 1 is the first.
var upgrades = map[int]func(*Document) (*Document, error){}

// Upgrade returns the document in the format of this program, each step by
// its own entry of the table. A document of this format is returned as it is.
func Upgrade(d *Document) (*Document, error) {
	for from := d.format(); from < Format; from++ {
		step, ok := upgrades[from]
		if !ok {
			return nil, fmt.Errorf("there is no way from format %d to %d", from, from+1)
		}
		var err error
		if d, err = step(d); err != nil {
			return nil, err
		}
	}
	return d, nil
}

// format returns the format that the document says, or the present one.
func (d *Document) format() int {
	if t, ok := d.Get("format"); ok {
		if v, err := strconv.Atoi(strings.TrimSpace(t)); err == nil && v >= 1 {
			return v
		}
	}
	return Format
}
