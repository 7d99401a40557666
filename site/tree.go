package site

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"stubup/base/diag"
)

// Limits of a document. A compound needs a small part of any of them.
const (
	MaxBytes = 2 << 20
	MaxDepth = 64
	MaxKeys  = 2000
	MaxItems = 5000
)

type nodeKind int

const (
	scalar nodeKind = iota
	mapping
	list
	null
)

// node is one value of the syntax tree with the bytes it stands in.
type node struct {
	kind     nodeKind
	from, to int
	text     string // of a scalar, with quotes and escapes taken off
	raw      bool   // text is exactly the bytes from..to
	quoted   bool
	told     bool // a diag was given for it by the parser
	flow     bool // written in brackets
	indent   int  // column of the keys or dashes of a block map or list
	keys     []entry
	dups     []entry
	full     bool // more than MaxKeys keys were written
	index    map[string]int
	items    []*node
	dashes   []int // offset of the dash of each block item
}

// entry is one key of a map.
type entry struct {
	key            string
	from, to       int // of the key
	colon          int // offset after the colon
	val            *node
	quoted, inFlow bool
}

func (n *node) get(key string) (*entry, bool) {
	if n == nil || n.kind != mapping {
		return nil, false
	}
	i, ok := n.index[key]
	if !ok {
		return nil, false
	}
	return &n.keys[i], true
}

// The tree is of a plain part of YAML 1.2: block and bracketed maps and
// lists, plain and quoted scalars, block text and comments. Anchors, aliases,
// tags, directives, complex keys and further documents are refused. It is
// read here, line by line and in time linear in its length, since an edit has
// to know the bytes of every value and since a library parser takes seconds
// over a hostile file; a library parser is the referee in the tests.
type parser struct {
	*source
	file  string
	diags diag.List
	lines []line
	i     int // the line being read
	deep  bool
	total int
}

type line struct {
	from, to int // text without indent, trailing blanks and line ending
	indent   int
}

func (p *parser) fault(code diag.Code, from, to int, what, mend string) {
	if len(p.diags) >= maxDiags {
		return
	}
	p.diags.Add(diag.Diag{Code: code, File: p.file, Span: p.span("", from, to), What: what, Mend: mend})
}

// parseTree reads a document. It returns nil where there is nothing to read.
func parseTree(file string, s *source) (*node, diag.List) {
	p := &parser{source: s, file: file}
	start := 0
	if strings.HasPrefix(string(s.b[:min(3, len(s.b))]), "\xef\xbb\xbf") {
		start = 3
	}
	tabs, firstTab := 0, 0
	for i := range s.starts {
		from, end := max(s.starts[i], start), s.lineEnd(i)
		from = min(from, end)
		at := from
		tab := -1
		for at < end && (s.b[at] == ' ' || s.b[at] == '\t') {
			if s.b[at] == '\t' && tab < 0 {
				tab = at
			}
			at++
		}
		for end > at && (s.b[end-1] == ' ' || s.b[end-1] == '\t') {
			end--
		}
		if tab >= 0 && at < end && s.b[at] != '#' {
			if tabs == 0 {
				firstTab = tab
			}
			tabs++
		}
		p.lines = append(p.lines, line{at, end, at - from})
	}
	if tabs > 0 {
		p.fault(diag.Syntax, firstTab, firstTab+1, fmt.Sprintf("a tab is used to indent (%s in all)", count(tabs, "line")), "indent with spaces, two for each step")
	}
	l := p.peek()
	if l != nil && p.marker(l, "---") {
		if l.to-l.from > 3 {
			p.fault(diag.Syntax, l.from, l.to, "there is text after \"---\"", "put it on a line of its own")
		}
		p.i++
		l = p.peek()
	}
	if l == nil {
		return nil, p.diags
	}
	var n *node
	if !p.marker(l, "...") && !p.marker(l, "---") {
		n = p.block(-1, 0)
	}
	if l = p.peek(); l != nil {
		switch {
		case p.marker(l, "---"), p.marker(l, "..."):
			after := *l
			p.i++
			if p.peek() != nil {
				p.fault(diag.Syntax, after.from, after.to, "a second document begins here", "keep one site in one file; what follows is not read")
			}
		default:
			p.fault(diag.Syntax, l.from, l.to, quote(p.textOf(l))+" does not belong to what stands above it", "indent it like its neighbors; what follows is not read")
		}
	}
	return n, p.diags
}

