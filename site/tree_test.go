package site

import (
	"fmt"
	"math/rand"
	"os"
	"strings"
	"testing"

	"github.com/goccy/go-yaml/ast"
	yaml "github.com/goccy/go-yaml/parser"

	"stubup/base/diag"
)

// The tree is read by hand, so a general YAML library is the referee: where
// our reader finds nothing wrong, both have to read the same.

// ours prints a tree with every scalar in quotes.
func ours(n *node) string {
	if n == nil {
		return "null"
	}
	switch n.kind {
	case mapping:
		var out []string
		for _, e := range n.keys {
			out = append(out, fmt.Sprintf("%q: %s", e.key, ours(e.val)))
		}
		return "{" + strings.Join(out, ", ") + "}"
	case list:
		var out []string
		for _, c := range n.items {
			out = append(out, ours(c))
		}
		return "[" + strings.Join(out, ", ") + "]"
	case null:
		return "null"
	}
	if !n.quoted {
		switch strings.ToLower(n.text) {
		case "null", "~":
			return "null"
		}
	}
	return fmt.Sprintf("%q", n.text)
}

// theirs prints the referee's tree in the same way.
func theirs(n ast.Node) string {
	switch x := n.(type) {
	case nil:
		return "null"
	case *ast.MappingNode:
		var out []string
		for _, v := range x.Values {
			out = append(out, fmt.Sprintf("%q: %s", keyText(v.Key), theirs(v.Value)))
		}
		return "{" + strings.Join(out, ", ") + "}"
	case *ast.MappingValueNode:
		return fmt.Sprintf("{%q: %s}", keyText(x.Key), theirs(x.Value))
	case *ast.SequenceNode:
		var out []string
		for _, v := range x.Values {
			out = append(out, theirs(v))
		}
		return "[" + strings.Join(out, ", ") + "]"
	case *ast.NullNode:
		return "null"
	case *ast.StringNode:
		return fmt.Sprintf("%q", x.Value)
	case *ast.LiteralNode:
		return fmt.Sprintf("%q", x.Value.Value)
	case *ast.CommentGroupNode:
		return "null"
	}
	return fmt.Sprintf("%q", n.GetToken().Value)
}

func keyText(n ast.MapKeyNode) string {
	if s, ok := n.(*ast.StringNode); ok {
		return s.Value
	}
	return n.GetToken().Value
}

// agree reports whether both read the same, and whether the referee reads
// it at all.
func agree(src string) (a, b string, ok bool) {
	f, err := yaml.ParseBytes([]byte(src), 0)
	if err != nil || len(f.Docs) != 1 {
		return "", "", false
	}
	n, _ := parseTree("", newSource([]byte(src)))
	return ours(n), theirs(f.Docs[0].Body), true
}

func TestTreeAgreesWithALibraryParser(t *testing.T) {
	docs := append(pageDocuments(t), string(Starter()), string(compoundA(t).Src))
	docs = append(docs, strings.ReplaceAll(string(Starter()), "\n", "\r\n"))
	docs = append(docs,
		"a: b\n", "a:\n- 1\n- 2\nb: 3\n", "a:\n  - - 1\n    - 2\n  - - 3\n", "- a: 1\n  b: 2\n-\n  c: 3\n- 4\n",
		"a: 'it''s'\nb: \"x\\ty\\u00e9\\\"\"\n", "a: \"one\n  two\n\n  three\"\n", "a: one\n  two\n", "a: |\n  one\n   two\n\n  three\nb: 1\n", "a: |-\n  one\nb: 1\n",
		"a: {b: 1, c: [2, 3], d: {e: f}}\n", "a: [1, 2,\n    3, # note\n    4]\nb: 5\n", "a: [{b: c, d: e}, [f, g]]\n", "a:\n  b: # note\n    c: 1\n", "a: x#y\nb: x #y\n",
		"\"a b\": 1\n'c': 2\n", "a: http://x/y:z\n", "a: 2'-6 1/2\"\n", "a: -10..110 F\n", "---\na: 1\n", "a:\n  - b:\n      c\n  - d\n", "a: []\nb: {}\n", "a: ~\nb: null\nc:\n",
		"a: [b: 1, c]\n", "gates of: x\n")
	for _, src := range docs {
		_, faults := parseTree("", newSource([]byte(src)))
		a, b, ok := agree(src)
		if len(faults) > 0 {
			t.Errorf("%q: %v", src, faults)
			continue
		}
		if !ok {
			t.Errorf("the referee refuses %q", src)
		} else if a != b {
			t.Errorf("%q\nours   %s\ntheirs %s", src, a, b)
		}
	}
}

