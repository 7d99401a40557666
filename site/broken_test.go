package site

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"stubup/base/diag"
)

const head = "format: 1\nname: t\ngrid: ft\n"

const fenceYAML = "objects:\n  fence:\n    kind: fence\n    corners: [[0, 0], [40, 0], [40, 30], [0, 30]]\n"

const groundYAML = "ground:\n  conductor: 2 AWG solid tinned copper\n  stub-up: 18 in\n"

const ringYAML = groundYAML + "  ring: {inside: fence, distance: 2 ft, depth: 30 in}\n"

const runYAML = "runs:\n  r:\n    service: power\n    raceway: EMT 1 in\n    start: [0, 0, 0]\n    heading: north\n    path:\n"

// threeOf are readings at three places.
const threeOf = "{at: 10 ft, ohms: 2 ohm}, {at: 20 ft, ohms: 2.5 ohm}, {at: 30 ft, ohms: 3 ohm}"

// fall is a fall-of-potential test with further keys.
func fall(keys string) string {
	return "tests:\n  - id: T1\n    method: fall-of-potential\n    " + keys
}

// broken holds documents with one thing wrong; "‹" marks where the diag is to
// point. The head is put before each unless it says that it is whole.
var broken = []struct {
	code  diag.Code
	doc   string
	whole bool
	more  bool // other diags may come with it
}{
	// The file.
	{code: diag.WrongShape, doc: "‹", whole: true},
	{code: diag.WrongShape, doc: "‹# only a note\n", whole: true},
	{code: diag.WrongShape, doc: "‹- a\n- b\n", whole: true},
	{code: diag.WrongShape, doc: "‹just words\n", whole: true},
	{code: diag.Syntax, doc: "‹\xff\xfef\x00", whole: true},
	{code: diag.Syntax, doc: "by: caf‹\xe9\n", more: false},
	{code: diag.Syntax, doc: "by: a‹\x01b\n"},
	{code: diag.Syntax, doc: "governs:\n‹\twork: nfpa-70\n", more: true},
	{code: diag.Syntax, doc: "by: a\n‹nonsense\n"},
	{code: diag.Syntax, doc: "by: ‹[a, b\nrevision: C\n", more: true},
	{code: diag.Syntax, doc: "by: ‹\"open\nrevision: C\n"},
	{code: diag.Syntax, doc: "by: me\n  ‹revision: C\n"},
	{code: diag.Syntax, doc: "by‹:me\n"},
	{code: diag.Syntax, doc: "by: a‹: b\n"},
	{code: diag.Syntax, doc: "by: \"me\" ‹too\n"},
	{code: diag.Syntax, doc: "by: ‹@me\n"},
	{code: diag.Syntax, doc: "objects:\n  a:\n    kind: mast\n    at: [1‹}\n", more: true},
	{code: diag.Syntax, doc: "by: me\n‹---\nby: you\n"},
	{code: diag.Syntax, doc: "‹- a\n"},
	{code: diag.Syntax, doc: "‹? a\n"},
	{code: diag.Syntax, doc: "adopted: ‹- nfpa-70\n"},
	{code: diag.Alias, doc: "by: ‹&a me\n"},
	{code: diag.Alias, doc: "by: ‹*a\n"},
	{code: diag.Alias, doc: "by: ‹!!str me\n"},
	{code: diag.Alias, doc: "adopted: [‹*a]\n", more: true},
	{code: diag.TooBig, doc: "x: " + strings.Repeat("[", MaxDepth) + "‹[\n", more: true},
	// Keys.
	{code: diag.KeyMissing, doc: "‹name: t\n", whole: true},
	{code: diag.FormatNew, doc: "format: ‹2\nname: t\n", whole: true},
	{code: diag.WordUnknown, doc: "format: ‹one\nname: t\n", whole: true},
	{code: diag.KeyUnknown, doc: "‹objcts:\n  a: 1\n"},
	{code: diag.KeyUnknown, doc: fenceYAML + "    ‹hight: 7 ft\n"},
	{code: diag.KeyTwice, doc: "by: me\n‹by: you\n"},
	{code: diag.Twice, doc: fenceYAML + "  ‹fence:\n    kind: mast\n    at: [1, 1]\n"},
	{code: diag.Twice, doc: fenceYAML + "  ‹Fence:\n    kind: mast\n    at: [1, 1]\n"},
	{code: diag.WrongShape, doc: "‹by:\n"},
	{code: diag.WrongShape, doc: "by: ‹[a, b]\n"},
	{code: diag.WrongShape, doc: "soil: ‹100 ohm-m\n"},
	{code: diag.WrongShape, doc: "adopted: ‹nfpa-70\n"},
	{code: diag.KeyMissing, doc: "objects:\n  ‹a:\n    kind: fence\n"},
	{code: diag.KeyMissing, doc: "objects:\n  a:\n    ‹at: [1, 1]\n"},
	// Quantities and words.
	{code: diag.UnitMissing, doc: fenceYAML + groundYAML + "  ring: {inside: fence, distance: 2 ft, depth: ‹30}\n"},
	{code: diag.UnitWrong, doc: fenceYAML + groundYAML + "  ring: {inside: fence, distance: 2 ft, depth: ‹30 ohm}\n"},
	{code: diag.UnitWrong, doc: fenceYAML + groundYAML + "  ring: {inside: fence, distance: 2 ft, depth: ‹30 inn}\n"},
	{code: diag.NotANumber, doc: fenceYAML + groundYAML + "  ring: {inside: fence, distance: 2 ft, depth: ‹deep in}\n"},
	{code: diag.NotFinite, doc: fenceYAML + groundYAML + "  ring: {inside: fence, distance: 2 ft, depth: ‹NaN in}\n"},
	{code: diag.NotFinite, doc: fenceYAML + groundYAML + "  ring: {inside: fence, distance: 2 ft, depth: ‹1e300 in}\n"},
	{code: diag.AboveGrade, doc: fenceYAML + groundYAML + "  ring: {inside: fence, distance: 2 ft, depth: ‹-30 in}\n"},
	{code: diag.AboveGrade, doc: fenceYAML + groundYAML + "  ring: {inside: fence, distance: 2 ft, depth: ‹0 in}\n"},
	{code: diag.NotPositive, doc: fenceYAML + "    height: ‹-7 ft\n"},
	{code: diag.NotPositive, doc: "soil:\n  layers:\n    - resistivity: ‹0 ohm-m\n"},
	{code: diag.NotPositive, doc: "soil:\n  layers:\n    - resistivity: 1 ohm-m\n      thickness: ‹-1 ft\n    - resistivity: 5 ohm-m\n"},
	{code: diag.KeyMissing, doc: "soil:\n  layers:\n    - ‹resistivity: 1 ohm-m\n    - resistivity: 5 ohm-m\n"},
	{code: diag.Contradiction, doc: "soil:\n  layers:\n    - resistivity: 1 ohm-m\n      thickness: ‹3 ft\n"},
	{code: diag.WordUnknown, doc: "soil: {season: ‹spring}\n"},
	{code: diag.WordUnknown, doc: "soil: {surveyed: ‹last week}\n"},
	{code: diag.OutOfRange, doc: "soil: {frost: 3 ft, frozen-times: ‹0.5}\n"},
	{code: diag.OutOfRange, doc: "soil: {dry-times: ‹4000}\n"},
	{code: diag.NotANumber, doc: "soil: {dry-times: ‹3 x}\n"},
	{code: diag.NotPositive, doc: "soil: {dry-depth: ‹0 in}\n"},
	{code: diag.KeyMissing, doc: "soil: {‹frozen-times: 10}\n"},
	{code: diag.KeyMissing, doc: "state:\n  rods:\n    - rod: R1\n      log:\n        - ‹{driven: 4 ft}\n"},
	{code: diag.UnitMissing, doc: "state:\n  rods:\n    - rod: R1\n      log:\n        - {driven: ‹4, ohms: 60 ohm}\n"},
	{code: diag.NotPositive, doc: "state:\n  rods:\n    - rod: R1\n      log:\n        - {driven: 4 ft, ohms: ‹0 ohm}\n"},
	{code: diag.OutOfRange, doc: "state:\n  rods:\n    - rod: R1\n      log:\n        - {driven: ‹2 in, ohms: 60 ohm}\n"},
	{code: diag.Contradiction, doc: "state:\n  rods:\n    - rod: R1\n      driven: 5 ft\n      log:\n        - {driven: ‹6 ft, ohms: 60 ohm}\n"},
	{code: diag.Contradiction, doc: ringYAML + "  rods: {diameter: 5/8 in, length: 8 ft, places: [corners]}\nstate:\n  rods:\n    - rod: R1\n      log:\n        - {driven: ‹8.5 ft, ohms: 60 ohm}\n", more: true},
	{code: diag.Twice, doc: "state:\n  rods:\n    - rod: R1\n      log:\n        - {driven: 4 ft, ohms: 60 ohm}\n        - {driven: ‹48 in, ohms: 61 ohm}\n"},
	{code: diag.Contradiction, doc: "state:\n  rods:\n    - rod: R1\n      log:\n        ‹- {driven: 4 ft, ohms: 60 ohm}\n        - {driven: 6 ft, ohms: 80 ohm}\n"},
	{code: diag.Contradiction, doc: "state:\n  rods:\n    - rod: R1\n      lies: flat\n      ‹log:\n        - {driven: 4 ft, ohms: 60 ohm}\n"},
	{code: diag.WordUnknown, doc: "units: ‹metric\n"},
	{code: diag.WordUnknown, doc: "objects:\n  a:\n    kind: ‹fense\n    at: [1, 1]\n"},
	{code: diag.WordUnknown, doc: "adopted:\n  - ‹nfpa-71 2023\n"},
	{code: diag.WordUnknown, doc: "ground:\n  conductor: 2 AWG solid ‹tined copper\n"},
	{code: diag.UnitMissing, doc: "ground:\n  conductor: ‹2 solid copper\n"},
	{code: diag.WordUnknown, doc: "ground:\n  conductor: ‹5 AWG solid copper\n", more: true},
	{code: diag.Unit, doc: "format: 1\nname: t\nobjects:\n  a:\n    kind: mast\n    at: [‹1, 2]\n", whole: true},
	{code: diag.WrongShape, doc: "objects:\n  a:\n    kind: mast\n    at: ‹[1, 2, 3]\n"},
	{code: diag.WrongShape, doc: "objects:\n  a:\n    kind: mast\n    at: ‹5\n"},
	{code: diag.NotANumber, doc: "objects:\n  a:\n    kind: mast\n    at: [‹x, 2]\n"},
	{code: diag.OutOfRange, doc: "objects:\n  a:\n    kind: mast\n    at: [‹99999999, 2]\n"},
	{code: diag.WrongShape, doc: "objects:\n  a:\n    kind: frame\n    legs: ‹[1, 2]\n"},
	// Shapes.
	{code: diag.CrossesItself, doc: "objects:\n  a:\n    kind: pad\n    corners: ‹[[0, 0], [4, 4], [4, 0], [0, 4]]\n"},
	{code: diag.ZeroLength, doc: "objects:\n  a:\n    kind: pad\n    corners: [[0, 0], [4, 0], ‹[4, 0], [0, 4]]\n"},
	{code: diag.WrongShape, doc: "objects:\n  a:\n    kind: pad\n    corners: ‹[[0, 0], [4, 4]]\n"},
	{code: diag.CrossesItself, doc: groundYAML + "  ring: {points: ‹[[0, 0], [4, 4], [4, 0], [0, 4]], depth: 30 in}\n"},
	{code: diag.OffLine, doc: fenceYAML + "    gates:\n      - {from: ‹[1, 9], to: [0, 21]}\n"},
	{code: diag.ZeroLength, doc: fenceYAML + "    gates:\n      - {from: [0, 9], to: ‹[0, 9]}\n"},
	{code: diag.KeyUnknown, doc: "objects:\n  a:\n    kind: mast\n    at: [1, 1]\n    ‹posts: {spacing: 10 ft}\n"},
	{code: diag.Twice, doc: "objects:\n  w:\n    kind: wall\n    path: [[0, 0], [9, 0]]\n    openings:\n      - {id: a, at: [1, 0]}\n      - {id: ‹a, at: [2, 0]}\n"},
	{code: diag.AtBoundary, doc: "soil:\n  layers:\n    - {resistivity: 1 ohm-m, thickness: 2'-6\"}\n    - {resistivity: 5 ohm-m}\n" + fenceYAML + groundYAML + "  ring: {inside: fence, distance: 2 ft, depth: ‹30 in}\n"},
	// References.
	{code: diag.RefUnknown, doc: fenceYAML + groundYAML + "  ring: {inside: ‹fense, distance: 2 ft, depth: 30 in}\n"},
	{code: diag.RefUnknown, doc: fenceYAML + groundYAML + "  ring: {around: [fence, ‹shed], distance: 2 ft, depth: 30 in}\n"},
	{code: diag.Contradiction, doc: fenceYAML + groundYAML + "  ring: {inside: fence, ‹around: [fence], distance: 2 ft, depth: 30 in}\n"},
	{code: diag.KeyMissing, doc: fenceYAML + groundYAML + "  ‹ring: {inside: fence, depth: 30 in}\n"},
	{code: diag.RefUnknown, doc: fenceYAML + ringYAML + "  whips:\n    - {to: ‹shed corners, end: flat}\n"},
	{code: diag.WordUnknown, doc: fenceYAML + ringYAML + "  whips:\n    - {to: fence corner ‹pots, end: flat}\n", more: true},
	{code: diag.RefUnknown, doc: fenceYAML + ringYAML + "  whips:\n    - {to: fence ‹lugs, end: lug}\n"},
	{code: diag.WordUnknown, doc: fenceYAML + ringYAML + "  whips:\n    - {to: every ‹5 fence posts, end: pipe}\n"},
	{code: diag.OutOfRange, doc: fenceYAML + ringYAML + "  whips:\n    - {to: ‹0 for the fence, end: pipe}\n"},
	{code: diag.KeyMissing, doc: fenceYAML + ringYAML + "  whips:\n    - ‹{to: fence posts}\n"},
	{code: diag.KeyMissing, doc: fenceYAML + "‹ground:\n  conductor: 2 AWG bare copper\n  whips:\n    - {to: fence posts, end: pipe}\n"},
	{code: diag.RefUnknown, doc: fenceYAML + groundYAML + "  jumpers:\n    - gates of: ‹fence\n"},
	{code: diag.OutOfRange, doc: fenceYAML + ringYAML + "  rods: {diameter: 5/8 in, length: ‹4000 ft, places: [corners]}\n"},
	{code: diag.AboveGrade, doc: fenceYAML + ringYAML + "  rods: {diameter: 5/8 in, length: ‹-8 ft, places: [corners]}\n"},
	{code: diag.Contradiction, doc: fenceYAML + ringYAML + "  rods: {diameter: 5/8 in, length: 8 ft, section: ‹10 ft, places: [corners]}\n"},
	{code: diag.WordUnknown, doc: fenceYAML + ringYAML + "  rods: {diameter: 5/8 in, length: 8 ft, places: [‹corner]}\n"},
	{code: diag.Twice, doc: fenceYAML + ringYAML + "  rods: {diameter: 5/8 in, length: 8 ft, places: [[2, 2], ‹[2, 2]]}\n"},
	{code: diag.ZeroLength, doc: groundYAML + "  radials:\n    - {from: [2, 2], toward: ‹[2, 2], length: 20 ft}\n"},
	// Runs.
	{code: diag.WordUnknown, doc: "runs:\n  r:\n    service: power\n    raceway: ‹ETM 1 in\n"},
	{code: diag.WordUnknown, doc: "runs:\n  r:\n    service: power\n    raceway: EMT ‹7 in\n"},
	{code: diag.WordUnknown, doc: "runs:\n  r:\n    service: power\n    raceway: ‹PVC 2 in\n"},
	{code: diag.WrongShape, doc: "runs:\n  r:\n    service: power\n    raceway: ‹EMT\n"},
	{code: diag.WordUnknown, doc: "runs:\n  r:\n    service: power\n    raceway: EMT 1 in\n    carries:\n      - 3 x 3/0 ‹THWM-2\n"},
	{code: diag.WordUnknown, doc: "runs:\n  r:\n    service: power\n    raceway: EMT 1 in\n    carries:\n      - 3 x ‹7 THWN-2\n"},
	{code: diag.WrongShape, doc: "runs:\n  r:\n    service: power\n    raceway: EMT 1 in\n    carries:\n      - ‹three wires\n"},
	{code: diag.Contradiction, doc: "runs:\n  r:\n    service: power\n    raceway: EMT 1 in\n    temperatures: ‹110..-10 F\n"},
	{code: diag.KeyMissing, doc: "runs:\n  ‹r:\n    service: power\n    raceway: EMT 1 in\n    start: [0, 0, 0]\n    path:\n      - straight: 1 ft\n"},
	{code: diag.WordUnknown, doc: strings.Replace(runYAML, "north", "‹nort", 1) + "      - straight: 1 ft\n"},
	{code: diag.ZeroLength, doc: runYAML + "      - straight: ‹0 ft\n"},
	{code: diag.NotPositive, doc: runYAML + "      - straight: ‹-4 ft\n"},
	{code: diag.WrongShape, doc: runYAML + "      - bend: ‹45\n"},
	{code: diag.WordUnknown, doc: runYAML + "      - bend: 45 ‹lft\n"},
	{code: diag.OutOfRange, doc: runYAML + "      - bend: ‹270 left\n"},
	{code: diag.KeyUnknown, doc: runYAML + "      - ‹straigth: 5 ft\n"},
	{code: diag.WrongShape, doc: runYAML + "      - straight: 5 ft\n        ‹bend: 45 left\n"},
	{code: diag.RefUnknown, doc: runYAML + "      - handhole: ‹hh-9\n"},
	{code: diag.RefUnknown, doc: fenceYAML + runYAML + "      - wall: ‹fence\n"},
	{code: diag.WordUnknown, doc: runYAML + "      - body: ‹LX\n        turns: up\n"},
	{code: diag.KeyMissing, doc: runYAML + "      - ‹body: LB\n"},
	{code: diag.WordUnknown, doc: runYAML + "      - straight: 5 ft\n        ribbon: ‹maybe\n"},
	{code: diag.WordUnknown, doc: runYAML + "      - expansion: 4 in\n        jumper: ‹lsted\n"},
	{code: diag.KeyUnknown, doc: runYAML + "      - straight: 5 ft\n        ‹jumper: yes\n"},
	{code: diag.WordUnknown, doc: "objects:\n  w: {kind: wall, path: [[0, 0], [9, 0]]}\n" + runYAML + "      - wall: w\n        firestop: ‹yes\n"},
	// What was measured.
	{code: diag.WrongShape, doc: "tests: ‹T1\n"},
	{code: diag.KeyMissing, doc: "tests:\n  - ‹id: T1\n"},
	{code: diag.KeyMissing, doc: "tests:\n  - ‹method: clamp-on\n"},
	{code: diag.WordUnknown, doc: "tests:\n  - id: T1\n    method: ‹clamp\n    outer: 60 ft\n    around: it\n"},
	{code: diag.Twice, doc: "tests:\n  - {id: T1, method: clamp-on}\n  - {id: ‹t1, method: clamp-on}\n"},
	{code: diag.ZeroLength, doc: fall("clip: [1, 2]\n    toward: ‹[1, 2]\n")},
	{code: diag.WrongShape, doc: fall("clip: ‹fence\n")},
	{code: diag.UnitMissing, doc: fall("outer: ‹60\n")},
	{code: diag.NotPositive, doc: fall("outer: ‹-60 ft\n")},
	{code: diag.WordUnknown, doc: fall("zero: ‹centre\n")},
	{code: diag.WordUnknown, doc: fall("trench: ‹closed\n")},
	{code: diag.WordUnknown, doc: fall("disconnected: ‹some\n")},
	{code: diag.WordUnknown, doc: fall("wetted: ‹unknown\n")},
	{code: diag.UnitWrong, doc: fall("rain: ‹20 ft\n")},
	{code: diag.NotPositive, doc: fall("rain: ‹-1 h\n")},
	{code: diag.NotPositive, doc: fall("frozen: ‹-3 ft\n")},
	{code: diag.WordUnknown, doc: fall("date: ‹yesterday\n")},
	{code: diag.WordUnknown, doc: fall("calibrated: ‹2026-13-01\n")},
	{code: diag.Contradiction, doc: fall("date: 2026-01-14\n    calibrated: ‹2026-01-15\n")},
	{code: diag.KeyUnknown, doc: fall("‹around: the bar\n")},
	{code: diag.UnitMissing, doc: fall("asked: [35 ft, ‹70]\n")},
	{code: diag.NotPositive, doc: fall("asked: ‹-35 ft\n")},
	{code: diag.Contradiction, doc: fall("outer: 60 ft\n    readings: [" + threeOf + ", {at: ‹61 ft, ohms: 3 ohm}]\n")},
	{code: diag.Contradiction, doc: fall("outer: 60 ft\n    readings: [" + threeOf + ", {at: ‹60 ft, ohms: 3 ohm}]\n")},
	{code: diag.NotPositive, doc: fall("readings: [" + threeOf + ", {at: ‹-6 ft, ohms: 3 ohm}]\n")},
	{code: diag.NotPositive, doc: fall("readings: [" + threeOf + ", {at: 6 ft, ohms: ‹-3 ohm}]\n")},
	{code: diag.KeyMissing, doc: fall("readings: [" + threeOf + ", ‹{at: 6 ft}]\n")},
	{code: diag.KeyMissing, doc: fall("readings: [" + threeOf + ", ‹{ohms: 6 ohm}]\n")},
	{code: diag.KeyMissing, doc: fall("readings: ‹[{at: 6 ft, ohms: 3 ohm}, {at: 12 ft, ohms: 3 ohm}]\n")},
	{code: diag.KeyMissing, doc: fall("readings: ‹[{at: 6 ft, ohms: 3 ohm}, {at: 12 ft, ohms: 3 ohm}, {at: 12 ft, ohms: 3.1 ohm}]\n")},
	{code: diag.KeyUnknown, doc: "tests:\n  - {id: T1, method: two-point, ‹outer: 60 ft}\n"},
	{code: diag.KeyUnknown, doc: "tests:\n  - {id: T1, method: clamp-on, readings: [{‹at: 60 ft, ohms: 3 ohm}]}\n"},
	{code: diag.KeyMissing, doc: "continuity:\n  - ‹{from: J1, ohms: 1 mohm}\n"},
	{code: diag.WordUnknown, doc: "continuity:\n  - {from: ‹bar, to: J1, ohms: 1 mohm}\n"},
	{code: diag.ZeroLength, doc: "continuity:\n  - {from: J1, to: ‹J1, ohms: 1 mohm}\n"},
	{code: diag.UnitWrong, doc: "continuity:\n  - {from: J1, to: J2, ohms: ‹1 milli}\n"},
	{code: diag.NotPositive, doc: "continuity:\n  - {from: J1, to: J2, ohms: ‹-1 mohm}\n"},
	{code: diag.OutOfRange, doc: "continuity:\n  - {from: J1, to: J2, ohms: 1 mohm, temperature: ‹700 F}\n"},
	// The rest.
	{code: diag.WrongShape, doc: "owner:\n  rules:\n    - ‹source: somewhere\n"},
	{code: diag.WrongShape, doc: "owner:\n  rules:\n    - ‹bend-sum: 180 deg\n      margin: 10 %\n      source: x\n"},
	{code: diag.KeyMissing, doc: "owner:\n  rules:\n    - ‹bend-sum: 180 deg\n"},
	{code: diag.WordUnknown, doc: "owner:\n  rules:\n    - fence-bond: ‹every other one\n      source: x\n"},
	{code: diag.Contradiction, doc: "transfer: {opens-neutral: yes, system: 120/240 3-wire, poles: ‹2}\n"},
	{code: diag.Contradiction, doc: "transfer: {opens-neutral: no, system: 120/240 3-wire, poles: ‹3}\n"},
	{code: diag.Contradiction, doc: "transfer: {opens-neutral: yes, system: 208Y/120, poles: ‹3}\n"},
	{code: diag.Contradiction, doc: "transfer: {opens-neutral: no, system: 208Y/120, poles: ‹4}\n"},
	{code: diag.RefUnknown, doc: "feeders:\n  f: {run: ‹power 9, amps: 100 A, volts: 240 V, phases: 1}\n"},
	{code: diag.WordUnknown, doc: "feeders:\n  f: {length: 9 ft, amps: 100 A, volts: 240 V, phases: ‹2}\n"},
	{code: diag.Contradiction, doc: "feeders:\n  f: {length: 9 ft, amps: ‹100 A, continuous: 60 A, motors: [{amps: 50 A}], volts: 240 V, phases: 1}\n"},
	{code: diag.WordUnknown, doc: "feeders:\n  f: {length: 9 ft, amps: 100 A, volts: 240 V, phases: 1, terminals: ‹80 C}\n"},
	{code: diag.RefUnknown, doc: "state:\n  laid:\n    - {run: ‹fiber 9, to: 10 ft}\n"},
	{code: diag.RefUnknown, doc: "state:\n  rods:\n    - {rod: ‹R9}\nnumbers:\n  a: R1\n"},
	{code: diag.Contradiction, doc: fenceYAML + ringYAML + "  rods: {diameter: 5/8 in, length: 8 ft, places: [corners]}\nstate:\n  rods:\n    - {rod: R1, driven: ‹9 ft}\n"},
	{code: diag.WordUnknown, doc: "state:\n  as-of: ‹yesterday\n"},
	{code: diag.Twice, doc: "numbers:\n  a: R1\n  b: ‹R1\n"},
	{code: diag.WordUnknown, doc: "numbers:\n  a: ‹one\n"},
	{code: diag.UnitMissing, doc: "prices:\n  rod: ‹12.50\n"},
	{code: diag.UnitWrong, doc: "prices:\n  rod: 12.50 per ‹mile\n"},
	{code: diag.NotANumber, doc: "prices:\n  rod: ‹cheap each\n"},
	{code: diag.UnitMissing, doc: "hours:\n  trench: ‹3 min\n"},
	{code: diag.UnitWrong, doc: "hours:\n  trench: ‹3 ft per ft\n"},
	{code: diag.UnitWrong, doc: "hours:\n  trench: ‹3 min per mile\n"},
	{code: diag.UnitWrong, doc: "fault: {current: ‹5 V, duration: 1 s, source: x}\n"},
	{code: diag.NotPositive, doc: "fault: {current: 5 kA, duration: ‹0 s, source: x}\n"},
	{code: diag.WordUnknown, doc: "fault: {earth-current: 1 kA, duration: 1 s, body: ‹60 kg, source: x}\n"},
	{code: diag.KeyMissing, doc: "fault: ‹{current: 5 kA, duration: 1 s}\n"},
	{code: diag.KeyMissing, doc: "waivers:\n  - ‹{rule: a, who: b, why: c}\n"},
	{code: diag.NotPositive, doc: "supplies:\n  packs:\n    - {item: charge, of: ‹0}\n"},
}