func (p *parser) textOf(l *line) string { return string(p.b[l.from:l.to]) }

// peek returns the next line with something on it.
func (p *parser) peek() *line {
	for p.i < len(p.lines) {
		l := &p.lines[p.i]
		if l.from < l.to && p.b[l.from] != '#' {
			return l
		}
		p.i++
	}
	return nil
}

func (p *parser) marker(l *line, m string) bool {
	t := p.b[l.from:l.to]
	return l.indent == 0 && strings.HasPrefix(string(t[:min(len(t), 3)]), m) && (len(t) == 3 || t[3] == ' ' || t[3] == '\t')
}

func (p *parser) dash(l *line) bool {
	return p.b[l.from] == '-' && (l.from+1 == l.to || blank(p.b[l.from+1])) && !p.marker(l, "---")
}

func blank(c byte) bool { return c == ' ' || c == '\t' }

// skipOver leaves out the current line and all that stand deeper than indent.
func (p *parser) skipOver(indent int) {
	p.i++
	for l := p.peek(); l != nil && l.indent > indent; l = p.peek() {
		p.i++
	}
}

func (p *parser) tooDeep(from int, depth int) bool {
	if depth <= MaxDepth {
		return false
	}
	if !p.deep {
		p.deep = true
		p.fault(diag.TooBig, from, from+1, fmt.Sprintf("more than %d things stand inside one another here", MaxDepth), "take out the nesting; a site needs about six levels")
	}
	return true
}

// block reads the value that begins at the current line, which stands deeper
// than parent.
func (p *parser) block(parent, depth int) *node {
	l := p.peek()
	if p.tooDeep(l.from, depth) {
		at := l.from
		p.skipOver(parent)
		return &node{kind: null, from: at, to: at, told: true}
	}
	if p.dash(l) {
		return p.list(l.indent, depth)
	}
	if _, ok := p.keyAt(l); ok {
		return p.mapping(l.indent, depth)
	}
	return p.inline(l.from, parent, depth)
}

// keyAt finds a key at the beginning of a line.
func (p *parser) keyAt(l *line) (entry, bool) {
	var e entry
	c := p.b[l.from]
	switch c {
	case '[', '{', '|', '>', '&', '*', '!', '%', '@', '`', ']', '}', ',':
		return e, false
	case '"', '\'':
		end, ok := p.quoteEnd(l.from, l.to)
		if !ok {
			return e, false
		}
		at := end
		for at < l.to && blank(p.b[at]) {
			at++
		}
		if at < l.to && p.b[at] == ':' && (at+1 == l.to || blank(p.b[at+1])) {
			text, _ := p.unquote(l.from, end)
			return entry{key: text, from: l.from, to: end, colon: at + 1, quoted: true}, true
		}
		return e, false
	}
	for i := l.from; i < l.to; i++ {
		switch {
		case p.b[i] == '#' && i > l.from && blank(p.b[i-1]):
			return e, false
		case p.b[i] == ':' && (i+1 == l.to || blank(p.b[i+1])):
			end := i
			for end > l.from && blank(p.b[end-1]) {
				end--
			}
			return entry{key: p.valid(l.from, end), from: l.from, to: end, colon: i + 1}, true
		}
	}
	return e, false
}

func (p *parser) mapping(indent, depth int) *node {
	n := &node{kind: mapping, indent: indent, index: map[string]int{}, from: p.peek().from, to: p.peek().from}
	for {
		l := p.peek()
		if l == nil || l.indent < indent || p.marker(l, "---") || p.marker(l, "...") {
			break
		}
		if l.indent > indent {
			p.stray(l, indent)
			continue
		}
		if p.dash(l) {
			p.fault(diag.Syntax, l.from, l.to, "a list item stands among keys", "give it a key of its own, or indent it under the key it belongs to")
			p.skipOver(indent)
			continue
		}
		if p.b[l.from] == '?' && (l.from+1 == l.to || blank(p.b[l.from+1])) {
			p.fault(diag.Syntax, l.from, l.to, "a key that begins with \"? \" is not taken", "write the key, a colon and its value on one line")
			p.skipOver(indent)
			continue
		}
		e, ok := p.keyAt(l)
		if !ok {
			p.noKey(l)
			p.skipOver(indent)
			continue
		}
		if e.key == "" && !e.quoted {
			p.fault(diag.Syntax, l.from, l.from+1, "there is no key before this colon", "write a key, or take the colon away")
			p.skipOver(indent)
			continue
		}
		rest := e.colon
		for rest < l.to && blank(p.b[rest]) {
			rest++
		}
		if rest == l.to || p.b[rest] == '#' {
			p.i++
			nx := p.peek()
			switch {
			case nx != nil && nx.indent > indent:
				e.val = p.block(indent, depth+1)
			case nx != nil && nx.indent == indent && p.dash(nx):
				e.val = p.list(indent, depth+1)
			default:
				e.val = &node{kind: null, from: e.colon, to: e.colon}
			}
		} else {
			e.val = p.inline(rest, indent, depth+1)
		}
		p.addKey(n, e)
		n.to = max(n.to, e.val.to)
	}
	return n
}

