// Package jot writes and reads the JSON that crosses the border between page
// and engine, as encoding/json does, for the shapes that cross it: structs with
// tags, embedded structs, slices, arrays, maps by text, pointers, numbers,
// truth and text. The standard library does the same and more, and is 0.11 MB
// of what a phone has to fetch; the command and the server use that.
package jot

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"unicode/utf8"

	"stubup/base/stable"
)

// Raw is JSON that is written as it is.
type Raw []byte

// Write returns v as JSON. It fails for a number that is none, and for kinds
// that do not cross the border.
func Write(v any) ([]byte, error) {
	w := writer{}
	w.value(reflect.ValueOf(v))
	return w.b, w.err
}

type writer struct {
	b   []byte
	err error
}

var rawType = reflect.TypeFor[Raw]()

func (w *writer) value(v reflect.Value) {
	if !v.IsValid() {
		w.b = append(w.b, "null"...)
		return
	}
	switch v.Kind() {
	case reflect.Interface, reflect.Pointer:
		if v.IsNil() {
			w.b = append(w.b, "null"...)
			return
		}
		w.value(v.Elem())
	case reflect.String:
		w.b = Text(w.b, v.String())
	case reflect.Bool:
		w.b = strconv.AppendBool(w.b, v.Bool())
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		w.b = strconv.AppendInt(w.b, v.Int(), 10)
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		w.b = strconv.AppendUint(w.b, v.Uint(), 10)
	case reflect.Float32, reflect.Float64:
		w.number(v.Float())
	case reflect.Slice, reflect.Array:
		if v.Kind() == reflect.Slice && v.IsNil() {
			w.b = append(w.b, "null"...)
			return
		}
		if v.Type() == rawType {
			w.b = append(w.b, v.Bytes()...)
			return
		}
		w.b = append(w.b, '[')
		for i := range v.Len() {
			if i > 0 {
				w.b = append(w.b, ',')
			}
			w.value(v.Index(i))
		}
		w.b = append(w.b, ']')
	case reflect.Map:
		if v.IsNil() {
			w.b = append(w.b, "null"...)
			return
		}
		var keys []string
		for _, k := range v.MapKeys() {
			keys = append(keys, k.String())
		}
		stable.Ascend(keys)
		w.b = append(w.b, '{')
		for i, k := range keys {
			if i > 0 {
				w.b = append(w.b, ',')
			}
			w.b = append(Text(w.b, k), ':')
			w.value(v.MapIndex(reflect.ValueOf(k).Convert(v.Type().Key())))
		}
		w.b = append(w.b, '}')
	case reflect.Struct:
		w.b = append(w.b, '{')
		first := true
		w.fields(v, &first)
		w.b = append(w.b, '}')
	default:
		w.fail("a %s does not cross the border", v.Type())
	}
}

func (w *writer) fail(format string, args ...any) {
	if w.err == nil {
		w.err = fmt.Errorf("jot: "+format, args...)
	}
}

func (w *writer) fields(v reflect.Value, first *bool) {
	t := v.Type()
	for i := range t.NumField() {
		f := t.Field(i)
		name, omit := nameOf(f)
		if f.Anonymous && name == f.Name {
			w.fields(v.Field(i), first)
			continue
		}
		if !f.IsExported() || name == "-" || omit && empty(v.Field(i)) {
			continue
		}
		if !*first {
			w.b = append(w.b, ',')
		}
		*first = false
		w.b = append(Text(w.b, name), ':')
		w.value(v.Field(i))
	}
}

func nameOf(f reflect.StructField) (name string, omit bool) {
	name, rest, _ := strings.Cut(f.Tag.Get("json"), ",")
	if name == "" {
		name = f.Name
	}
	return name, rest == "omitempty"
}

func empty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Slice, reflect.Map, reflect.String, reflect.Array:
		return v.Len() == 0
	case reflect.Struct:
		return false
	}
	return v.IsZero()
}

func (w *writer) number(f float64) {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		w.fail("%v is no number of JSON", f)
		return
	}
	form := byte('f')
	if a := math.Abs(f); a != 0 && (a < 1e-6 || a >= 1e21) {
		form = 'e'
	}
	w.b = strconv.AppendFloat(w.b, f, form, -1, 64)
	if n := len(w.b); form == 'e' && n >= 4 && w.b[n-4] == 'e' && w.b[n-3] == '-' && w.b[n-2] == '0' {
		w.b[n-2] = w.b[n-1] // 1e-07 is written 1e-7
		w.b = w.b[:n-1]
	}
}

