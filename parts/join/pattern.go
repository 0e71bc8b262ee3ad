package join

import (
	"math"

	"perch/parts/measure"
	"perch/parts/plane"
)

// Kinds of fasteners.
const (
	Rivet = "rivet"
	Bolt  = "bolt"
	Plug  = "plug" // plug weld through a hole of the outermost sheet
	Tack  = "tack" // short weld along an edge
	Weld  = "weld" // bead along an edge, or a row of them
)

// Along is the way a row runs on the first member.
type Along string

const (
	AlongLonger Along = "longer" // along the longer side of the patch; x where both are the same
	AlongU      Along = "u"      // along x
	AlongV      Along = "v"      // along y
)

// On is the way that a row runs on a patch, AlongU or AlongV.
func (a Along) On(p Patch) Along {
	if a == AlongU || a == AlongV {
		return a
	}
	if s := p.Region.Bounds().Size(); s.Y > s.X+sideTol {
		return AlongV
	}
	return AlongU
}

// Across is the other way.
func (a Along) Across() Along {
	if a == AlongV {
		return AlongU
	}
	return AlongV
}

// dir is the direction of a row on a patch. A patch that lies aslant to the first member,
// such as a strip along a leaning edge, has a longer side of its own: that of the least
// box around it which one of its straight edges lies along.
func (a Along) dir(p Patch) plane.Point {
	if a.On(p) == a {
		return axes[a]
	}
	dir := axes[a.On(p)]
	size := p.Region.Bounds().Size()
	least := aslant * float64(size.X*size.Y)
	for _, l := range p.Region {
		for _, e := range l.Edges() {
			if !e.Straight() || e.From.Dist(e.To) <= sideTol {
				continue
			}
			way := e.StartTangent()
			if math.Abs(float64(way.X*way.Y)) < 1e-9 { // along an axis: its box is the one above
				continue
			}
			size := p.Region.Transform(plane.RotateTo(plane.Point{X: way.X, Y: -way.Y})).Bounds().Size()
			if area := float64(size.X * size.Y); area < least-sideTol {
				least, dir = area, way
				if size.Y > size.X+sideTol {
					dir = way.Perp()
				}
			}
		}
	}
	if dir.X < -1e-9 || dir.X <= 1e-9 && dir.Y < 0 {
		dir = dir.Scale(-1)
	}
	return dir
}

var axes = map[Along]plane.Point{AlongU: {X: 1}, AlongV: {Y: 1}}

// aslant is how much of the box along the first member's axes a turned one may have to be
// the patch's own: a cheek that tapers by a few degrees keeps its rows level.
const aslant = 0.75

// sideTol is how much longer, in mm, a side of a patch must be to be the longer one: far
// above rounding, so that a square is one in every place.
const sideTol = 1e-6

// Fastener says what joins a patch and how it is laid out. Lengths in mm; a zero takes
// the trade's rule.
type Fastener struct {
	Kind     string
	Diameter float64 // of a rivet or bolt; hole of a plug (0: t + 8, not under 10); length of a weld or of a tack (0: 5)
	Hole     float64 // hole for a rivet or bolt; 0 for Diameter
	Pitch    float64 // between centres; 0: 6·Diameter, plugs 4·hole, welds 3 lengths, tacks 30 or from 2 mm sheets on 50
	Count    int     // spread over the usable length; 0: from the pitch
	Edge     float64 // least distance of centres from edges; 0: 2·Diameter, plugs 1.5·hole, tacks 12 from the end, welds 3 and half a length
	Along    Along   // the way rows run; "" is AlongLonger
	Inner    bool    // a head lies on the innermost sheet, which is then taken for the outermost
	// Round is the least hole that the shop's cutter makes round in a sheet of the given
	// thickness; smaller ones are marked and drilled. nil: all are cut.
	Round func(thickness float64) float64
}

// Layout reasons.
type Short string

