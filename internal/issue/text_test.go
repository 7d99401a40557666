package issue_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"stubup/internal/issue"
)

// broken are texts that would break out of what holds them: of XML, of a PDF
// string, of a line, of a terminal.
var broken = []string{
	"<script>alert(1)</script> %s", `"><svg onload="alert(1)"/> %s`, "</text></svg> %s", "]]>%s<!--", "&lt;%s&amp;&#x41;", "<?xml version='1.0'?>%s<!DOCTYPE a [<!ENTITY b SYSTEM 'file:///etc/passwd'>]>",
	"%s) Tj /URI (x", `\%s\)\(`, "%s >> endobj", "red \x1b[31m%s\x1b]0;x\x07", "%s\nsecond line", "%s\r\nerror: no", "\u202e%s\u2066", "a\u200b%s\ufeff", "\u0085%s\u2028", "%s" + strings.Repeat("long ", 40), "💥%s é ﬁ",
}

// An SVG of the hostile site has no element or attribute that one of the plain
// site has not, and reads as XML.
func TestTextStaysTextInDrawings(t *testing.T) {
	made := func(src []byte) (kinds map[string]bool, all string, n int) {
		kinds = map[string]bool{}
		r := evaluate(t, src)
		for _, v := range issue.Verbs {
			s, ok := issue.Of(r, v)
			if !ok {
				continue
			}
			for _, f := range s.Files {
				if f.Type != "image/svg+xml" {
					continue
				}
				var b bytes.Buffer
				if err := f.Write(&b); err != nil {
					t.Fatal(err)
				}
				n++
				d := xml.NewDecoder(&b)
				for {
					tok, err := d.Token()
					if errors.Is(err, io.EOF) {
						break
					}
					if err != nil {
						t.Fatalf("%s is no XML: %v", f.Name, err)
					}
					switch x := tok.(type) {
					case xml.StartElement:
						kinds[x.Name.Local] = true
						for _, a := range x.Attr {
							kinds[x.Name.Local+" "+a.Name.Local] = true
						}
					case xml.CharData:
						all += string(x) + "\n"
					case xml.Comment, xml.Directive:
						t.Errorf("%s holds %T", f.Name, tok)
					case xml.ProcInst:
						if x.Target != "xml" {
							t.Errorf("%s holds an instruction %s", f.Name, x.Target)
						}
					}
				}
			}
		}
		return kinds, all, n
	}
	src := read(t, "testdata/free.yaml")
	for i := range fields {
		src = strings.ReplaceAll(src, mark(i), told(i))
	}
	plain, _, _ := made([]byte(src))
	seen := 0
	for from := range 4 {
		kinds, all, n := made(hostileSite(t, from*5))
		if n < 3 {
			t.Fatalf("%d drawings", n)
		}
		for k := range kinds {
			if !plain[k] {
				t.Errorf("from %d: <%s> is in the drawings of a hostile site alone", from*5, k)
			}
		}
		for i := range fields {
			if strings.Contains(all, told(i)) {
				seen++
			}
		}
	}
	if seen < 10 {
		t.Errorf("only %d texts came into a drawing", seen)
	}
}

func hostileSite(t *testing.T, from int) []byte {
	src := read(t, "testdata/free.yaml")
	for i := range fields {
		src = strings.ReplaceAll(src, mark(i), strconv.Quote(fmt.Sprintf(broken[(from+i)%len(broken)], told(i))))
	}
	return []byte(src)
}

// The package of a hostile site is a PDF without actions, links out or scripts,
// whole, with the texts in it.
func TestTextStaysTextInThePackage(t *testing.T) {
	for from := range 3 {
		s, ok := issue.Of(evaluate(t, hostileSite(t, from*6)), "handover")
		if !ok {
			t.Fatal("no package")
		}
		var b bytes.Buffer
		if err := s.Files[0].Write(&b); err != nil {
			t.Fatal(err)
		}
		// Pages and text lie packed in streams; what a reader would act on does not.
		if m := regexp.MustCompile(`/(URI|JS|JavaScript|Launch|SubmitForm|GoToR|RichMedia|OpenAction)\b`).FindAll(b.Bytes(), -1); m != nil {
			t.Errorf("from %d: the package holds %q", from*6, m)
		}
		if _, err := exec.LookPath("pdftotext"); err != nil {
			t.Skip("not proven here: pdftotext")
		}
		path := filepath.Join(t.TempDir(), "handover.pdf")
		if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command("pdftotext", "-layout", path, "-")
		var wrong bytes.Buffer
		cmd.Stderr = &wrong
		out, err := cmd.Output()
		if err != nil || wrong.Len() > 0 {
			t.Errorf("from %d: %v %s", from*6, err, wrong.String())
		}
		for _, c := range []string{"\x1b", "\x07", "\u202e", "\u2066"} {
			if bytes.Contains(out, []byte(c)) {
				t.Errorf("from %d: the package holds %q", from*6, c)
			}
		}
		n := 0
		for i := range fields {
			if bytes.Contains(out, []byte(told(i))) {
				n++
			}
		}
		if n < 18 {
			t.Errorf("from %d: only %d of %d texts stand in the package", from*6, n, len(fields))
		}
	}
}