// Text appends s as a JSON text.
func Text(b []byte, s string) []byte {
	const hex = "0123456789abcdef"
	b = append(b, '"')
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && n == 1:
			b = append(b, `\ufffd`...)
		case r == '"' || r == '\\':
			b = append(b, '\\', byte(r))
		case r < ' ' && strings.ContainsRune("\b\f\n\r\t", r):
			b = append(b, '\\', "bfnrt"[strings.IndexRune("\b\f\n\r\t", r)])
		case r < ' ', r == '<', r == '>', r == '&':
			b = append(b, '\\', 'u', '0', '0', hex[r>>4], hex[r&15])
		case r == 0x2028 || r == 0x2029:
			b = append(b, '\\', 'u', '2', '0', '2', hex[r&15])
		default:
			b = append(b, s[i:i+n]...)
		}
		i += n
	}
	return append(b, '"')
}

// Read puts JSON into what v points to. Members that v has no place for are
// passed over; a member of another kind is a fault.
func Read(b []byte, v any) error {
	r := reader{s: string(b)}
	p := reflect.ValueOf(v)
	if p.Kind() != reflect.Pointer || p.IsNil() {
		return errors.New("jot: nothing to read into")
	}
	if err := r.value(p.Elem(), 0); err != nil {
		return err
	}
	if r.space(); r.at < len(r.s) {
		return r.fault("something stands after the value")
	}
	return nil
}

type reader struct {
	s  string
	at int
}

func (r *reader) fault(what string) error { return fmt.Errorf("jot: at byte %d: %s", r.at, what) }

func (r *reader) space() {
	for r.at < len(r.s) && strings.IndexByte(" \t\r\n", r.s[r.at]) >= 0 {
		r.at++
	}
}

func (r *reader) take(c byte) bool {
	r.space()
	if r.at < len(r.s) && r.s[r.at] == c {
		r.at++
		return true
	}
	return false
}

// value reads one value into v, or over it where v is not valid.
func (r *reader) value(v reflect.Value, depth int) error {
	if depth > 64 {
		return r.fault("lists and maps lie too deep within each other")
	}
	r.space()
	if r.at >= len(r.s) {
		return r.fault("the text ends too early")
	}
	for v.IsValid() && v.Kind() == reflect.Pointer && r.s[r.at] != 'n' {
		if v.IsNil() {
			v.Set(reflect.New(v.Type().Elem()))
		}
		v = v.Elem()
	}
	switch c := r.s[r.at]; {
	case c == '{':
		return r.object(v, depth)
	case c == '[':
		return r.list(v, depth)
	case c == '"':
		s, err := r.text()
		if err != nil || !v.IsValid() {
			return err
		}
		if v.Kind() != reflect.String {
			return r.fault("a text stands where none is wanted")
		}
		v.SetString(s)
		return nil
	}
	from := r.at
	for r.at < len(r.s) && strings.IndexByte(" \t\r\n,]}:", r.s[r.at]) < 0 {
		r.at++
	}
	return r.word(r.s[from:r.at], v)
}

func (r *reader) word(s string, v reflect.Value) error {
	switch s {
	case "null":
		if v.IsValid() {
			v.SetZero()
		}
		return nil
	case "true", "false":
		if v.IsValid() {
			if v.Kind() != reflect.Bool {
				return r.fault(s + " stands where it is not wanted")
			}
			v.SetBool(s == "true")
		}
		return nil
	}
	if !isNumber(s) {
		return r.fault(strconv.Quote(s) + " is no value")
	}
	if !v.IsValid() {
		return nil
	}
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return r.fault(s + " is too large for a number")
	}
	switch v.Kind() {
	case reflect.Float64:
		v.SetFloat(f)
	case reflect.Int:
		n, err := strconv.Atoi(s)
		if err != nil {
			return r.fault(s + " is no whole number")
		}
		v.SetInt(int64(n))
	default:
		return r.fault("a number stands where none is wanted")
	}
	return nil
}