const (
	NoRoom   Short = "no room"    // Got mm across the patch, Need twice the edge distance
	TooTight Short = "too tight"  // Got mm between centres, Need three diameters
	NearEdge Short = "near edge"  // a stated place is Got mm from an edge, Need
	OffPatch Short = "off patch"  // a stated place lies Got mm off the patch
	NoEdge   Short = "no edge"    // a tack finds no straight edge
	TooMany  Short = "too many"   // Got fasteners in one row, at most Need
	BadKind  Short = "bad kind"   // unknown fastener
	BadSize  Short = "bad number" // a number of the fastener is negative or not finite
)

// PatternError is a pattern that the patch has no room for, with the shortage.
type PatternError struct {
	Kind      string
	Short     Short
	Got, Need float64
}

func (e *PatternError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *PatternError) Told() measure.Text {
	switch e.Short {
	case NoRoom:
		return measure.Say("no room for a %s: the contact is %.4g across, %.4g needed (short by %.3g)", e.Kind, measure.Length(e.Got), measure.Length(e.Need), measure.Length(e.Need-e.Got))
	case TooTight:
		return measure.Say("%ss would stand %.4g apart, at least %.4g needed (short by %.3g)", e.Kind, measure.Length(e.Got), measure.Length(e.Need), measure.Length(e.Need-e.Got))
	case NearEdge:
		return measure.Say("a %s is %.4g from an edge, at least %.4g needed (short by %.3g)", e.Kind, measure.Length(e.Got), measure.Length(e.Need), measure.Length(e.Need-e.Got))
	case OffPatch:
		return measure.Say("a %s lies %.4g off the contact", e.Kind, measure.Length(e.Got))
	case TooMany:
		return measure.Say("a row of %.0f %ss is too many, at most %.0f: state a longer pitch", e.Got, e.Kind, e.Need)
	case NoEdge:
		return measure.Plain("no straight edge of the contact to tack along")
	case BadSize:
		return measure.Say("%s: a size of %.6g", e.Kind, measure.Length(e.Got))
	}
	return measure.Say("%q is no fastener: rivet, bolt, plug, tack or weld", e.Kind)
}

// Place is one fastener on a patch, in the first member's frame.
type Place struct {
	At  plane.Point
	Dir plane.Point // unit, along a tack; zero otherwise
}

// minSpacing is the least distance of centres in diameters (NAVEDTRA 14018).
const minSpacing = 3

// beads tells whether the fastener is a weld along an edge.
func (f Fastener) beads() bool { return f.Kind == Tack || f.Kind == Weld }

// withRules fills a fastener's zeros for a patch.
func (f Fastener) withRules(p Patch) (Fastener, error) {
	for _, x := range [5]float64{f.Diameter, f.Hole, f.Pitch, f.Edge, float64(f.Count)} {
		if !(x >= 0 && x < 1e6) {
			return f, &PatternError{Kind: f.Kind, Short: BadSize, Got: x}
		}
	}
	or := func(x *float64, rule float64) {
		if *x == 0 {
			*x = rule
		}
	}
	t, thick := math.Inf(1), 0.0
	for i := range p.Members {
		t, thick = min(t, p.thickness(i)), max(thick, p.thickness(i))
	}
	switch f.Kind {
	case Rivet, Bolt:
		if f.Diameter == 0 {
			return f, &PatternError{Kind: f.Kind, Short: BadSize}
		}
		or(&f.Hole, f.Diameter)
		or(&f.Pitch, 6*f.Diameter)
		or(&f.Edge, 2*f.Diameter)
	case Plug:
		or(&f.Diameter, max(t+8, 10))
		f.Hole = f.Diameter
		or(&f.Pitch, 4*f.Diameter)
		or(&f.Edge, 1.5*f.Diameter)
	case Tack:
		or(&f.Diameter, 5)
		apart := 30.0
		if thick >= 2 {
			apart = 50
		}
		or(&f.Pitch, apart)
		or(&f.Edge, 12)
	case Weld:
		if f.Diameter == 0 {
			return f, &PatternError{Kind: f.Kind, Short: BadSize}
		}
		or(&f.Pitch, 3*f.Diameter)           // common practice, no source
		or(&f.Edge, float64(f.Diameter/2)+3) // common practice, no source: no crater on the edge
	default:
		return f, &PatternError{Kind: f.Kind, Short: BadKind}
	}
	return f, nil
}

