package shop

import (
	_ "embed"
	"errors"
	"math"
	"slices"

	"github.com/BurntSushi/toml"

	"perch/parts/bend"
	"perch/parts/measure"
)

// Template is a whole shop file in TOML that says what Default says, with every
// key explained: the reference of the file's format.
//
//go:embed shop.toml
var Template string

// Load reads a shop file (TOML; see Template for its keys). What the file leaves
// out stays as in Default: key by key in tables and materials, a whole list at a
// time in sheet, rivet, solid_rivet, bolt and test_bend. Lengths are millimetres, or inches
// with unit = "in"; angles are degrees. Unknown keys, wrong types and numbers that
// are NaN or out of range are errors; the error is then FileErrors.
func Load(text string) (*Shop, error) {
	r, top, err := openFile(text)
	if err != nil {
		return nil, err
	}
	s := Default()
	s.read(top)
	top.done()
	if err := r.sorted(); err != nil {
		return nil, err
	}
	return s, nil
}

// openFile reads TOML text as far as it is one: what is in it is asked for table by
// table. The error is FileErrors.
func openFile(text string) (*fileReader, *fileTable, error) {
	places, err := findPlaces(text)
	if err != nil {
		var one FileError
		errors.As(err, &one)
		return nil, nil, FileErrors{one}
	}
	var values map[string]any
	if _, err := toml.Decode(text, &values); err != nil {
		return nil, nil, FileErrors{syntaxError(err)}
	}
	r := &fileReader{places: places, unit: "mm", scale: 1}
	return r, &fileTable{r, "", values, map[string]bool{}}, nil
}

func syntaxError(err error) FileError {
	var pe toml.ParseError
	if !errors.As(err, &pe) {
		return FileError{Line: 1, Column: 1, Message: err.Error()}
	}
	return FileError{Line: max(pe.Position.Line, 1), Column: max(pe.Position.Col, 1), Key: pe.LastKey, Message: pe.Message}
}

func (s *Shop) read(t *fileTable) {
	t.choice("unit", &t.unit, "mm", "in")
	if t.unit == "in" {
		t.scale = inch
	}
	t.text("name", &s.Name)
	t.text("currency", &s.Currency)
	t.ruler("ruler", &s.Ruler)
	t.sub("bending", s.readBending)
	t.sub("material", s.readMaterials)
	t.sub("cutter", s.Cutter.read)
	t.sub("brake", s.Brake.read)
	t.sub("roller", func(t *fileTable) {
		t.length("throat", &s.Roller.Throat, 1, 1e4)
		t.length("min_corner", &s.Roller.MinCorner, 0, 1e4)
	})
	t.sub("drill", func(t *fileTable) {
		t.length("min", &s.Drill.Min, 0.1, 100)
		t.length("max", &s.Drill.Max, 0.1, 100)
		if s.Drill.Min > s.Drill.Max {
			t.fail(t.path, "min %s is above max %s", t.shown(s.Drill.Min), t.shown(s.Drill.Max))
		}
		t.sizes("sizes", &s.Drill.Sizes, 0.1, 100)
	})
	t.sub("tools", s.Tools.read)
	t.sub("fit", func(t *fileTable) {
		t.length("radius", &s.Fit.Radius, 0, 10)
		t.length("sliding", &s.Fit.Sliding, 0, 10)
		t.length("paint", &s.Fit.Paint, 0, 2)
	})
	t.sub("joining", func(t *fileTable) {
		t.choice("matched", &s.Joining.Matched, Matchings...)
		t.choice("located", &s.Joining.Located, Locatings...)
		t.flag("centres", &s.Joining.Centres)
	})
	t.sub("papers", func(t *fileTable) {
		t.choice("sheet", &s.Papers.Sheet, "A4", "Letter", "A3")
		t.choice("projection", &s.Papers.Projection, FirstAngle, ThirdAngle)
	})
	t.sub("build", func(t *fileTable) { t.kinds("also", &s.Written.Also) })
	t.sub("tolerance", s.Tolerance.read)
	t.sub("table", func(t *fileTable) { s.Table = readProfile(t) })
	s.readLists(t)
}

func (s *Shop) readBending(t *fileTable) {
	method := string(s.Method)
	t.choice("method", &method, methodNames()...)
	s.Method = bend.Method(method)
	t.number("k", &s.K, 0.01, 1)
	if s.Method == bend.Stated && s.K == 0 {
		t.fail(t.path, "method stated needs a k")
	}
}

func methodNames() []string {
	names := make([]string, len(bend.Methods))
	for i, m := range bend.Methods {
		names[i] = string(m)
	}
	return names
}