func TestBrokenSites(t *testing.T) {
	if len(broken) < 60 {
		t.Fatalf("only %d broken sites", len(broken))
	}
	for _, c := range broken {
		marked := c.doc
		if !c.whole {
			marked = head + c.doc
		}
		before, after, ok := strings.Cut(marked, "‹")
		if !ok {
			t.Fatalf("no mark in %q", c.doc)
		}
		src := []byte(before + after)
		line := strings.Count(before, "\n") + 1
		col := utf8.RuneCountInString(before[strings.LastIndexByte(before, '\n')+1:]) + 1
		d := Load("t.yaml", src)
		found := false
		var all strings.Builder
		for _, x := range d.Diags {
			found = found || x.Code == c.code && x.Span.Line == line && x.Span.Col == col
			all.WriteString("\n" + x.Show(src))
		}
		if !found {
			t.Errorf("no [%s] at %d:%d for\n%s\ngot:%s", c.code, line, col, src, all.String())
		}
		if len(d.Diags) != 1 && !c.more {
			t.Errorf("%d diags for one fault [%s]:%s", len(d.Diags), c.code, all.String())
		}
		sound(t, d)
	}
}

// sound checks what holds for every document, whatever is in it.
func sound(t testing.TB, d *Document) {
	t.Helper()
	lines := strings.Split(string(d.Src), "\n")
	if d.Site == nil {
		t.Fatal("no site")
	}
	for i, x := range d.Diags {
		if strings.Contains(x.What, "could not be read to its end") {
			t.Fatalf("the reader itself failed: %s", x.What)
		}
		if x.Code == "" || x.What == "" || x.Mend == "" {
			t.Fatalf("a diag without code, text or mend: %#v", x)
		}
		if x.Span.Line < 1 || x.Span.Line > len(lines) {
			t.Fatalf("line %d of %d: %s", x.Span.Line, len(lines), x)
		}
		if len(d.Src) > MaxBytes {
			continue
		}
		n := utf8.RuneCountInString(lines[x.Span.Line-1])
		if x.Span.Col < 1 || x.Span.Col > n+1 || x.Span.End < x.Span.Col || x.Span.End > n+1 {
			t.Fatalf("columns %d..%d of %d: %s", x.Span.Col, x.Span.End, n, x)
		}
		if !utf8.ValidString(x.What) || !utf8.ValidString(x.Mend) || len(x.What) > 2000 || len(x.Mend) > 4000 {
			t.Fatalf("a message that cannot be printed: %q %q", x.What, x.Mend)
		}
		if i < 3 {
			_ = x.Show(d.Src)
		}
	}
}

