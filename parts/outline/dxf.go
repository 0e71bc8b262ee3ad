package outline

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"perch/parts/measure"
	"perch/parts/plane"
)

// Layer is the layer that holds what is left of a sheet in its drawing.
const Layer = "REMNANT"

// ReadDXF reads the outline of a remnant from the text of a DXF drawing, in mm whatever
// its unit ($INSUNITS; none is mm): the closed polylines, circles and chains of lines,
// arcs and open polylines on the layer REMNANT or, where that has none, all of them. What
// a block holds counts where the block is inserted, and only there. The largest is the
// outline, those in it are holes. Lines that close nothing are passed over inside the
// outline. Errors: *Error for a file that is no drawing, has no closed outline, one whose
// lines do not close, or one that crosses itself or another.
func ReadDXF(name, text string) (plane.Region, error) {
	bad := func(err error) error { return &Error{Name: name, Err: err} }
	d, err := parseDXF(text)
	if err != nil {
		return nil, bad(err)
	}
	var all pieces
	if err := all.take(d, d.entities, drawnAt{m: plane.Identity()}); err != nil {
		return nil, bad(err)
	}
	all.scale(d.unit)
	own := all.on(Layer)
	from := own
	if from.none() {
		from = all
	}
	loops, open, err := from.closed()
	if err != nil {
		return nil, bad(err)
	}
	if open != nil && (from.none() || !own.none() || !within(open.at, loops)) {
		return nil, bad(open.told())
	}
	if len(loops) == 0 {
		if from.curve != "" {
			return nil, bad(fmt.Errorf("it is drawn with a curve (%s) that is not read: draw it with lines, arcs, circles and polylines", from.curve))
		}
		return nil, bad(errors.New("the drawing has no closed outline"))
	}
	return arrange(name, loops)
}

// within tells whether a place lies in one of the loops.
func within(p plane.Point, loops plane.Region) bool {
	for _, l := range loops {
		if l.Locate(p) != plane.Outside {
			return true
		}
	}
	return false
}

// dxfPair is a group: its code and its value.
type dxfPair struct {
	code  int
	value string
	line  int // of the value, from 1
}

// dxfEntity is an entity with its groups, those of a POLYLINE's corners behind its own.
type dxfEntity struct {
	kind  string
	pairs []dxfPair
}

// dxfBlock is a block: the place that is put where it is inserted, and what it holds.
type dxfBlock struct {
	base     plane.Point
	entities []dxfEntity
}

// dxfDrawing is what of a drawing matters here.
type dxfDrawing struct {
	unit     float64 // mm
	entities []dxfEntity
	blocks   map[string]*dxfBlock
}

// unitsMM are the units of $INSUNITS that a sheet is drawn in, in mm.
var unitsMM = map[int]float64{0: 1, 1: measure.InchMM, 2: 12 * measure.InchMM, 4: 1, 5: 10, 6: 1000, 14: 100}

// parseDXF sorts a drawing's groups.
func parseDXF(text string) (*dxfDrawing, error) {
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	d := &dxfDrawing{unit: 1, blocks: map[string]*dxfBlock{}}
	var section, variable, last string
	var block *dxfBlock
	var e *dxfEntity
	for i := 0; i+1 < len(lines); i += 2 {
		code, err := strconv.Atoi(strings.TrimSpace(lines[i]))
		if err != nil {
			return nil, fmt.Errorf("line %d is no group code of a drawing", i+1)
		}
		p := dxfPair{code, strings.TrimSpace(lines[i+1]), i + 2}
		switch {
		case code == 0:
			last = p.value
			e = nil
			switch {
			case p.value == "SECTION":
				section = "?"
			case p.value == "ENDSEC":
				section = ""
			case section == "BLOCKS" && p.value == "BLOCK":
				block = &dxfBlock{}
			case section == "BLOCKS" && p.value == "ENDBLK":
				block = nil
			case section == "BLOCKS" && block != nil:
				e = addEntity(&block.entities, p.value)
			case section == "ENTITIES" || section == "":
				e = addEntity(&d.entities, p.value)
			}
		case section == "?" && code == 2:
			section = p.value
		case section == "HEADER" && code == 9:
			variable = p.value
		case section == "HEADER" && variable == "$INSUNITS" && code == 70:
			n, err := strconv.Atoi(p.value)
			mm, ok := unitsMM[n]
			if err != nil || !ok {
				return nil, fmt.Errorf("line %d: its unit, $INSUNITS %s, is none of mm, cm, dm, m, inches and feet", p.line, p.value)
			}
			d.unit = mm
		case last == "BLOCK" && block != nil:
			if err := d.block(block, p); err != nil {
				return nil, err
			}
		case e != nil:
			e.pairs = append(e.pairs, p)
		}
	}
	if last != "EOF" {
		return nil, errors.New("the drawing has no end")
	}
	return d, nil
}

// block notes a block's own groups: its name and its base.
func (d *dxfDrawing) block(b *dxfBlock, p dxfPair) (err error) {
	switch p.code {
	case 2:
		d.blocks[p.value] = b
	case 10:
		b.base.X, err = p.number()
	case 20:
		b.base.Y, err = p.number()
	}
	return err
}

// addEntity starts an entity; the corners of a POLYLINE are its own, each behind a group 0.
func addEntity(to *[]dxfEntity, kind string) *dxfEntity {
	n := len(*to)
	if kind == "VERTEX" && n > 0 && (*to)[n-1].kind == "POLYLINE" {
		e := &(*to)[n-1]
		e.pairs = append(e.pairs, dxfPair{code: 0})
		return e
	}
	*to = append(*to, dxfEntity{kind: kind})
	return &(*to)[n]
}

// number reads a group's value.
func (p dxfPair) number() (float64, error) {
	v, err := strconv.ParseFloat(p.value, 64)
	if err != nil || v-v != 0 {
		return 0, fmt.Errorf("line %d: %q is not a number", p.line, p.value)
	}
	return v, nil
}