// isNumber reports whether s is written as JSON writes numbers (RFC 8259, 6).
func isNumber(s string) bool {
	digits := func() bool {
		n := 0
		for n < len(s) && s[n] >= '0' && s[n] <= '9' {
			n++
		}
		s = s[n:]
		return n > 0
	}
	s = strings.TrimPrefix(s, "-")
	if len(s) > 1 && s[0] == '0' && s[1] >= '0' && s[1] <= '9' || !digits() {
		return false
	}
	if rest, ok := strings.CutPrefix(s, "."); ok {
		if s = rest; !digits() {
			return false
		}
	}
	if s != "" && (s[0] == 'e' || s[0] == 'E') {
		s = s[1:]
		if s != "" && (s[0] == '+' || s[0] == '-') {
			s = s[1:]
		}
		if !digits() {
			return false
		}
	}
	return s == ""
}

func (r *reader) list(v reflect.Value, depth int) error {
	r.at++
	if v.IsValid() && v.Kind() != reflect.Slice && v.Kind() != reflect.Array {
		return r.fault("a list stands where none is wanted")
	}
	if v.IsValid() && v.Kind() == reflect.Slice {
		v.Set(reflect.MakeSlice(v.Type(), 0, 0))
	}
	for i := 0; ; i++ {
		if i == 0 && r.take(']') {
			return nil
		}
		var e reflect.Value
		switch {
		case !v.IsValid():
		case v.Kind() == reflect.Slice:
			v.Set(reflect.Append(v, reflect.Zero(v.Type().Elem())))
			e = v.Index(i)
		case i < v.Len():
			e = v.Index(i)
		}
		if err := r.value(e, depth+1); err != nil {
			return err
		}
		if r.take(']') {
			return nil
		}
		if !r.take(',') {
			return r.fault("a list goes on without a comma")
		}
	}
}

func (r *reader) object(v reflect.Value, depth int) error {
	r.at++
	if v.IsValid() && v.Kind() != reflect.Struct {
		return r.fault("a map stands where none is wanted")
	}
	for i := 0; ; i++ {
		if i == 0 && r.take('}') {
			return nil
		}
		r.space()
		if r.at >= len(r.s) || r.s[r.at] != '"' {
			return r.fault("a member has no name")
		}
		name, err := r.text()
		if err != nil {
			return err
		}
		if !r.take(':') {
			return r.fault("a member has no value")
		}
		var e reflect.Value
		if v.IsValid() {
			t := v.Type()
			for i := range t.NumField() {
				if n, _ := nameOf(t.Field(i)); strings.EqualFold(n, name) && t.Field(i).IsExported() {
					e = v.Field(i)
				}
			}
		}
		if err := r.value(e, depth+1); err != nil {
			return err
		}
		if r.take('}') {
			return nil
		}
		if !r.take(',') {
			return r.fault("a map goes on without a comma")
		}
	}
}

func (r *reader) text() (string, error) {
	r.at++ // the mark that it begins with
	var b strings.Builder
	for r.at < len(r.s) {
		c := r.s[r.at]
		r.at++
		switch {
		case c == '"':
			return string([]rune(b.String())), nil // every byte that is no UTF-8 becomes U+FFFD
		case c < ' ':
			return "", r.fault("a text runs over its line")
		case c != '\\':
			b.WriteByte(c)
			continue
		}
		if r.at >= len(r.s) {
			break
		}
		c = r.s[r.at]
		r.at++
		if i := strings.IndexByte(`"\/bfnrt`, c); i >= 0 {
			b.WriteByte("\"\\/\b\f\n\r\t"[i])
			continue
		}
		if c != 'u' {
			return "", r.fault("an escape that is none")
		}
		n, err := r.hex()
		if err != nil {
			return "", err
		}
		if n >= 0xd800 && n < 0xdc00 && strings.HasPrefix(r.s[r.at:], `\u`) { // the first half of a pair
			at := r.at
			r.at += 2
			low, err := r.hex()
			if err != nil {
				return "", err
			}
			if low >= 0xdc00 && low < 0xe000 {
				n = 0x10000 + (n-0xd800)<<10 + (low - 0xdc00)
			} else {
				r.at = at
			}
		}
		b.WriteRune(n) // half a pair alone becomes U+FFFD
	}
	return "", r.fault("a text has no end")
}

func (r *reader) hex() (rune, error) {
	if r.at+4 > len(r.s) {
		return 0, r.fault("an escape is cut off")
	}
	n, err := strconv.ParseUint(r.s[r.at:r.at+4], 16, 32)
	if err != nil {
		return 0, r.fault("an escape is no number")
	}
	r.at += 4
	return rune(n), nil
}
