package panel

import (
	"math"
	"strings"
	"testing"

	"perch/parts/bend"
	"perch/parts/measure"
	"perch/parts/plane"
	"perch/parts/solid"
)

// TestFoldsThatCantBe: folds and faces that make no part, each with its number.
func TestFoldsThatCantBe(t *testing.T) {
	any := math.NaN()
	one := func() builder {
		b := base(rectAt(0, 0, 100, 60))
		b.hang(0, "flange", pt(100, 60), pt(0, 60), 90, true, rectAt(-50, 0, 50, 20))
		return b
	}
	b := one() // a second flange on 40 mm of the first one's edge
	b.hang(0, "again", pt(100, 60), pt(60, 60), 90, false, rectAt(-20, 0, 20, 20))
	wants(t, b.Panel, BentAlready, 40, any)
	b = one() // the web's edge is in two pieces of 30 mm
	b.Faces[0].Outline = plane.Region{loopOf(pt(0, 0), pt(100, 0), pt(100, 60), pt(70, 60), pt(70, 50), pt(30, 50), pt(30, 60), pt(0, 60))}
	wants(t, b.Panel, Stretches, 2, any)
	b = one() // the web runs 5 mm past the line
	b.Faces[0].Outline = rectAt(0, 0, 100, 65)
	wants(t, b.Panel, CrossesLine, 5, any)
	b = base(rectAt(0, 0, 100, 60))
	b.hang(0, "flange", pt(100, 60), pt(0, 60), 160, true, rectAt(-50, 0, 50, 20))
	b.Folds[0].Angle = 0
	wants(t, b.Panel, AngleNeeded, 160*bend.Degree, any)
	b = base(rectAt(0, 0, 100, 60))
	b.Faces = append(b.Faces, Face{Name: "flange", Frame: Hung(b.Faces[0].Frame, pt(100, 60), pt(0, 60), bend.Bend{Angle: math.Pi / 2, Thickness: 1.5}, true), Outline: rectAt(-50, 0, 50, 20)})
	b.Folds = append(b.Folds, Fold{Name: "flange", B: 1, Angle: math.Pi / 2, Down: true})
	wants(t, b.Panel, BadBend, 0, any) // a bend without radius on the inner surface takes no metal
	b = base(rectAt(0, 0, 100, 60))
	b.Faces = append(b.Faces, Face{Name: "hem", Frame: Hung(b.Faces[0].Frame, pt(100, 60), pt(0, 60), bend.Hem(1.5), true), Outline: rectAt(-50, 0, 50, 20)})
	b.Faces[1].Frame.O = b.Faces[1].Frame.O.Add(solid.Vec{Z: 0.25})
	b.Folds = append(b.Folds, Fold{Name: "hem", B: 1, K: 0.5, Angle: math.Pi, Down: true})
	wants(t, b.Panel, Disagree, 0.25, any)
	b = one() // a slot from side to side
	b.Faces[0].Cuts = []Cut{{"slot", rectAt(-5, 20, 105, 30)}}
	wants(t, b.Panel, Pieces, 2, any)
	for name, outline := range map[string]plane.Region{
		"two loops":  append(rectAt(0, 0, 100, 60), rectAt(120, 0, 130, 10)...),
		"clockwise":  {rectAt(0, 0, 100, 60)[0].Reversed()},
		"no area":    {loopOf(pt(0, 0), pt(100, 0), pt(50, 0))},
		"a bow tie":  {loopOf(pt(0, 0), pt(100, 60), pt(100, 0), pt(0, 70))},
		"one corner": {loopOf(pt(0, 0))},
	} {
		b = one()
		b.Faces[0].Outline = outline
		if _, err := Unfold(b.Panel, Options{}); err == nil || !strings.Contains(err.Error(), "face web: bad outline") {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, f := range map[string]solid.Frame{
		"askew":   {X: solid.Vec{X: 1}, Y: solid.Vec{X: 0.1, Y: 1}.Unit()},
		"long":    {X: solid.Vec{X: 1.1}, Y: solid.Vec{Y: 1}},
		"nowhere": {O: solid.Vec{Z: math.Inf(1)}, X: solid.Vec{X: 1}, Y: solid.Vec{Y: 1}},
		"none":    {},
	} {
		b = base(rectAt(0, 0, 100, 60))
		b.Faces[0].Frame = f
		if _, err := Unfold(b.Panel, Options{}); err == nil || !strings.Contains(err.Error(), "its frame") {
			t.Errorf("%s: %v", name, err)
		}
	}
	b = one()
	b.Faces[0].Cuts = []Cut{{"tie", plane.Region{loopOf(pt(10, 10), pt(30, 20), pt(30, 10), pt(10, 25))}}}
	if _, err := Unfold(b.Panel, Options{}); err == nil || !strings.Contains(err.Error(), "cut tie: the outline crosses itself") {
		t.Errorf("a cut that crosses itself: %v", err)
	}
}

// TestSeamsThatCantBe: what forbids a seam.
func TestSeamsThatCantBe(t *testing.T) {
	any := math.NaN()
	p := tray(true, 90, 0, SeamOpen, 0)
	p.Seams = []Seam{{Name: "across", A: 1, B: 3}} // walls that face away from each other
	wants(t, p, BadSides, math.Pi, any)
	for _, s := range []Seam{{Gap: -1}, {Gap: math.NaN()}, {Gap: math.Inf(1)}, {Kind: SeamLapped, Lap: -1}, {Kind: SeamLapped, Lap: math.Inf(1)}} {
		p = tray(true, 90, 0, SeamOpen, 0)
		s.Name, s.A, s.B = "s", 1, 2
		p.Seams = []Seam{s}
		wants(t, p, BadSeam, any, any)
	}
	p = tray(true, 90, 0, SeamLapped, 2) // the bend of the lap sets back 3 mm
	wants(t, p, TooShort, 2, any)
	p = tray(true, 90, 0, SeamLapped, 3.5)
	if _, err := Unfold(p, Options{}); err != nil {
		t.Errorf("a lap of half a millimetre behind its bend: %v", err)
	}
	p = tray(true, 90, 0, SeamOpen, 0)
	p.Faces[1].Outline = plane.Region{{{P: pt(-60, 0)}, {P: pt(60, 0), Bulge: 0.9}}} // no straight edge at its ends
	wants(t, p, BadSeam, any, any)
	p = tray(true, 90, 0, SeamOpen, 0)
	p.Faces[1].Frame = p.Faces[1].Frame.Back()
	if _, err := Unfold(p, Options{}); err == nil {
		t.Error("a wall with its back to its neighbours is unfolded")
	}
}

// TestOtherErrorsTell: how what is wrong with faces, folds and seams reads.
func TestOtherErrorsTell(t *testing.T) {
	for _, c := range []struct {
		err  error
		want string
	}{
		{&FoldError{Panel: "p", Fold: "web/lip", A: "web", B: "lip", Face: "lip", Other: "rim", Reason: BentAlready, Got: 12.5},
			"panel p, fold web/lip: lip is bent there already, by fold rim: the two share 12.5 mm of its edge"},
		{&FoldError{Panel: "p", Fold: "f", A: "web", B: "lip", Face: "lip", Reason: NoEdgeLeft, Got: 40},
			"panel p, fold f (web to lip): lip keeps no straight edge along this bend, which is 40 mm long: the bends and corners beside it take all of it"},
		{&FoldError{Panel: "p", Fold: "f", A: "web", B: "lip", Reason: WrongSide}, "panel p, fold f (web to lip): lip lies on the wrong side of the fold; use .back"},
		{&FoldError{Panel: "p", Fold: "f", A: "web", B: "lip", Reason: BadBend}, "panel p, fold f (web to lip): bad bend"},
		{&FoldError{Panel: "p", Fold: "f", A: "web", B: "lip", Reason: BadBend, Detail: measure.Plain("K is 2")}, "panel p, fold f (web to lip): bad bend: K is 2"},
		{&FoldError{Panel: "p", Fold: "f", A: "web", B: "lip", Reason: TooShort, Face: "lip", Got: 2, Need: 3}, "panel p, fold f (web to lip): lip is too short for its set-back: 2 mm, needs more than 3"},
		{&FoldError{Panel: "p", Fold: "f", A: "web", B: "lip", Reason: CutInBend, Face: "web", Other: "slot", Got: 10}, "panel p, fold f (web to lip): cut slot of web reaches into the bend by 10 mm²"},
		{&FaceError{Panel: "p", Face: "web", Reason: Pieces}, "panel p: nothing is left of web"},
		{&FaceError{Panel: "p", Face: "web", Reason: Pieces, Got: 3, Detail: measure.Plain("by its cuts")}, "panel p: web falls into 3 pieces: by its cuts"},
		{&FaceError{Panel: "p", Face: "a", Others: []string{"b", "c"}, Reason: Cycle}, "panel p: the folds run in a cycle: a, b, c; leave one to a seam"},
		{&FaceError{Panel: "p", Face: "a", Others: []string{"b", "c"}, Reason: TwoParents}, "panel p: face a hangs on two faces: b, c"},
		{&FaceError{Panel: "p", Face: "a", Others: []string{"b"}, Reason: TwoRoots}, "panel p: faces a, b are all roots: each face but one must be hung by a fold"},
		{&FaceError{Panel: "p", Face: "a", Others: []string{"b"}, Reason: Overlap, Got: 2.5}, "panel p: the flat overlaps itself: a and b share 2.5 mm²"},
		{&FaceError{Panel: "p", Face: "a", Cut: "slot", Reason: OffFace}, "panel p: cut slot takes nothing off face a: it lies beside it"},
		{&FaceError{Panel: "p", Face: "a", Reason: BadIndex}, "panel p: face a: no such face"},
		{&SeamError{Panel: "p", Seam: "a/b", A: "a", B: "b", Reason: NoCorner}, "panel p, seam a/b: no corner line"},
		{&SeamError{Panel: "p", Seam: "s", A: "a", B: "b", Reason: BadSeam, Detail: measure.Plain("too wide")}, "panel p, seam s (a to b): bad seam: too wide"},
	} {
		if got := c.err.Error(); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
}

// TestWhatKeepsBlanksApart: families, stocks and openings that differ make blanks of their own,
// and names follow family and first copy.
func TestWhatKeepsBlanksApart(t *testing.T) {
	plate := func(cuts ...Cut) *Flat {
		b := base(rectAt(0, 0, 60, 40))
		b.Faces[0].Cuts = cuts
		return unfold(t, b.Panel)
	}
	hole := func(x, y, d float64) Cut {
		return Cut{"h", plane.Region{plane.Circle(d).Transform(plane.Translate(pt(x, y)))}}
	}
	thick := plate()
	thick.Panel.Stock.Thickness = 2
	named := plate()
	named.Panel.Stock.Name = "other"
	made := plate()
	made.Panel.Stock.Material = "brass"
	for name, c := range map[string]struct {
		parts []Part
		names []string
	}{
		"one family":         {[]Part{{Name: "a", Family: "f", Flat: plate()}, {Name: "b", Family: "f", Flat: plate()}}, []string{"f"}},
		"two families":       {[]Part{{Name: "a", Family: "f", Flat: plate()}, {Name: "b", Family: "g", Flat: plate()}}, []string{"f", "g"}},
		"a family and none":  {[]Part{{Name: "a", Family: "f", Flat: plate()}, {Name: "b", Flat: plate()}, {Name: "c", Flat: plate()}}, []string{"f", "b"}},
		"a family of two":    {[]Part{{Name: "a", Family: "f", Flat: plate()}, {Name: "b", Family: "f", Flat: plate(hole(20, 20, 6))}}, []string{"a", "b"}},
		"thickness":          {[]Part{{Name: "a", Flat: plate()}, {Name: "b", Flat: thick}}, []string{"a", "b"}},
		"stock":              {[]Part{{Name: "a", Flat: plate()}, {Name: "b", Flat: named}}, []string{"a", "b"}},
		"material":           {[]Part{{Name: "a", Flat: plate()}, {Name: "b", Flat: made}}, []string{"a", "b"}},
		"a hole's place":     {[]Part{{Name: "a", Flat: plate(hole(20, 20, 6))}, {Name: "b", Flat: plate(hole(22, 20, 6))}}, []string{"a", "b"}},
		"a hole's size":      {[]Part{{Name: "a", Flat: plate(hole(20, 20, 6))}, {Name: "b", Flat: plate(hole(20, 20, 7))}}, []string{"a", "b"}},
		"a hole, turned":     {[]Part{{Name: "a", Flat: plate(hole(20, 15, 6))}, {Name: "b", Flat: plate(hole(40, 25, 6))}}, []string{"a"}},
		"holes, one turned":  {[]Part{{Name: "a", Flat: plate(hole(20, 15, 6), hole(30, 30, 5))}, {Name: "b", Flat: plate(hole(40, 25, 6), hole(30, 30, 5))}}, []string{"a", "b"}},
		"holes told in turn": {[]Part{{Name: "a", Flat: plate(hole(20, 15, 6), hole(30, 30, 6))}, {Name: "b", Flat: plate(hole(30, 30, 6), hole(20, 15, 6))}}, []string{"a"}},
	} {
		blanks, copies := Group(c.parts)
		var names []string
		count := 0
		for _, b := range blanks {
			names = append(names, b.Name)
			count += b.Count
		}
		if strings.Join(names, " ") != strings.Join(c.names, " ") || count != len(c.parts) {
			t.Errorf("%s: blanks %v of %d parts, want %v", name, names, count, c.names)
		}
		for i, k := range copies {
			// the map takes the blank's corners onto the part's where it stands
			part := c.parts[i].Flat
			for _, v := range blanks[k.Blank].Flat.Outer {
				at := k.Matrix.Apply(solid.Vec{X: v.P.X, Y: v.P.Y})
				near := false
				for _, w := range part.Outer {
					near = near || at.Sub(part.World(part.Root).At(w.P)).Len() < 1e-6
				}
				if !near {
					t.Errorf("%s: part %d: the blank's corner %v comes to %v, no corner of the part", name, i, v.P, at)
				}
			}
		}
	}
	_, copies := Group([]Part{{Name: "a", Flat: plate()}})
	if name, ok := copies[0].Point("none"); ok || name != "" {
		t.Errorf("a point that there is not is called %q", name)
	}
}