func (p *parser) addKey(n *node, e entry) {
	if _, twice := n.index[e.key]; twice {
		if len(n.dups) < maxDiags {
			n.dups = append(n.dups, e)
		}
		return
	}
	if len(n.keys) == MaxKeys {
		if !n.full {
			n.full = true
			p.fault(diag.TooBig, e.from, e.to, fmt.Sprintf("one map has more than %d keys", MaxKeys), "split the site, or take out what a program wrote by mistake; the rest of this map is not read")
		}
		return
	}
	n.index[e.key] = len(n.keys)
	n.keys = append(n.keys, e)
}

func (p *parser) noKey(l *line) {
	text := p.textOf(l)
	switch p.b[l.from] {
	case '&', '*', '!':
		p.alias(l.from)
		return
	case '%':
		p.fault(diag.Syntax, l.from, l.to, "a line that begins with \"%\" is not taken", "take it out")
		return
	}
	if i := strings.IndexByte(text, ':'); i > 0 && text[0] != '"' && text[0] != '\'' && text[0] != '[' && text[0] != '{' {
		p.fault(diag.Syntax, l.from+i, l.from+i+1, quote(text)+" has no space after its colon", "write "+quote(clip(text[:i])+": "+clip(text[i+1:])))
		return
	}
	p.fault(diag.Syntax, l.from, l.to, quote(text)+" has no colon", "write a key, a colon, a space and a value, or begin the line with \"#\" for a note")
}

// stray reports lines that stand deeper than their neighbours and leaves them
// out.
func (p *parser) stray(l *line, indent int) {
	if p.b[l.from] == '&' || p.b[l.from] == '*' || p.b[l.from] == '!' {
		p.alias(l.from)
	} else {
		p.fault(diag.Syntax, l.from, l.to, fmt.Sprintf("%s is indented by %d, its neighbors by %d", quote(p.textOf(l)), l.indent, indent),
			fmt.Sprintf("indent it by %d, or put it under a key that has no value yet", indent))
	}
	p.skipOver(indent)
}

func (p *parser) alias(at int) int {
	l := p.lines[p.i]
	end := at + 1
	for end < l.to && !blank(p.b[end]) && !strings.ContainsRune(",[]{}", rune(p.b[end])) {
		end++
	}
	kind := map[byte]string{'&': "an anchor", '*': "an alias", '!': "a tag"}[p.b[at]]
	p.fault(diag.Alias, at, end, fmt.Sprintf("%s is %s, which is not taken", quote(string(p.b[at:end])), kind), "write the value out where it is wanted, or put it in quotes if it is text")
	return end
}

func (p *parser) list(indent, depth int) *node {
	n := &node{kind: list, indent: indent, from: p.peek().from, to: p.peek().from}
	if p.tooDeep(n.from, depth) {
		p.skipOver(indent - 1)
		n.kind, n.to, n.told = null, n.from, true
		return n
	}
	said := false
	for {
		l := p.peek()
		if l == nil || l.indent < indent || p.marker(l, "---") || p.marker(l, "...") {
			break
		}
		if l.indent > indent {
			p.stray(l, indent)
			continue
		}
		if !p.dash(l) {
			break
		}
		dash := l.from
		at := dash + 1
		for at < l.to && blank(p.b[at]) {
			at++
		}
		var v *node
		if at == l.to || p.b[at] == '#' {
			p.i++
			if nx := p.peek(); nx != nil && nx.indent > indent {
				v = p.block(indent, depth+1)
			} else {
				v = &node{kind: null, from: dash + 1, to: dash + 1}
			}
		} else {
			// The line goes on as if it began after the dash.
			l.indent += at - l.from
			l.from = at
			v = p.block(indent, depth+1)
		}
		n.to = max(n.to, v.to, dash+1)
		if len(n.items) == MaxItems {
			if !said {
				said = true
				p.fault(diag.TooBig, dash, dash+1, fmt.Sprintf("one list has more than %d entries", MaxItems), "take out what a program wrote by mistake; the rest of this list is not read")
			}
			continue
		}
		n.items = append(n.items, v)
		n.dashes = append(n.dashes, dash)
	}
	return n
}