// A mend that names a word names the nearest one.
func TestMendNamesTheNearestWord(t *testing.T) {
	for _, c := range []struct{ doc, mend string }{
		{"objects:\n  a:\n    kind: fense\n    at: [1, 1]\n", `write "fence"`},
		{"objcts:\n  a: 1\n", `write "objects"`},
		{"adopted:\n  - nfpa-71\n", `write "nfpa-70"`},
		{fenceYAML + groundYAML + "  ring: {inside: fense, distance: 2 ft, depth: 30 in}\n", `write "fence"`},
		{fenceYAML + groundYAML + "  ring: {inside: fence, distance: 2 ft, depth: 30}\n", `write "30 in" or "762 mm"`},
		{runYAML + "      - bend: 45 lft\n", `write "left"`},
	} {
		d := Load("t.yaml", []byte(head+c.doc))
		if len(d.Diags) != 1 || !strings.Contains(d.Diags[0].Mend, c.mend) {
			t.Errorf("%q: want the mend %q, got %v", c.doc, c.mend, d.Diags)
		}
	}
}

// The message of a missing unit, as a person sees it.
func TestShownDiag(t *testing.T) {
	src := []byte(head + fenceYAML + groundYAML + "  ring:\n    inside: fence\n    distance: 2 ft\n    depth: 30\n")
	got := Load("quarry-hill.yaml", src).Diags[0].Show(src)
	want := "quarry-hill.yaml:14:12: ground.ring.depth: \"30\" has no unit\n" +
		"    14 |     depth: 30\n" +
		"       |            ^^\n" +
		"  mend: write \"30 in\" or \"762 mm\"  [unit-missing]\n"
	if got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}

