package compare

import (
	"maps"
	"math"

	"perch/parts/panel"
	"perch/parts/plane"
)

// Flat is what changed in a blank's flat. The old flat is laid on the new one so
// that most of both falls together; distances are measured there.
type Flat struct {
	Old     Extent  `json:"old"`
	New     Extent  `json:"new"`
	Outline float64 `json:"outline_moved_mm"` // largest distance between the outlines; 0 where they are one
	Holes   []Hole  `json:"holes"`            // of joins
	Cuts    []Cut   `json:"cuts"`             // named openings and notches
	Folds   []Fold  `json:"folds"`
	Marks   []Mark  `json:"marks"`

	onto     plane.Affine // the old flat to the new one
	mirrored bool
}

// Extent is the size of a flat.
type Extent struct {
	Width  float64 `json:"width_mm"`
	Height float64 `json:"height_mm"`
	Area   float64 `json:"area_mm2"`
	Mass   float64 `json:"mass_kg"`
}

// Hole is a hole or another place of a join that changed: it moved by Moved on its face,
// of which X is to the right and Y up in the new flat's drawing, or is made otherwise.
// InFlat is how far it lies elsewhere in the flat: one that bends carry along has not
// moved on its face. Was is its old name where that is another.
type Hole struct {
	Change      Change  `json:"change"`
	Name        string  `json:"name"`
	Was         string  `json:"was,omitempty"`
	Moved       float64 `json:"moved_mm"`
	X           float64 `json:"x_mm"`
	Y           float64 `json:"y_mm"`
	InFlat      float64 `json:"in_flat_mm"`
	OldKind     string  `json:"old_kind,omitempty"`
	NewKind     string  `json:"new_kind,omitempty"`
	OldWhen     string  `json:"old_when,omitempty"` // before, locate or in_place; of a hole
	NewWhen     string  `json:"new_when,omitempty"`
	OldDiameter float64 `json:"old_diameter_mm,omitempty"`
	NewDiameter float64 `json:"new_diameter_mm,omitempty"`

	from, to plane.Point // in the new flat
}

// Cut is a named opening that changed: it moved as a whole by Moved on its face, InFlat in
// the flat, or has another shape, its edge up to Edge elsewhere then.
type Cut struct {
	Change  Change  `json:"change"`
	Name    string  `json:"name"` // the face's and its own
	Moved   float64 `json:"moved_mm"`
	InFlat  float64 `json:"in_flat_mm"`
	Edge    float64 `json:"edge_moved_mm"`
	OldArea float64 `json:"old_area_mm2"`
	NewArea float64 `json:"new_area_mm2"`
}

// Fold is a fold that changed: its bend, or its line, which moved to the side by
// up to Moved and is Length long.
type Fold struct {
	Change    Change  `json:"change"`
	Name      string  `json:"name"`
	OldAngle  float64 `json:"old_angle_deg"`
	NewAngle  float64 `json:"new_angle_deg"`
	OldDown   bool    `json:"old_down"`
	NewDown   bool    `json:"new_down"`
	OldRadius float64 `json:"old_radius_mm"`
	NewRadius float64 `json:"new_radius_mm"`
	OldK      float64 `json:"old_k"`
	NewK      float64 `json:"new_k"`
	OldLength float64 `json:"old_length_mm"`
	NewLength float64 `json:"new_length_mm"`
	Moved     float64 `json:"line_moved_mm"`
}

// Mark is a mark that changed: it lies elsewhere, or is larger, by up to Moved. Old and New
// are its text, "" of what is none.
type Mark struct {
	Change Change  `json:"change"`
	Name   string  `json:"name"` // the face's and its own
	Moved  float64 `json:"moved_mm"`
	Old    string  `json:"old,omitempty"`
	New    string  `json:"new,omitempty"`
}

// flats compares two flats that are not congruent vertex by vertex; nil when they
// are the same metal all the same.
func flats(old, new *panel.Flat) *Flat {
	m, mirrored := align(old, new)
	f := &Flat{Old: extent(old), New: extent(new), onto: m, mirrored: mirrored}
	if d := apart(old.Outer.Transform(m), new.Outer); d > metalTol {
		f.Outline = told(d)
	}
	f.Holes = append([]Hole{}, holes(old, new, m)...) // empty, not null, in JSON
	f.Cuts = append([]Cut{}, cuts(old, new, m)...)
	f.Folds = append([]Fold{}, folds(old, new, m)...)
	f.Marks = append([]Mark{}, marks(old, new, m)...)
	if f.Outline == 0 && len(f.Holes)+len(f.Cuts)+len(f.Folds)+len(f.Marks) == 0 && math.Abs(f.Old.Area-f.New.Area) <= areaTol(new) {
		return nil
	}
	return f
}