// lineEdits makes n random changes of bytes and lines.
func lineEdits(rng *rand.Rand, src string, n int) string {
	const alphabet = "ab01 -:#[]{},'\"|>&*!%@`\t\n\\?~.éx"
	letters := []rune(alphabet)
	for range n {
		if src == "" {
			return src
		}
		lines := strings.SplitAfter(src, "\n")
		i, j := rng.Intn(len(lines)), rng.Intn(len(lines))
		at := rng.Intn(len(src))
		switch rng.Intn(8) {
		case 0:
			lines = append(lines[:i:i], lines[i+1:]...)
			src = strings.Join(lines, "")
		case 1:
			lines[i], lines[j] = lines[j], lines[i]
			src = strings.Join(lines, "")
		case 2:
			lines[i] = strings.Repeat(" ", rng.Intn(4)) + lines[i]
			src = strings.Join(lines, "")
		case 3:
			lines[i] = strings.TrimPrefix(lines[i], " ")
			src = strings.Join(lines, "")
		case 4:
			lines[i] += lines[j]
			src = strings.Join(lines, "")
		case 5:
			src = src[:at] + string(letters[rng.Intn(len(letters))]) + src[at:]
		case 6:
			src = src[:at] + src[at+1:]
		case 7:
			src = src[:at] + string([]byte{byte(rng.Intn(256))}) + src[at+1:]
		}
	}
	return src
}

// Random changes of the example never stop the reader, and where it finds no
// fault of syntax the referee reads the same.
func TestRandomEditsOfTheExample(t *testing.T) {
	rng := rand.New(rand.NewSource(7))
	src, err := os.ReadFile("../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	both, differ := 0, 0
	for i := range 600 {
		text := lineEdits(rng, string(src), 1+i%5)
		d := Load("t.yaml", []byte(text))
		sound(t, d)
		bad := false
		for _, x := range d.Diags {
			bad = bad || isBroken(x.Code) || x.Code == diag.Twice
		}
		if bad || strings.Contains(text, "\t") {
			continue // the referee drops a tab inside a plain value, where YAML 1.2 keeps it
		}
		if a, b, ok := agree(text); ok {
			both++
			if a != b {
				differ++
				t.Errorf("edit %d reads differently:\n%s", i, firstDifference(a, b))
			}
		} else {
			t.Errorf("edit %d: the referee refuses what we read:\n%s\n%s", i, refusal(text), text)
		}
	}
	t.Logf("%d read by both, %d differ", both, differ)
	if both < 50 {
		t.Errorf("only %d of the edits are read by both", both)
	}
}

func refusal(text string) string {
	_, err := yaml.ParseBytes([]byte(text), 0)
	return fmt.Sprint(err)
}

func firstDifference(a, b string) string {
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	from := max(0, i-60)
	return fmt.Sprintf("ours   ..%s\ntheirs ..%s", a[from:min(len(a), i+60)], b[from:min(len(b), i+60)])
}

// What turns the order of reading (bidirectional overrides and isolates of the
// Unicode standard, annex 9) is in no text that is read, whether it stands
// there as it is or escaped; the bytes of the file stay.
func TestNoTextTurnsWhatIsReadBesideIt(t *testing.T) {
	src := "format: 1\nname: a\u202eb\u2066c\nrevision: \"d\\u202Ee\u2069f\"\nby: 'g\u202ah'\nobjects:\n  i\u202cj: {kind: bar, name: \"k\\u2067l\", lugs: [[1, 1]]}\n"
	d := Load("a.yaml", []byte(src))
	s := d.Site
	if len(s.Objects) != 1 {
		t.Fatalf("%d objects: %v", len(s.Objects), d.Diags)
	}
	for _, c := range []struct{ got, want string }{{s.Name, "abc"}, {s.Revision, "def"}, {s.By, "gh"}, {s.Objects[0].ID, "ij"}, {s.Objects[0].Name, "kl"}} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
	if string(d.Src) != src {
		t.Error("the bytes are changed")
	}
}