// readMaterials changes the materials that there are and adds others, in the
// order of their names.
func (s *Shop) readMaterials(t *fileTable) {
	names := make([]string, 0, len(t.values))
	for name := range t.values {
		names = append(names, name)
	}
	slices.Sort(names)
	if len(names) > maxList {
		t.fail(t.path, "has %d materials; at most %d are read", len(names), maxList)
		names = names[:0]
	}
	for _, name := range names {
		t.sub(name, func(t *fileTable) { s.readMaterial(name, t) })
	}
}

func (s *Shop) readMaterial(name string, t *fileTable) {
	if !isName(name) {
		t.fail(t.path, "a material's name is small letters, digits and _, a letter first")
		return
	}
	i := slices.IndexFunc(s.Materials, func(m Material) bool { return m.Name == name })
	if i < 0 {
		t.need("density", "group", "modulus", "yield")
		s.Materials = append(s.Materials, Material{Name: name, Group: bend.Medium, MinRadius: 1, Source: "the shop file"})
		i = len(s.Materials) - 1
	}
	m := &s.Materials[i]
	group := string(m.Group)
	t.number("density", &m.Density, 500, 25000)
	t.choice("gauge", &m.Gauge, append([]string{""}, GaugeSystems...)...)
	t.choice("group", &group, string(bend.Soft), string(bend.Medium), string(bend.Hard))
	t.number("modulus", &m.Modulus, 1000, 1e6)
	t.number("yield", &m.Yield, 1, 5000)
	t.number("min_radius", &m.MinRadius, 0, 20)
	t.flag("zinc", &m.Zinc)
	t.text("source", &m.Source)
	m.Group = bend.Group(group)
}

func isName(name string) bool {
	for i, r := range name {
		letter := r >= 'a' && r <= 'z'
		if !letter && (i == 0 || r != '_' && (r < '0' || r > '9')) {
			return false
		}
	}
	return name != "" && len(name) <= 64
}

func (l *Tolerance) read(t *fileTable) {
	degrees := l.Angle / bend.Degree
	t.number("angle", &degrees, 0, 10)
	l.Angle = degrees * bend.Degree
	t.length("line", &l.Line, 0, 10)
	t.length("drilled", &l.Drilled, 0, 10)
	t.length("table", &l.Table, 0, 20)
	t.number("contact", &l.Contact, 1, 1e7)
	t.number("pin", &l.Pin, 1, 1e7)
	t.number("aim", &l.Aim, 0.01, 1e5)
	t.number("hand", &l.Hand, 0, 1e5)
	t.number("drift", &l.Drift, 0, 1e5)
	if l.Hand > l.Drift {
		t.fail(t.pathOf("hand"), "a hand's %g N is above a drift's %g N", l.Hand, l.Drift)
	}
}

func (c *Cutter) read(t *fileTable) {
	t.text("kind", &c.Kind)
	drawings := c.Drawings.Unit()
	t.choice("drawings", &drawings, "mm", "in")
	c.Drawings, _ = measure.Named(drawings)
	t.length("kerf", &c.Kerf, 0.01, 10)
	t.length("min_hole", &c.MinHole, 0, 100)
	t.number("hole_sheets", &c.HoleSheets, 0, 20)
	t.number("hole_kerfs", &c.HoleKerfs, 0, 50)
	t.length("min_web", &c.MinWeb, 0, 100)
	t.number("web_sheets", &c.WebSheets, 0, 20)
	t.length("corner_extra", &c.CornerExtra, 0, 20)
	t.length("tolerance", &c.Tolerance, 0, 10)
	t.length("max_thickness", &c.MaxThickness, 0.1, bend.MaxThickness)
	t.length("width", &c.Width, 10, 1e5)
	t.length("length", &c.Length, 10, 1e5)
}

func (b *Brake) read(t *fileTable) {
	t.choice("kind", &b.Kind, BrakeLeaf, BrakeVDie)
	t.length("thickness", &b.Thickness, 0.1, bend.MaxThickness)
	t.length("length", &b.Length, 10, 1e5)
	t.number("over", &b.Over, 1, 5)
	t.number("opening", &b.Opening, 2, 30)
	t.length("hem_thickness", &b.HemThickness, 0, 10)
	t.choice("fold_marks", &b.Marks, MarksNicks, MarksScribe, MarksPunch, MarksNone)
	t.length("nick_width", &b.NickWidth, 0.2, 20)
	t.length("nick_depth", &b.NickDepth, 0.2, 20)
	t.sizes("openings", &b.Openings, 1, 1000)
	b.readLeaf(t)
	b.readTools(t)
}