// Pattern lays the fastener out on the patch: one row the way Along says, centred, ⌊usable/pitch⌋ + 1 of them or Count spread over the
// usable length, every centre at least Edge from the patch's edges. Tacks run along the
// longest free straight edge. The error is a *PatternError.
func Pattern(p Patch, f Fastener) ([]Place, error) {
	f, err := f.withRules(p)
	if err != nil {
		return nil, err
	}
	if f.beads() {
		return tacks(p, f)
	}
	dir := f.Along.dir(p)
	need := float64(f.Count-1) * minSpacing * f.Diameter
	row, ok := middleRow(p.Region, dir, f.Edge, need)
	if !ok {
		row, ok = centreRow(p.Region, plane.Offset(p.Region, -f.Edge), dir, need)
	}
	if !ok {
		return nil, &PatternError{f.Kind, NoRoom, p.Region.Across(), 2 * f.Edge}
	}
	centres, step, err := spread(row.To-row.From, f)
	if err != nil {
		return nil, err
	}
	if len(centres) > 1 && step < float64(minSpacing*f.Diameter)-1e-9 {
		return nil, &PatternError{f.Kind, TooTight, step, minSpacing * f.Diameter}
	}
	out := make([]Place, len(centres))
	for i, s := range centres {
		out[i].At = row.at(row.From + s)
	}
	return out, nil
}

// Stated holds stated places, in the first member's frame, to the patch and its edge
// distance. The error is a *PatternError.
func Stated(p Patch, f Fastener, at []plane.Point) ([]Place, error) {
	f, err := f.withRules(p)
	if err != nil {
		return nil, err
	}
	out := make([]Place, len(at))
	for i, c := range at {
		d, _ := p.Region.DistanceTo(c)
		if p.Region.Locate(c) == plane.Outside {
			return nil, &PatternError{f.Kind, OffPatch, d, 0}
		}
		if !f.beads() && d < f.Edge-1e-6 {
			return nil, &PatternError{f.Kind, NearEdge, d, f.Edge}
		}
		out[i].At = c
		if f.beads() {
			out[i].Dir = plane.Point{X: 1}
		}
	}
	return out, nil
}

// row is a stretch of a line across a patch.
type row struct {
	p, dir plane.Point
	plane.Interval
}

func (r row) at(s float64) plane.Point {
	return plane.Point{X: r.p.X + float64(s*r.dir.X), Y: r.p.Y + float64(s*r.dir.Y)}
}

// middleRow is the longest stretch along dir on the line through the middle of the patch
// that keeps the edge distance; false where it is shorter than need.
func middleRow(region plane.Region, dir plane.Point, edge, need float64) (row, bool) {
	n := dir.Perp()
	lo, hi := reach(region, n)
	r := row{p: n.Scale((lo + hi) / 2), dir: dir}
	for _, c := range plane.DeepChords(region, r.p, dir, edge) {
		if c.Len() > r.Len()+1e-6 {
			r.Interval = c
		}
	}
	return r, r.Len() > 1e-6 && r.Len() >= need-1e-6
}

