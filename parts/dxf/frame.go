package dxf

import (
	"bytes"
	"strconv"
	"sync"

	"github.com/yofu/dxf/block"
	"github.com/yofu/dxf/drawing"
	"github.com/yofu/dxf/handle"
	"github.com/yofu/dxf/header"
	"github.com/yofu/dxf/insunit"
	"github.com/yofu/dxf/table"

	"perch/parts/measure"
)

// frame is everything of a file that no blank changes, written once.
type frame struct {
	layers     map[string]*table.Layer
	lettering  *table.Style
	modelSpace handle.Handler
	before     []byte // classes, tables, blocks
	after      []byte // objects
	nextHandle int    // first one free for entities
}

// theFrame is built once: every new drawing of the library rewrites what its package
// variables hold, so making one for each file would be slow and a data race.
var theFrame = sync.OnceValue(newFrame)

// newFrame takes the library's empty drawing and mends what an independent
// auditor found wrong with it:
//   - a block record and block *Paper_Space0 without a layout: left out;
//   - dictionaries without their owner (group 330): written by mendOwners;
//   - tables without an owner, and block records without a layout handle, are
//     legal in this version of the format and stay.
func newFrame() *frame {
	f := &frame{}
	d := drawing.New()
	f.ownTables(d)
	tables := d.Sections[drawing.TABLES].(table.Tables)
	records := tables[len(tables)-1] // BLOCK_RECORD comes last
	records.Clear()
	model := table.NewBlockRecord("*Model_Space")
	records.Add(model)
	records.Add(table.NewBlockRecord("*Paper_Space"))
	f.modelSpace = model
	d.Sections[drawing.BLOCKS] = d.Sections[drawing.BLOCKS].(block.Blocks)[:2]

	f.nextHandle = 1
	for _, s := range d.Sections[drawing.CLASSES:] {
		s.SetHandle(&f.nextHandle)
	}
	g := &groups{decimals: lengthDecimals}
	for _, s := range d.Sections[drawing.CLASSES:drawing.ENTITIES] {
		s.Format(g)
	}
	f.before = bytes.Clone(g.buf)
	g.Reset()
	d.Sections[drawing.OBJECTS].Format(g)
	g.WriteString(0, "EOF")
	f.after = mendOwners(g.buf)
	return f
}

// mendOwners puts group 330 into the dictionaries: the first is the root, owned
// by nothing (handle 0), the others are the root's.
func mendOwners(objects []byte) []byte {
	const open, marker = "0\nDICTIONARY\n5\n", "100\nAcDbDictionary\n"
	var out []byte
	root := "0"
	for {
		i := bytes.Index(objects, []byte(open))
		if i < 0 {
			return append(out, objects...)
		}
		j := i + bytes.Index(objects[i:], []byte(marker))
		out = append(out, objects[:j]...)
		out = append(out, "330\n"+root+"\n"...)
		if root == "0" {
			root = string(bytes.TrimSpace(objects[i+len(open) : j]))
		}
		objects = objects[j:]
	}
}

// writeHeader writes the header section; the library knows no $MEASUREMENT, which
// tells readers to take metric hatches and line types, so it is put in here.
func writeHeader(g *groups, unit measure.System, lo, hi [2]float64, seed int) {
	h := header.New()
	h.InsUnit, h.InsLUnit = insunit.Millimeters, insunit.Decimal
	measurement := 1
	if unit == measure.Inches {
		h.InsUnit = insunit.Inches
		h.LtScale = 1 / measure.InchMM
		measurement = 0
	}
	h.ExtMin = []float64{lo[0], lo[1], 0}
	h.ExtMax = []float64{hi[0], hi[1], 0}
	h.SetHandle(&seed)
	h.Format(g)
	g.buf = bytes.TrimSuffix(g.buf, []byte("0\nENDSEC\n"))
	g.WriteString(9, "$MEASUREMENT")
	g.WriteInt(70, measurement)
	g.WriteString(0, "ENDSEC")
}

// Escape writes text the way the format's versions before 2007 hold it: other
// than printable ASCII as \U+XXXX (UTF-16, so two of them for a rare sign), and
// control characters as spaces. A percent pair or a backslash of the user's own,
// which readers would take for a code, is written as the code for itself.
func Escape(s string) string {
	plain := true
	for i := range len(s) {
		plain = plain && ' ' <= s[i] && s[i] <= '~' && s[i] != '\\' && !paired(s, i)
	}
	if plain {
		return s
	}
	var b []byte
	for i, r := range s {
		switch {
		case r < ' ' || r == 0x7f:
			b = append(b, ' ')
		case r == '\\' || paired(s, i):
			b = appendCode(b, uint16(r))
		case r <= '~':
			b = append(b, byte(r))
		case r < 0x10000:
			b = appendCode(b, uint16(r))
		default:
			b = appendCode(b, uint16(0xd800+(r-0x10000)>>10))
			b = appendCode(b, uint16(0xdc00+(r-0x10000)&0x3ff))
		}
	}
	return string(b)
}

// paired tells whether a percent sign stands beside another: alone it is no code.
func paired(s string, i int) bool {
	return s[i] == '%' && (i > 0 && s[i-1] == '%' || i+1 < len(s) && s[i+1] == '%')
}

func appendCode(b []byte, u uint16) []byte {
	hex := strconv.FormatUint(uint64(u)|0x10000, 16)
	for _, c := range append([]byte(`\U+`), hex[1:]...) {
		if 'a' <= c && c <= 'f' {
			c -= 'a' - 'A'
		}
		b = append(b, c)
	}
	return b
}