// readLeaf reads the sections of a leaf brake.
func (b *Brake) readLeaf(t *fileTable) {
	t.sizes("fingers", &b.Fingers, 3, 1e4)
	t.length("finger_gap", &b.FingerGap, 0, 50)
	t.angle("front_angle", &b.FrontAngle, 30, 150)
	t.length("finger_neck", &b.FingerNeck, 0, 1000)
	t.length("finger_heel", &b.FingerHeel, 1, 1000)
	t.length("finger_height", &b.FingerHeight, 1, 2000)
	t.length("nose_radius", &b.NoseRadius, 0, 100)
	t.length("leaf_width", &b.LeafWidth, 1, 500)
	t.length("leaf_height", &b.LeafHeight, 1, 2000)
	t.length("bed_depth", &b.BedDepth, 10, 1e4)
	if v, ok := t.take("beam"); ok {
		if list, ok := t.lengths(t.pathOf("beam"), v, 2, -1000, 1e4); ok {
			b.Beam = [2]float64{list[0], list[1]}
		}
	}
	t.length("lift", &b.Lift, 0, 2000)
	t.length("between_frames", &b.BetweenFrames, 0, 1e5)
	t.length("hold_min", &b.HoldMin, 1, 500)
	t.length("move_min", &b.MoveMin, 0, 500)
	if b.FingerNeck >= b.FingerHeel {
		t.fail(t.path, "finger_neck %s is not in front of finger_heel %s", t.shown(b.FingerNeck), t.shown(b.FingerHeel))
	}
	if b.Beam[0] >= b.Beam[1] {
		t.fail(t.path, "beam: its front %s is not in front of its back %s", t.shown(b.Beam[0]), t.shown(b.Beam[1]))
	}
}

// readTools reads the punch and the die of a V die press.
func (b *Brake) readTools(t *fileTable) {
	t.choice("punch", &b.Punch, PunchStraight, PunchGooseneck)
	t.angle("punch_angle", &b.PunchAngle, 20, 120)
	t.length("punch_height", &b.PunchHeight, 10, 2000)
	t.length("punch_width", &b.PunchWidth, 1, 500)
	t.length("throat", &b.Throat, 0, 500)
	t.length("ram_width", &b.RamWidth, 1, 2000)
	t.length("stroke", &b.Stroke, 1, 2000)
	t.length("die_width", &b.DieWidth, 0, 1000)
	t.length("die_height", &b.DieHeight, 1, 2000)
}

func (s *Shop) readLists(t *fileTable) {
	var sheets []Sheet
	if t.each("sheet", func(t *fileTable) { sheets = append(sheets, s.readSheet(t)) }) {
		s.Sheets = sheets
	}
	s.readFasteners(t)
	var measured []Measured
	if t.each("test_bend", func(t *fileTable) { measured = append(measured, s.readMeasured(t)) }) {
		s.Measured = measured
	}
}

// material reads the name of a material of the shop.
func (s *Shop) material(t *fileTable, to *string) {
	t.text("material", to)
	if _, ok := s.Material(*to); !ok && *to != "" {
		t.fail(t.pathOf("material"), "%v", s.unknownMaterial(*to))
	}
}

func (s *Shop) readSheet(t *fileTable) (sheet Sheet) {
	t.need("material", "thickness", "width", "length")
	s.material(t, &sheet.Material)
	t.length("thickness", &sheet.Thickness, 0.1, bend.MaxThickness)
	t.length("width", &sheet.Width, 10, 1e5)
	t.length("length", &sheet.Length, 10, 1e5)
	t.number("price", &sheet.Price, 0, 1e9)
	var count float64
	t.number("count", &count, 0, 1e6)
	sheet.Count = int(count)
	return sheet
}

// readMeasured reads a test bend: its k, or the strip's lengths that give it.
func (s *Shop) readMeasured(t *fileTable) (m Measured) {
	t.need("thickness", "radius", "angle")
	s.material(t, &m.Material)
	degrees := 0.0
	t.length("thickness", &m.Thickness, 0.1, bend.MaxThickness)
	t.length("radius", &m.Radius, 0, 1000)
	t.number("angle", &degrees, 1, 180)
	m.Angle = degrees * bend.Degree
	t.number("k", &m.K, 0.01, 1)
	strip := bend.TestBend{Thickness: m.Thickness, Radius: m.Radius, Angle: m.Angle}
	t.length("flat", &strip.Flat, 1, bend.MaxRadius)
	t.length("leg_a", &strip.LegA, 1, bend.MaxRadius)
	t.length("leg_b", &strip.LegB, 1, bend.MaxRadius)
	if t.has("k") {
		if t.has("flat") || t.has("leg_a") || t.has("leg_b") {
			t.fail(t.path, "give either k or the strip's flat, leg_a and leg_b")
		}
		return m
	}
	before := len(t.errs)
	if t.need("flat", "leg_a", "leg_b"); len(t.errs) > before {
		return m
	}
	k, _, err := strip.K()
	switch {
	case err != nil:
		t.fail(t.path, "%v", err)
	case bend.Suspect(k) || math.IsNaN(k):
		t.fail(t.path, "these lengths give K = %.3f, outside %.2f..%.2f: measure again, or state k", k, bend.SuspectBelow, bend.SuspectAbove)
	default:
		m.K = k
	}
	return m
}