// inline reads a value that begins within the current line.
func (p *parser) inline(at, parent, depth int) *node {
	l := &p.lines[p.i]
	none := func() *node { return &node{kind: null, from: at, to: at, told: true} }
	if p.tooDeep(at, depth) {
		p.skipOver(parent)
		return none()
	}
	switch c := p.b[at]; c {
	case '[', '{':
		n, end, ok := p.flow(at, parent, depth)
		if ok {
			p.trailing(end, parent)
		}
		return n
	case '"', '\'':
		n, end, ok := p.quoted(at, parent)
		if ok {
			p.trailing(end, parent)
		}
		return n
	case '|', '>':
		return p.text(at, parent)
	case '&', '*', '!':
		end := p.alias(at)
		for end < l.to && blank(p.b[end]) {
			end++
		}
		if c == '*' || end >= l.to {
			p.i++
			if nx := p.peek(); nx != nil && nx.indent > parent {
				if c == '*' {
					p.i--
					p.skipOver(parent)
				} else {
					return p.block(parent, depth+1)
				}
			}
			return none()
		}
		// A run of them is left out as a whole.
		for end < l.to && strings.IndexByte("&*!", p.b[end]) >= 0 {
			for end < l.to && !blank(p.b[end]) {
				end++
			}
			for end < l.to && blank(p.b[end]) {
				end++
			}
		}
		if end >= l.to {
			p.i++
			return none()
		}
		return p.inline(end, parent, depth+1)
	case '%', '@', '`', ']', '}', ',':
		p.fault(diag.Syntax, at, at+1, fmt.Sprintf("a value cannot begin with %q", string(c)), "put the value in quotes")
		p.skipOver(parent)
		return none()
	case '-', '?', ':':
		if at+1 == l.to || blank(p.b[at+1]) {
			mend := "put the value in quotes"
			if c == '-' {
				mend = "begin the list on the next line, or put the value in quotes"
			}
			p.fault(diag.Syntax, at, at+1, fmt.Sprintf("a value cannot begin with %q", string(c)), mend)
			p.skipOver(parent)
			return none()
		}
	}
	return p.plain(at, parent)
}

// trailing checks that nothing but a note follows a value on its line, and
// goes on to the next.
func (p *parser) trailing(end, parent int) {
	l := p.lines[p.i]
	at := end
	for at < l.to && blank(p.b[at]) {
		at++
	}
	if at < l.to && !(p.b[at] == '#' && at > end) {
		p.fault(diag.Syntax, at, l.to, quote(string(p.b[at:l.to]))+" follows a value that has ended", "put the whole value in quotes, or begin a note with \" #\"")
	}
	p.i++
}

// plain reads a scalar without quotes. It may go on over deeper lines.
func (p *parser) plain(at, parent int) *node {
	l := p.lines[p.i]
	end := p.plainEnd(at, l.to)
	n := &node{kind: scalar, from: at, to: end, text: p.valid(at, end), raw: true}
	if i := colonIn(p.b[at:end]); i >= 0 {
		p.fault(diag.Syntax, at+i, at+i+1, "there are two colons in one line", "begin a new line for the second key, or put the value in quotes")
	}
	noted := end < l.to
	p.i++
	var more []string
	for p.i < len(p.lines) {
		k := &p.lines[p.i]
		if k.from == k.to || p.b[k.from] == '#' || noted {
			// A blank line or a note ends it; what is deeper is astray.
			if nx := p.peek(); nx != nil && nx.indent > parent {
				p.stray(nx, max(parent, 0))
			}
			break
		}
		if k.indent <= parent || p.marker(k, "---") || p.marker(k, "...") {
			break
		}
		if _, ok := p.keyAt(k); ok || p.dash(k) {
			p.fault(diag.Syntax, k.from, k.to, fmt.Sprintf("%s is indented under %s, which has a value already", quote(p.textOf(k)), quote(n.text)),
				"indent it like the line above, or take the value above away")
			p.i--
			p.skipOver(parent)
			break
		}
		e := p.plainEnd(k.from, k.to)
		if i := colonIn(p.b[k.from:e]); i >= 0 {
			p.fault(diag.Syntax, k.from+i, k.from+i+1, "a colon stands inside a value", "put the whole value in quotes")
		}
		noted = e < k.to
		more = append(more, p.valid(k.from, e))
		n.to, n.raw = e, false
		p.i++
	}
	if more != nil {
		n.text += " " + strings.Join(more, " ")
	}
	return n
}