// areaTol is the area, mm², that an outline within metalTol may differ by.
func areaTol(f *panel.Flat) float64 { return f.CutLength() * metalTol }

func extent(f *panel.Flat) Extent {
	w, h := f.Size()
	return Extent{Width: told(w), Height: told(h), Area: told(f.Area()), Mass: told(f.Mass())}
}

// holes pairs the holes of one join on one face by name where the names left over
// are the same, else by distance: names count on over the whole design.
func holes(old, new *panel.Flat, m plane.Affine) []Hole {
	a, b := old.Points, new.Points
	on := onFaces(old, new, m)
	p := unpaired(len(a), len(b))
	ka, inFlat, onFace := joinsOf(old), make([]plane.Point, len(a)), make([]plane.Point, len(a))
	kb, there := joinsOf(new), make([]plane.Point, len(b))
	for o := range a {
		inFlat[o], onFace[o] = m.Apply(a[o].At), on(a[o].Face).Apply(a[o].At)
	}
	for n := range b {
		there[n] = b[n].At
	}
	p.where(inFlat, there, func(o, n int) bool { return samePoint(&a[o], &b[n], m) })
	carried := unpaired(len(a), len(b))
	carried.old, carried.new = p.old, p.new // what is the same on its face is paired, and has changed
	carried.where(onFace, there, func(o, n int) bool { return ka[o] == kb[n] && samePoint(&a[o], &b[n], on(a[o].Face)) })
	one := sameNames(p, old, new, ka, kb)
	p.named(ka, kb, func(o, n int) bool { return one[kb[n]] && a[o].Name == b[n].Name })
	p.nearest(ka, kb, func(o, n int) float64 { return inFlat[o].Dist(b[n].At) })
	var out []Hole
	for n := range b {
		h := Hole{Change: Changed, Name: b[n].Name, NewKind: string(b[n].Kind), NewWhen: string(b[n].Made()), NewDiameter: told(b[n].Diameter), to: b[n].At}
		o := p.new[n]
		switch {
		case p.same[n]:
			continue
		case o < 0:
			h.Change = Added
		default:
			h.OldKind, h.OldWhen, h.OldDiameter, h.from = string(a[o].Kind), string(a[o].Made()), told(a[o].Diameter), m.Apply(a[o].At)
			h.moves(&a[o], on(a[o].Face))
			if a[o].Name != b[n].Name {
				h.Was = a[o].Name
			}
		}
		out = append(out, h)
	}
	for o := range a {
		if p.old[o] < 0 {
			out = append(out, Hole{Change: Removed, Name: a[o].Name, OldKind: string(a[o].Kind), OldWhen: string(a[o].Made()), OldDiameter: told(a[o].Diameter), from: m.Apply(a[o].At)})
		}
	}
	return out
}

// moves tells how far a hole moved: on its face, by that face's map, unless it moved less
// in the flat.
func (h *Hole) moves(o *panel.Point, face plane.Affine) {
	by := h.to.Sub(h.from)
	h.InFlat = told(by.Len())
	if h.InFlat <= metalTol {
		h.InFlat = 0
	}
	if on := h.to.Sub(face.Apply(o.At)); on.Len() < by.Len() {
		by = on
	}
	if by.Len() > metalTol {
		h.Moved, h.X, h.Y = told(by.Len()), told(by.X), told(by.Y)
	}
}

// onFaces is the map of each old face onto the new one of its name, m where there is none.
func onFaces(old, new *panel.Flat, m plane.Affine) func(face int) plane.Affine {
	maps := make([]plane.Affine, len(old.Faces))
	for i := range maps {
		maps[i], _ = faceMap(old, new, i, m)
	}
	return func(face int) plane.Affine { return maps[face] }
}

// joinsOf are the joins of the points of a flat, each with the face that it lies on: holes
// go together within one.
func joinsOf(f *panel.Flat) []string {
	out := make([]string, len(f.Points))
	for i, p := range f.Points {
		out[i] = base(p.Name) + "\x00" + f.Faces[p.Face].Name
	}
	return out
}

// sameNames tells of which joins the points left over have the same names on both sides.
func sameNames(p *pairing, old, new *panel.Flat, ka, kb []string) map[string]bool {
	olds, news := map[string]map[string]bool{}, map[string]map[string]bool{}
	put := func(sets map[string]map[string]bool, key, name string) {
		if sets[key] == nil {
			sets[key] = map[string]bool{}
		}
		sets[key][name] = true
	}
	for o, key := range ka {
		if p.old[o] < 0 {
			put(olds, key, old.Points[o].Name)
		}
	}
	for n, key := range kb {
		if p.new[n] < 0 {
			put(news, key, new.Points[n].Name)
		}
	}
	out := map[string]bool{}
	for key, names := range news {
		out[key] = maps.Equal(names, olds[key])
	}
	return out
}
