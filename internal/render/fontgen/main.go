// Command fontgen prints the advance-width table of the printing face, which
// base/draw embeds as metrics.csv so that text can be measured without the
// font file:
//
//	go run ./internal/render/fontgen > base/draw/metrics.csv
package main

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"log"
	"os"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
)

func main() {
	out := bufio.NewWriter(os.Stdout)
	if err := write(out, dejavusanscondensed.TTF, dejavusanscondensedbold.TTF); err != nil {
		log.Fatal(err)
	}
	if err := out.Flush(); err != nil {
		log.Fatal(err)
	}
}

const head = `# work: DejaVu Sans Condensed, Book and Bold, TrueType files of the DejaVu fonts
# edition: 2.37
# place: tables hmtx, cmap, hhea, OS/2, glyf
# seen: yes
# status: printed from the font files by internal/render/fontgen
# check: the digits of each weight share one width; a second reading of the same font file gives the same widths
# unit: font units, as many to the em as row em says; rows other than named ones are code points in order, hexadecimal: how many are skipped, and how many more have the same widths
`

// write prints the table: the named rows, then runs of code points that have
// the same widths in both weights.
func write(w io.Writer, regular, bold []byte) error {
	r, err := read(regular)
	if err != nil {
		return fmt.Errorf("regular: %w", err)
	}
	b, err := read(bold)
	if err != nil {
		return fmt.Errorf("bold: %w", err)
	}
	if _, err := io.WriteString(w, head+"skip,more,regular,bold\n"); err != nil {
		return err
	}
	for _, row := range []struct {
		name string
		r, b int
	}{
		{"em", r.em, b.em},
		{"cap", r.capital, b.capital},
		{"high", r.high, b.high},
		{"deep", r.deep, b.deep},
		{"high-ascii", r.highASCII, b.highASCII},
		{"deep-ascii", r.deepASCII, b.deepASCII},
	} {
		fmt.Fprintf(w, "%s,,%d,%d\n", row.name, row.r, row.b)
	}
	next := 0
	for c := 0x20; c < 0x10000; {
		rw, rok := r.width[c]
		bw, bok := b.width[c]
		if !rok || !bok {
			c++
			continue
		}
		last := c
		for last+1 < 0x10000 {
			nr, ok1 := r.width[last+1]
			nb, ok2 := b.width[last+1]
			if !ok1 || !ok2 || nr != rw || nb != bw {
				break
			}
			last++
		}
		if last == c {
			fmt.Fprintf(w, "%X,,%d,%d\n", c-next, rw, bw)
		} else {
			fmt.Fprintf(w, "%X,%X,%d,%d\n", c-next, last-c, rw, bw)
		}
		c = last + 1
		next = c
	}
	return nil
}

// face is what is wanted of a TrueType file, in font units.
type face struct {
	em, capital          int
	high, deep           int // ascent and descent of the whole face
	highASCII, deepASCII int // farthest ink of the printable ASCII signs
	width                map[int]int
}

// read takes a face apart: OpenType specification, tables head, hhea, hmtx,
// maxp, loca, glyf, OS/2 and cmap format 4.
func read(ttf []byte) (*face, error) {
	tab := map[string][]byte{}
	u16 := func(b []byte, at int) int { return int(binary.BigEndian.Uint16(b[at:])) }
	i16 := func(b []byte, at int) int { return int(int16(binary.BigEndian.Uint16(b[at:]))) }
	u32 := func(b []byte, at int) int { return int(binary.BigEndian.Uint32(b[at:])) }
	for i := range u16(ttf, 4) {
		rec := ttf[12+16*i:]
		tab[string(rec[:4])] = ttf[u32(rec, 8) : u32(rec, 8)+u32(rec, 12)]
	}
	for _, name := range []string{"head", "hhea", "hmtx", "loca", "glyf", "OS/2", "cmap"} {
		if tab[name] == nil {
			return nil, fmt.Errorf("no table %s", name)
		}
	}
	f := &face{
		em:   u16(tab["head"], 18),
		high: i16(tab["hhea"], 4), deep: i16(tab["hhea"], 6),
		width: map[int]int{},
	}
	if u16(tab["OS/2"], 0) >= 2 {
		f.capital = i16(tab["OS/2"], 88)
	}
	longLoca := u16(tab["head"], 50) == 1
	glyph := func(g int) []byte {
		at := func(i int) int {
			if longLoca {
				return u32(tab["loca"], 4*i)
			}
			return 2 * u16(tab["loca"], 2*i)
		}
		return tab["glyf"][at(g):at(g+1)]
	}
	metrics := u16(tab["hhea"], 34)
	advance := func(g int) int { return u16(tab["hmtx"], 4*min(g, metrics-1)) }

	var sub []byte
	for i := range u16(tab["cmap"], 2) {
		rec := tab["cmap"][4+8*i:]
		if s := tab["cmap"][u32(rec, 4):]; u16(s, 0) == 4 && u16(rec, 0) == 3 && u16(rec, 2) == 1 {
			sub = s
		}
	}
	if sub == nil {
		return nil, fmt.Errorf("no Unicode cmap of format 4")
	}
	seg := u16(sub, 6) / 2
	for i := range seg {
		end, start := u16(sub, 14+2*i), u16(sub, 16+2*seg+2*i)
		delta, offAt := u16(sub, 16+4*seg+2*i), 16+6*seg+2*i
		off := u16(sub, offAt)
		for c := start; c <= end && c != 0xFFFF; c++ {
			g := c
			if off != 0 {
				if g = u16(sub, offAt+off+2*(c-start)); g == 0 {
					continue
				}
			}
			if g = (g + delta) & 0xFFFF; g != 0 {
				f.width[c] = advance(g)
				if c > 0x20 && c < 0x7F {
					ink := glyph(g)
					f.deepASCII = min(f.deepASCII, i16(ink, 4))
					f.highASCII = max(f.highASCII, i16(ink, 8))
					if c == 'H' && f.capital == 0 {
						f.capital = i16(ink, 8)
					}
				}
			}
		}
	}
	if f.capital <= 0 {
		return nil, fmt.Errorf("no capital height")
	}
	return f, nil
}