func (p *parser) plainEnd(at, to int) int {
	for i := at; i < to; i++ {
		if p.b[i] == '#' && i > at && blank(p.b[i-1]) {
			to = i
			break
		}
	}
	for to > at && blank(p.b[to-1]) {
		to--
	}
	return to
}

func colonIn(b []byte) int {
	for i, c := range b {
		if c == ':' && (i+1 == len(b) || blank(b[i+1])) {
			return i
		}
	}
	return -1
}

func (p *parser) valid(from, to int) string {
	return upright(string(p.b[from:to]))
}

// quoteEnd finds the end of a quoted scalar that begins at from.
func (p *parser) quoteEnd(from, to int) (int, bool) {
	q := p.b[from]
	for i := from + 1; i < to; i++ {
		switch {
		case q == '"' && p.b[i] == '\\':
			i++
		case p.b[i] == q:
			if q == '\'' && i+1 < to && p.b[i+1] == '\'' {
				i++
				continue
			}
			return i + 1, true
		}
	}
	return to, false
}

// quoted reads a quoted scalar, which may go on over deeper lines. ok is
// false where it is not closed; the lines it may have meant are left out.
func (p *parser) quoted(at, parent int) (n *node, end int, ok bool) {
	l := p.lines[p.i]
	last := p.i
	end, ok = p.quoteEnd(at, l.to)
	if !ok {
		for last+1 < len(p.lines) && !ok {
			k := p.lines[last+1]
			if k.from < k.to && (k.indent <= parent || p.marker(&k, "---") || p.marker(&k, "...")) {
				break
			}
			last++
		}
		end, ok = p.quoteEnd(at, p.lines[last].to)
	}
	if !ok {
		p.fault(diag.Syntax, at, l.to, "a quotation mark is opened here and not closed", fmt.Sprintf("close it with %s, or take it away", string(p.b[at])))
		p.skipOver(parent)
		return &node{kind: scalar, from: at, to: l.to, text: p.valid(min(at+1, l.to), l.to), quoted: true}, l.to, false
	}
	for p.i < last && p.lines[p.i].to < end {
		p.i++
	}
	text, fine := p.unquote(at, end)
	if !fine {
		p.fault(diag.Syntax, at, end, "a backslash here stands before a letter that means nothing", "write two backslashes for one, or use single quotation marks")
	}
	return &node{kind: scalar, from: at, to: end, text: text, quoted: true}, end, true
}