// What is broken is left out and the rest is read.
func TestTheRestIsStillRead(t *testing.T) {
	src, err := os.ReadFile("../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d := Load("t.yaml", []byte(strings.Replace(string(src), "depth: 30 in\n    corner-radius", "depth: 30\n    corner-radius", 1)))
	if len(d.Diags) != 1 || d.Site.Ground.Ring == nil || d.Site.Ground.Ring.Depth.Set || len(d.Site.Ground.Whips) != 9 || d.Site.Ground.Whips[8].Object != "service" {
		t.Errorf("%v %+v", d.Diags, d.Site.Ground)
	}
}

// Hostile files are answered at once. The bound is ten times what they take.
func TestHostileFilesAreQuick(t *testing.T) {
	keys := func(n int, indent string) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, "%sk%d: 1\n", indent, i)
		}
		return b.String()
	}
	hostile := map[string]string{
		"20,000 keys at the top":     head + keys(20000, ""),
		"20,000 keys in a map":       head + "objects:\n" + keys(20000, "  "),
		"100,000 keys in brackets":   head + "objects: {" + strings.ReplaceAll(keys(100000, ""), "\n", ",") + "}\n",
		"a million brackets":         head + "x: " + strings.Repeat("[", 1<<20) + "\n",
		"a million braces":           head + "x: " + strings.Repeat("{a: ", 1<<18) + "\n",
		"a million dashes":           head + "x:\n  " + strings.Repeat("- ", 1<<19) + "x\n",
		"100,000 nested lines":       head + nested(1200),
		"a million anchors":          head + "x: " + strings.Repeat("&a ", 1<<19) + "\n",
		"a million bracketed tags":   head + "x: [" + strings.Repeat("!a ", 1<<19) + "]\n",
		"a line of a million quotes": head + "by: " + strings.Repeat("\"", 1<<20) + "\n",
		"many open quotes":           head + strings.Repeat("by: \"\n", 1<<18),
		"many open brackets":         head + strings.Repeat("by: [\n", 1<<18),
		"many commas":                head + "x: [" + strings.Repeat(",", 1<<20) + "]\n",
		"many bad points":            head + "objects:\n  a:\n    kind: pad\n    corners: [" + strings.Repeat("[x, y], ", 1<<17) + "]\n",
		"many points":                head + "objects:\n  a:\n    kind: pad\n    corners: [" + strings.Repeat("[1, 2], ", 1<<17) + "]\n",
		"many outlines":              head + "objects:\n" + outlines(1200),
		"many twins":                 head + strings.Repeat("by: x\n", 1<<18),
		"many lists":                 head + "adopted:\n" + strings.Repeat("- nfpa-70 2023\n", 1<<17),
		"many whips":                 head + "objects:\n" + masts(1900) + groundYAML + "  whips:\n" + strings.Repeat("    - {to: every thing that has no name here at all, end: lug}\n", 5000),
		"long words":                 head + "by: " + strings.Repeat("é", 1<<19) + " : x\n",
		"deep block text":            head + "by: |\n" + strings.Repeat("  line\n", 1<<17),
		"carriage returns":           strings.Repeat("\r", 1<<20),
		"tabs":                       strings.Repeat("\t\n", 1<<19) + strings.Repeat("\tx\n", 1<<18),
		"over the size":              strings.Repeat("# note\n", 1<<19),
		"a long folded value":        head + "by: a\n" + strings.Repeat("  b\n", 1<<18),
	}
	for name, doc := range hostile {
		start := time.Now()
		d := Load("t.yaml", []byte(doc))
		if took := time.Since(start); took > 3*time.Second {
			t.Errorf("%s: took %v", name, took)
		} else if testing.Verbose() {
			t.Logf("%-28s %8d bytes %4d diags %v", name, len(doc), len(d.Diags), took)
		}
		if len(d.Diags) == 0 && name != "deep block text" && name != "a long folded value" {
			t.Errorf("%s: no diag", name)
		}
		if len(d.Diags) > maxDiags+1 {
			t.Errorf("%s: %d diags", name, len(d.Diags))
		}
		if strings.Contains(name, "000 keys") && !slices.Contains(codesOf(d.Diags), diag.TooBig) {
			t.Errorf("%s: the limit is not told", name)
		}
		sound(t, d)
	}
}

func nested(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	return b.String()
}

func outlines(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "  o%d: {kind: pad, corners: [", i)
		for k := range 190 {
			fmt.Fprintf(&b, "[%d,%d],", k, (k*7)%5)
		}
		b.WriteString("]}\n")
	}
	return b.String()
}

func masts(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "  mast-%d: {kind: mast, at: [%d, 1]}\n", i, i)
	}
	return b.String()
}