// centreRow is the longest stretch of inner along dir on the line through the middle of
// the patch; where that line misses, or is shorter there than need, on the nearest of a
// few lines beside it, or else on the one with the longest stretch.
func centreRow(region, inner plane.Region, dir plane.Point, need float64) (row, bool) {
	if len(inner) == 0 {
		return row{}, false
	}
	n := dir.Perp()
	from, to := reach(region, n)
	lo, hi := reach(inner, n)
	lines := []float64{(from + to) / 2, (lo + hi) / 2, inner.Centroid().Dot(n)}
	const steps = 16
	for k := 1; k < steps; k++ { // middle outwards
		d := float64(float64((k+1)/2) / steps * (hi - lo))
		if k%2 == 0 {
			d = -d
		}
		lines = append(lines, float64((lo+hi)/2)+d)
	}
	var best row
	for _, y := range lines {
		r := row{p: n.Scale(y), dir: dir}
		for _, c := range plane.Chords(inner, r.p, dir) {
			if c.Len() > r.Len()+1e-6 {
				r.Interval = c
			}
		}
		if r.Len() > 0 && r.Len() >= need-1e-6 {
			return r, true
		}
		if r.Len() > best.Len() {
			best = r
		}
	}
	if best.Len() > 0 {
		return best, true
	}
	c := inner.Centroid() // a point's worth of room
	if inner.Locate(c) == plane.Outside {
		return row{}, false
	}
	return row{p: c, dir: dir}, true
}

// reach is how far a region goes along a unit vector.
func reach(r plane.Region, n plane.Point) (lo, hi float64) {
	b := r.Transform(plane.RotateTo(plane.Point{X: n.X, Y: -n.Y})).Bounds()
	return b.Min.X, b.Max.X
}

// maxRow is how many fasteners may stand in one row.
const maxRow = 10_000

// spread lays centres out over a usable length from 0 and tells their spacing.
func spread(usable float64, f Fastener) (centres []float64, step float64, err error) {
	const slack = 1e-6 // mm; a length that just fits does
	n, step := f.Count, f.Pitch
	if n == 0 {
		most := math.Floor((usable+slack)/step) + 1
		if most > maxRow {
			return nil, 0, &PatternError{f.Kind, TooMany, most, maxRow}
		}
		n = int(most)
	} else if n > 1 {
		step = usable / float64(n-1)
	}
	first := float64((usable - float64(float64(n-1)*step)) / 2)
	for i := range n {
		centres = append(centres, first+float64(float64(i)*step))
	}
	return centres, step, nil
}

// tacks lays short welds along the patch's longest free straight edge: an edge of one
// sheet that ends on another. Where there is none, along its longest straight edge.
func tacks(p Patch, f Fastener) ([]Place, error) {
	var best, fallback plane.Edge
	for _, l := range p.Region {
		for i := range l {
			e := l.Edge(i)
			if !e.Straight() {
				continue
			}
			if e.Chord() > fallback.Chord()+1e-6 {
				fallback = e
			}
			if e.Chord() > best.Chord()+1e-6 && p.free(e) {
				best = e
			}
		}
	}
	if best.Chord() == 0 {
		best = fallback
	}
	length := best.Chord()
	if length == 0 {
		return nil, &PatternError{Kind: f.Kind, Short: NoEdge}
	}
	centres, err := f.centres(length)
	if err != nil {
		return nil, err
	}
	dir := best.To.Sub(best.From).Unit()
	out := make([]Place, len(centres))
	for i, s := range centres {
		out[i] = Place{At: plane.Point{X: best.From.X + float64(s*dir.X), Y: best.From.Y + float64(s*dir.Y)}, Dir: dir}
	}
	return out, nil
}

// free tells whether a sheet ends at the patch's edge e, by a cut edge and not at a
// bend, while another goes on past it.
func (p Patch) free(e plane.Edge) bool {
	const off, tol = 0.05, 1e-4 // mm
	mid := e.Mid()
	past := mid.Add(e.To.Sub(e.From).Unit().Perp().Scale(-off))
	cut, on := false, false
	for _, m := range p.Members {
		if m.Flat.Prism(m.Face).On(p.Frame).Locate(past) != plane.Outside {
			on = true
			continue
		}
		face := m.Flat.Faces[m.Face]
		q := face.ToFlat.Apply(m.Flat.FaceFrame(m.Face).Local(p.Frame.At(mid)))
		blank := append(plane.Region{m.Flat.Outer}, m.Flat.Inner...)
		if d, _ := blank.DistanceTo(q); d <= tol {
			cut = true
		}
	}
	return cut && on
}