// unquote returns the text of the quoted scalar at from..to.
func (p *parser) unquote(from, to int) (string, bool) {
	q, s := p.b[from], string(p.b[from+1:max(from+1, to-1)])
	if strings.Contains(s, "\n") {
		s = fold(s, q == '"')
	}
	if q == '\'' {
		return upright(strings.ReplaceAll(s, "''", "'")), true
	}
	if !strings.Contains(s, `\`) {
		return upright(s), true
	}
	ok := true
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] != '\\' || i+1 == len(s) {
			b.WriteByte(s[i])
			continue
		}
		i++
		switch c := s[i]; c {
		case '"', '\\', '/', ' ', '\t':
			b.WriteByte(c)
		case '0':
			b.WriteByte(0)
		case 'a':
			b.WriteByte('\a')
		case 'b':
			b.WriteByte('\b')
		case 'e':
			b.WriteByte(0x1b)
		case 'f':
			b.WriteByte('\f')
		case 'n':
			b.WriteByte('\n')
		case 'r':
			b.WriteByte('\r')
		case 't':
			b.WriteByte('\t')
		case 'v':
			b.WriteByte('\v')
		case 'N':
			b.WriteRune(0x85)
		case '_':
			b.WriteRune(0xa0)
		case 'L':
			b.WriteRune(0x2028)
		case 'P':
			b.WriteRune(0x2029)
		case 'x', 'u', 'U':
			w := map[byte]int{'x': 2, 'u': 4, 'U': 8}[c]
			v, err := strconv.ParseUint(s[i+1:min(len(s), i+1+w)], 16, 32)
			if i+1+w > len(s) || err != nil || !utf8.ValidRune(rune(v)) {
				ok = false
				continue
			}
			b.WriteRune(rune(v))
			i += w
		default:
			ok = false
			b.WriteByte(c)
		}
	}
	return upright(b.String()), ok
}

// upright is s as UTF-8 without the signs that turn the order of what is read:
// a figure beside a name would stand there backward, on every page and paper.
// They have no shape of their own, and in the file they stay.
func upright(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= 0x202A && r <= 0x202E || r >= 0x2066 && r <= 0x2069 {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
}

// fold joins the lines of a quoted scalar: a line break is a space, a blank
// line is a line break; an escaped line break is nothing.
func fold(s string, double bool) string {
	var b strings.Builder
	lines := strings.Split(strings.ReplaceAll(s, "\r\n", "\n"), "\n")
	pending := 0
	for i, l := range lines {
		if i > 0 {
			l = strings.TrimLeft(l, " \t")
		}
		if i < len(lines)-1 {
			l = strings.TrimRight(l, " \t")
		}
		if i > 0 {
			if l == "" && i < len(lines)-1 {
				pending++
				continue
			}
			t := b.String()
			switch {
			case double && strings.HasSuffix(t, `\`) && !strings.HasSuffix(t, `\\`) && pending == 0:
				b.Reset()
				b.WriteString(t[:len(t)-1])
			case pending > 0:
				b.WriteString(strings.Repeat("\n", pending))
			default:
				b.WriteByte(' ')
			}
			pending = 0
		}
		b.WriteString(l)
	}
	return b.String()
}

// text reads block text, "|" or ">".
func (p *parser) text(at, parent int) *node {
	l := p.lines[p.i]
	head := string(p.b[at:p.plainEnd(at, l.to)])
	style, chomp := head[0], head[1:]
	if chomp != "" && chomp != "-" {
		p.fault(diag.Syntax, at, l.to, quote(head)+" is not a way to begin block text", "write \"|\" or \">\" alone and the text on the lines below")
		p.skipOver(parent)
		return &node{kind: null, from: at, to: at, told: true}
	}
	n := &node{kind: scalar, from: at, to: at + len(head), quoted: true}
	p.i++
	var rows []string
	ind := -1
	for p.i < len(p.lines) {
		k := p.lines[p.i]
		if k.from == k.to {
			rows = append(rows, "")
			p.i++
			continue
		}
		if k.indent <= parent {
			break
		}
		if ind < 0 {
			ind = k.indent
		}
		if k.indent < ind {
			p.fault(diag.Syntax, k.from, k.to, quote(p.textOf(&k))+" is indented less than the text it belongs to", "indent all the lines of a text alike")
		}
		start := p.starts[p.i] + min(ind, k.indent)
		rows = append(rows, p.valid(min(start, k.from), p.lineEnd(p.i)))
		n.to = k.to
		p.i++
	}
	for len(rows) > 0 && rows[len(rows)-1] == "" {
		rows = rows[:len(rows)-1]
	}
	if style == '|' {
		n.text = strings.Join(rows, "\n")
	} else {
		n.text = fold(strings.Join(rows, "\n"), false)
	}
	if chomp == "" && len(rows) > 0 && n.to < len(p.b) {
		n.text += "\n"
	}
	return n
}

// flowReader reads bracketed values from the current line on.
type flowReader struct {
	p      *parser
	at     int
	parent int
	broken bool // a line came that cannot belong to the brackets
	said   bool
}

// flow reads a bracketed value at from. ok is false where it is not closed.
func (p *parser) flow(from, parent, depth int) (n *node, end int, ok bool) {
	f := &flowReader{p: p, at: from, parent: parent}
	n = f.value(depth)
	if f.broken {
		if !f.said {
			p.fault(diag.Syntax, from, from+1, fmt.Sprintf("%q is opened here and not closed", string(p.b[from])),
				fmt.Sprintf("close it with %q", map[byte]string{'[': "]", '{': "}"}[p.b[from]]))
		}
		return n, f.at, false
	}
	return n, f.at, true
}

// skip passes over blanks, notes and line ends.
func (f *flowReader) skip() {
	p := f.p
	for !f.broken {
		l := &p.lines[p.i]
		for f.at < l.to && blank(p.b[f.at]) {
			f.at++
		}
		if f.at < l.to && !(p.b[f.at] == '#' && f.at > l.from-1 && (f.at == l.from || blank(p.b[f.at-1]))) {
			return
		}
		p.i++
		if p.i >= len(p.lines) {
			f.broken = true
			return
		}
		k := &p.lines[p.i]
		if k.from < k.to && p.b[k.from] != '#' {
			if c := p.b[k.from]; k.indent <= f.parent && c != ']' && c != '}' || p.marker(k, "---") {
				f.broken = true
				return
			}
		}
		f.at = k.from
	}
}

func (f *flowReader) peek() byte {
	f.skip()
	if f.broken {
		return 0
	}
	return f.p.b[f.at]
}

func (f *flowReader) value(depth int) *node {
	p := f.p
	c := f.peek()
	switch c {
	case 0:
		return &node{kind: null, from: f.at, to: f.at}
	case '[', '{':
		if p.tooDeep(f.at, depth) {
			at := f.at
			f.leaveOut()
			return &node{kind: null, from: at, to: at, told: true}
		}
		if c == '[' {
			return f.list(depth)
		}
		return f.mapping(depth)
	case '"', '\'':
		n, end, ok := p.quoted(f.at, f.parent)
		f.at = end
		if !ok {
			f.broken, f.said = true, true
		}
		return n
	case '&', '*', '!':
		at := f.at
		f.at = p.alias(at)
		if c == '*' {
			return &node{kind: null, from: at, to: at, told: true}
		}
		for k := f.peek(); k == '&' || k == '*' || k == '!'; k = f.peek() {
			if end := p.alias(f.at); end > f.at {
				f.at = end
			}
		}
		if k := f.peek(); k == ',' || k == ']' || k == '}' || k == 0 {
			return &node{kind: null, from: at, to: at, told: true}
		}
		return f.value(depth + 1)
	case '%', '@', '`', '|', '>', '#':
		p.fault(diag.Syntax, f.at, f.at+1, fmt.Sprintf("a value cannot begin with %q", string(c)), "put the value in quotes")
	}
	l := p.lines[p.i]
	from := f.at
	end := from
	if (c == '-' || c == '?') && (from+1 == l.to || blank(p.b[from+1]) || strings.IndexByte(",[]{}", p.b[from+1]) >= 0) {
		p.fault(diag.Syntax, from, from+1, fmt.Sprintf("a value cannot begin with %q", string(c)), "put the value in quotes")
	}
	for end < l.to {
		c := p.b[end]
		if strings.IndexByte(",[]{}", c) >= 0 ||
			c == ':' && (end+1 == l.to || blank(p.b[end+1]) || strings.IndexByte(",[]{}", p.b[end+1]) >= 0) ||
			c == '#' && end > from && blank(p.b[end-1]) {
			break
		}
		end++
	}
	f.at = end
	for end > from && blank(p.b[end-1]) {
		end--
	}
	if from == end {
		return &node{kind: null, from: from, to: from}
	}
	return &node{kind: scalar, from: from, to: end, text: p.valid(from, end), raw: true}
}

// leaveOut passes over a bracketed value without reading it.
func (f *flowReader) leaveOut() {
	open := 0
	for {
		switch c := f.peek(); c {
		case 0:
			return
		case '[', '{':
			open++
		case ']', '}':
			open--
		case '"', '\'':
			l := f.p.lines[f.p.i]
			end, _ := f.p.quoteEnd(f.at, l.to)
			f.at = end - 1
		}
		f.at++
		if open <= 0 {
			return
		}
	}
}

// closes ends a bracketed value; it reports whether the loop is over.
func (f *flowReader) next(n *node, end byte) bool {
	p := f.p
	for {
		switch c := f.peek(); c {
		case 0:
			n.to = max(n.from+1, min(f.at, p.lineEnd(p.lineOf(n.from))))
			return true
		case ',':
			f.at++
			if f.peek() == end {
				f.at++
				n.to = f.at
				return true
			}
			return false
		case ']', '}':
			if c != end {
				p.fault(diag.Syntax, f.at, f.at+1, fmt.Sprintf("%q closes what %q opened", string(c), string(p.b[n.from])), fmt.Sprintf("write %q", string(end)))
			}
			f.at++
			n.to = f.at
			return true
		default:
			if !f.said {
				f.said = true
				p.fault(diag.Syntax, f.at, f.at+1, "a comma is missing here", fmt.Sprintf("write a comma between two entries, or close with %q", string(end)))
			}
			before := f.at
			f.value(MaxDepth + 1)
			if f.at == before {
				f.at++
			}
		}
	}
}

func (f *flowReader) list(depth int) *node {
	p := f.p
	n := &node{kind: list, flow: true, from: f.at}
	f.at++
	if f.peek() == ']' {
		f.at++
		n.to = f.at
		return n
	}
	for {
		at := f.at
		var v *node
		if c := f.peek(); c == ',' {
			p.fault(diag.Syntax, f.at, f.at+1, "there is nothing before this comma", "take one comma away")
			v = &node{kind: null, from: at, to: at, told: true}
		} else {
			v = f.value(depth + 1)
			if v.kind == null && f.peek() == ':' {
				p.fault(diag.Syntax, f.at, f.at+1, "there is no key before this colon", "write a key, or take the colon away")
			}
			if f.colon(v.quoted) {
				// "[a: b]" is a map of one key.
				e := entry{key: v.text, from: v.from, to: v.to, colon: f.at, quoted: v.quoted, inFlow: true}
				e.val = f.after(depth + 2)
				v = &node{kind: mapping, flow: true, from: e.from, to: max(e.colon, e.val.to), index: map[string]int{}}
				p.addKey(v, e)
			}
		}
		if len(n.items) < MaxItems {
			n.items = append(n.items, v)
		} else if len(n.items) == MaxItems && p.total == 0 {
			p.total++
			p.fault(diag.TooBig, v.from, v.from+1, fmt.Sprintf("one list has more than %d entries", MaxItems), "take out what a program wrote by mistake; the rest of this list is not read")
		}
		if f.next(n, ']') {
			return n
		}
	}
}

// colon takes a colon that follows a key in brackets.
func (f *flowReader) colon(quoted bool) bool {
	if f.peek() != ':' {
		return false
	}
	p := f.p
	l := p.lines[p.i]
	if quoted || f.at+1 >= l.to || blank(p.b[f.at+1]) || strings.IndexByte(",[]{}", p.b[f.at+1]) >= 0 {
		f.at++
		return true
	}
	return false
}

// after reads the value after a colon in brackets; it may be empty.
func (f *flowReader) after(depth int) *node {
	at := f.at
	switch f.peek() {
	case ',', ']', '}', 0:
		return &node{kind: null, from: at, to: at}
	}
	return f.value(depth)
}

func (f *flowReader) mapping(depth int) *node {
	p := f.p
	n := &node{kind: mapping, flow: true, from: f.at, index: map[string]int{}}
	f.at++
	if f.peek() == '}' {
		f.at++
		n.to = f.at
		return n
	}
	for {
		c := f.peek()
		if c == ',' {
			p.fault(diag.Syntax, f.at, f.at+1, "there is nothing before this comma", "take one comma away")
		} else if c != 0 {
			k := f.value(depth + 1)
			if k.kind != scalar {
				if !f.broken {
					p.fault(diag.Syntax, k.from, max(k.to, k.from+1), "a key is wanted here", "write \"key: value\"")
				}
			}
			e := entry{key: k.text, from: k.from, to: k.to, colon: k.to, quoted: k.quoted, inFlow: true}
			if f.colon(k.quoted) {
				e.colon = f.at
				e.val = f.after(depth + 1)
			} else {
				if !f.broken && k.kind == scalar {
					p.fault(diag.Syntax, k.from, k.to, quote(k.text)+" has no colon and no value", "write \""+clip(k.text)+": value\"")
				}
				e.val = &node{kind: null, from: k.to, to: k.to, told: true}
			}
			if k.kind == scalar {
				p.addKey(n, e)
			}
		}
		if f.next(n, '}') {
			return n
		}
	}
}

// clip shortens text for a message.
func clip(s string) string {
	s = strings.ToValidUTF8(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s), "\uFFFD")
	if utf8.RuneCountInString(s) <= 60 {
		return s
	}
	return string([]rune(s)[:57]) + "..."
}

func quote(s string) string { return `"` + clip(s) + `"` }

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}
