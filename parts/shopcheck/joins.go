package shopcheck

import (
	"math"
	"slices"
	"strings"

	"perch/parts/bend"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/solid"
	"perch/parts/tolerance"
)

// CheckAssembly holds every blank and every join of an assembly to the rules, in
// the order of the blanks, then of the joins. Copies of a blank are told once. misfits are
// the assembly's.
func CheckAssembly(a *panel.Assembly, shop *shop.Shop, misfits *tolerance.Misfits) []Finding {
	if a == nil || shop == nil {
		return nil
	}
	var found []Finding
	for _, b := range a.Blanks {
		if b == nil {
			continue
		}
		of := Check(b.Flat, shop)
		for i := range of {
			of[i].Part = b.Name
		}
		found = append(found, of...)
	}
	return append(found, CheckJoins(a, shop, misfits)...)
}

// CheckJoins holds the fasteners of an assembly to the rules for their size, place
// and spacing. What is the same for several copies of a blank is told once.
func CheckJoins(a *panel.Assembly, shop *shop.Shop, misfits *tolerance.Misfits) []Finding {
	if a == nil || shop == nil {
		return nil
	}
	j := &joiner{welded: map[*panel.Blank]bool{}, a: a, shop: shop, told: map[told]bool{}, misfits: misfits, edge: map[*panel.Blank][]float64{}, points: map[*panel.Blank]map[string]int{}}
	stacks := make([][]sheet, len(a.Joins))
	for i := range a.Joins {
		stacks[i] = j.stack(&a.Joins[i])
	}
	for i := range a.Joins {
		j.join(i, &a.Joins[i], stacks[i])
	}
	j.spacing(stacks)
	return j.found
}

// told is what one finding is about, to tell it once.
type told struct{ code, part, place, other string }

type joiner struct {
	a       *panel.Assembly
	shop    *shop.Shop
	told    map[told]bool
	edge    map[*panel.Blank][]float64      // by point: how far the nearest edge is, NaN where nobody asked yet
	points  map[*panel.Blank]map[string]int // by name
	found   []Finding
	misfits *tolerance.Misfits
	welded  map[*panel.Blank]bool // of coated sheet: told already
}

// sheet is one member of a fastened stack.
type sheet struct {
	copy  int
	blank *panel.Blank
	point panel.Point
	index int // of the point, in the flat
	t     float64
}

// stack finds the members of a join, outermost first; members that name no copy or
// point are left out.
func (j *joiner) stack(join *panel.JoinPoint) []sheet {
	all := make([]sheet, 0, len(join.Members))
	for _, m := range join.Members {
		if m.Copy < 0 || m.Copy >= len(j.a.Copies) {
			continue
		}
		at := j.a.Copies[m.Copy].Blank
		if at < 0 || at >= len(j.a.Blanks) || j.a.Blanks[at] == nil {
			continue
		}
		b := j.a.Blanks[at]
		if b.Flat == nil || b.Flat.Panel == nil {
			continue
		}
		if i, ok := j.pointsOf(b)[m.Point]; ok {
			all = append(all, sheet{m.Copy, b, b.Flat.Points[i], i, b.Flat.Panel.Stock.Thickness})
		}
	}
	return all
}

// pointsOf are the places of a blank's points in its flat, by their names.
func (j *joiner) pointsOf(b *panel.Blank) map[string]int {
	if j.points[b] == nil {
		all := make(map[string]int, len(b.Flat.Points))
		for i, p := range slices.Backward(b.Flat.Points) { // of two of one name the first
			all[p.Name] = i
		}
		j.points[b] = all
	}
	return j.points[b]
}

func (j *joiner) add(rule Code, s sheet, other string, got, limit float64, format string, args ...any) {
	on := Subject{Kind: Point, Name: s.point.Name}
	key := told{rule.Code, s.blank.Name, on.String(), other}
	if j.told[key] {
		return
	}
	j.told[key] = true
	j.found = append(j.found, Finding{
		Code: rule.Code, Part: s.blank.Name, Place: on.String(), On: on, Of: rule.Of, Rule: rule.Rule, Got: got, Limit: limit,
		Message: measure.Say("%s, %s: %s", s.blank.Name, on, measure.Say(format, args...)),
	})
}

// want says of the last finding what would satisfy its rule.
func (j *joiner) want(v float64) {
	if n := len(j.found); n > 0 && j.found[n-1].Want == 0 {
		j.found[n-1].Want = v
	}
}

func (j *joiner) join(at int, join *panel.JoinPoint, stack []sheet) {
	if len(stack) == 0 {
		return
	}
	thin, thick := math.Inf(1), 0.0
	for _, s := range stack {
		thin, thick = min(thin, s.t), max(thick, s.t)
	}
	switch join.Kind {
	case "rivet":
		j.rivet(join, stack, thin, thick)
		j.onHand(join, stack[0])
		if last := stack[len(stack)-1]; join.Countersunk {
			if limit := float64(countersinkDeep * join.Diameter); below(last.t, limit) {
				j.add(countersink, last, "", last.t, limit, "its countersunk tail is %.3g deep, the sheet %.3g: it is cut through to a knife's edge; a round tail, or thicker sheet there", measure.Length(limit), measure.Length(last.t))
			}
		}
		j.rivetPlace(join, stack[0])
		j.edges(at, join, stack)
		if join.Closing == shop.Welded {
			j.coated(join, stack)
		}
	case "bolt":
		j.onHand(join, stack[0])
		j.edges(at, join, stack)
	case "plug":
		j.coated(join, stack)
		j.plug(join, stack[0])
		// The arc must find the thick sheet: the hole belongs in the thin one.
		if stack[0].t > thin {
			j.thinOnThick(stack[0], thin, thick)
		}
	case "weld":
		j.coated(join, stack)
		j.thinOnThick(stack[0], thin, thick)
	case "tack":
		j.coated(join, stack)
		j.thinOnThick(stack[0], thin, thick)
		if got := stack[0].point.Diameter; below(got, 3) || above(got, 6) {
			j.add(tackLength, stack[0], "", got, nearer(got, 3, 6), "tack of %.3g; make it %#.3g to %.3g long", measure.Length(got), measure.Length(3), measure.Length(6))
		}
	}
}

// nearer is the end of the range that a value outside it misses.
func nearer(x, lo, hi float64) float64 {
	if x < lo {
		return lo
	}
	return hi
}

func (j *joiner) rivet(join *panel.JoinPoint, stack []sheet, thin, thick float64) {
	d, first := join.Diameter, stack[0]
	sizes := j.shop.RivetSizes(join.Closing)
	if most := shop.LargestRivet(sizes, thick); below(d, thick) || above(d, most) {
		advice := measure.Plain("; the shop stocks none of that size: a bolt, or thicker sheet")
		fit, ok := shop.RivetFor(sizes, thin, thick)
		if ok {
			advice = measure.Say("; use %.3g", measure.Nominal(fit))
		}
		j.add(rivetSize, first, "", d, nearer(d, thick, most), "rivet of %.3g for a stack whose thickest sheet is %.3g; from %#.3g to %.3g holds%s",
			measure.Nominal(d), measure.Length(thick), measure.Length(thick), measure.Length(most), advice)
		j.want(fit)
	}
}

// countersinkDeep is how deep a countersunk tail is, in diameters.
const countersinkDeep = 0.5

// edges holds a fastener to its distance from every edge of the sheets it passes.
func (j *joiner) edges(at int, join *panel.JoinPoint, stack []sheet) {
	factor := 2.0
	if r, ok := j.shop.Rivet(join.Diameter); join.Kind == "rivet" && (join.Countersunk || ok && r.Countersunk && !join.Closing.Solid()) {
		factor = 2.5
	}
	rule := float64(factor * join.Diameter)
	for k, s := range stack {
		got, left := j.edgeDistance(s), float64(leftOver*join.Diameter)
		lands := 0.0
		if k > 0 {
			lands = j.misfits.Lands(at, k, max(rule, got)-left)
		}
		if limit := left + lands; limit > rule && below(got, limit) {
			j.add(edgeDistance, s, "", got, limit, "its centre is %.2f from an edge, and drilled in place it may land %.2f off; at least %.3g, so that %.3g stay: move it in by %.2f",
				measure.Length(got), measure.Length(lands), measure.Length(limit), measure.Length(left), measure.Length(limit-got))
		} else if below(got, rule) {
			limit := rule
			j.add(edgeDistance, s, "", got, limit, "its centre is %.2f from an edge; at least %.3g: move it in by %.2f", measure.Length(got), measure.Length(limit), measure.Length(limit-got))
		}
	}
}

// leftOver is the least distance from an edge, in diameters, of a hole that landed off its
// place: what is drawn keeps two, so that a half may be lost (common practice).
const leftOver = 1.5

// edgeDistance is how far a point lies from the nearest edge of its blank. Copies of a
// blank share the answer.
func (j *joiner) edgeDistance(s sheet) float64 {
	known, ok := j.edge[s.blank]
	if !ok {
		known = make([]float64, len(s.blank.Flat.Points))
		for i := range known {
			known[i] = math.NaN()
		}
		j.edge[s.blank] = known
	}
	if math.IsNaN(known[s.index]) {
		known[s.index] = s.blank.Flat.ToEdge(s.point.At)
	}
	return known[s.index]
}

// rivetPlace asks for room for the head and the tool beside the bends of the
// outermost sheet.
func (j *joiner) rivetPlace(join *panel.JoinPoint, s sheet) {
	c := &checker{flat: s.blank.Flat, shop: j.shop}
	front, known := j.headOnDrawnSide(join, s)
	room := j.shop.Tools.RivetReach(join.Diameter, join.Head, join.Closing, 0, 0).Head.Radius
	for _, line := range c.tangents(s.point.Face) {
		fold := line.fold
		flat := line.distance(s.point.At)
		standing := known && fold.Down != front && fold.Bend.Angle >= 45*bend.Degree
		// Towards the wall the head side is the inside of the bend.
		if got := flat + fold.Bend.SetBack(false); standing && below(got, room) {
			j.add(RivetToWall, s, c.foldPlace(fold).String(), got, room, "its centre is %.2f from the wall at %s, too near for the tool; at least %.3g: move it %.2f away",
				measure.Length(got), c.foldPlace(fold), measure.Length(room), measure.Length(room-got))
		}
		setBack := fold.Bend.SetBack(!standing)
		if got, limit := flat+setBack, setBack+join.Diameter+1; below(got, limit) {
			j.add(rivetToBend, s, c.foldPlace(fold).String(), got, limit, "its centre is %.2f from the mold line of %s; at least %.2f: move it %.2f away",
				measure.Length(got), c.foldPlace(fold), measure.Length(limit), measure.Length(limit-got))
		}
	}
}

// headOnDrawnSide tells whether a join's head lies on the drawn side of its
// outermost sheet; it is not known where the places or the axis are missing.
func (j *joiner) headOnDrawnSide(join *panel.JoinPoint, s sheet) (front, known bool) {
	if s.point.Face < 0 || s.point.Face >= len(s.blank.Flat.Faces) {
		return false, false
	}
	n, m := s.blank.Flat.Faces[s.point.Face].Frame.Normal(), j.a.Copies[s.copy].Matrix
	world := solid.Vec{
		X: float64(m[0]*n.X) + float64(m[1]*n.Y) + float64(m[2]*n.Z),
		Y: float64(m[4]*n.X) + float64(m[5]*n.Y) + float64(m[6]*n.Z),
		Z: float64(m[8]*n.X) + float64(m[9]*n.Y) + float64(m[10]*n.Z),
	}
	along := world.Dot(join.Axis)
	return along < 0, math.Abs(along) > 0.5
}

func (j *joiner) thinOnThick(s sheet, thin, thick float64) {
	if ratio := thick / thin; above(ratio, 2) {
		j.add(thinOnThick, s, "", ratio, 2, "%.3g welded to %.3g sheet, %.2f times as thick: the thin one burns away;"+
			" rivet it, or plug weld through the thin sheet with the arc on the thick", measure.Length(thin), measure.Length(thick), ratio)
	}
}

// coated warns, once for each blank, of welding sheet that is coated with zinc.
func (j *joiner) coated(join *panel.JoinPoint, stack []sheet) {
	for _, s := range stack {
		m, ok := j.shop.Material(s.blank.Flat.Panel.Stock.Material)
		if !ok || !m.Zinc || j.welded[s.blank] {
			continue
		}
		j.welded[s.blank] = true
		between := ""
		if join.Kind == "plug" {
			between = ", leave none between the sheets"
		}
		j.add(coatedWeld, s, "zinc", 1, 0, "%s on %s: zinc burns to a fume that makes ill; strip it %.0f and more on each side and on both faces%s, draw the fume off at its source, wear a respirator",
			join.Kind, m.Name, measure.Length(25), between)
	}
}

func (j *joiner) plug(join *panel.JoinPoint, s sheet) {
	d := s.point.Diameter
	if limit := max(s.t+8, 10); below(d, limit) {
		j.add(plugHole, s, "", d, limit, "plug weld hole of %.3g for sheet of %.3g; at least %.3g", measure.Length(d), measure.Length(s.t), measure.Length(limit))
	}
	if got, limit := s.blank.Flat.ToEdge(s.point.At), float64(1.5*d); below(got, limit) {
		j.add(plugPlace, s, "", got, limit, "its centre is %.2f from an edge; at least %.3g: move it in by %.2f", measure.Length(got), measure.Length(limit), measure.Length(limit-got))
	}
}

// group is the name of a join without its last number.
func group(name string) string {
	if i := strings.LastIndexByte(name, '.'); i >= 0 {
		return name[:i]
	}
	return name
}

// spacing holds fasteners to each other: on the outermost sheet of each, to the
// nearest other one of the same kind on the same face of the same copy.
func (j *joiner) spacing(stacks [][]sheet) {
	type place struct{ copy, face int }
	on := map[place][]int{} // joins by where their outermost sheet is, in order
	for i, stack := range stacks {
		if len(stack) > 0 {
			at := place{stack[0].copy, stack[0].point.Face}
			on[at] = append(on[at], i)
		}
	}
	for i, stack := range stacks {
		if len(stack) == 0 {
			continue
		}
		s, join := stack[0], &j.a.Joins[i]
		nearest, nearestKin := math.Inf(1), math.Inf(1)
		other, kin := "", ""
		for _, k := range on[place{s.copy, s.point.Face}] {
			n := &j.a.Joins[k]
			if k == i || n.Kind != join.Kind {
				continue
			}
			d := s.point.At.Dist(stacks[k][0].point.At)
			if d < nearest {
				nearest, other = d, stacks[k][0].point.Name
			}
			if d < nearestKin && group(n.Name) == group(join.Name) && sameFaces(stack, stacks[k]) {
				nearestKin, kin = d, stacks[k][0].point.Name
			}
		}
		thin := math.Inf(1)
		for _, m := range stack {
			thin = min(thin, m.t)
		}
		j.pitch(join, s, thin, neighbour{nearest, other}, neighbour{nearestKin, kin})
	}
}

// sameFaces tells whether two fasteners hold the same faces: they stand in one row.
func sameFaces(a, b []sheet) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i].copy != b[i].copy || a[i].point.Face != b[i].point.Face {
			return false
		}
	}
	return true
}

// neighbour is the nearest other fastener; its distance is +Inf where there is none.
type neighbour struct {
	distance float64
	name     string
}

func (j *joiner) pitch(join *panel.JoinPoint, s sheet, thin float64, other, kin neighbour) {
	d := join.Diameter
	switch join.Kind {
	case "rivet", "bolt":
		if limit := float64(3 * d); below(other.distance, limit) {
			j.add(pitchClose, s, "", other.distance, limit, "%.2f to %s; at least %.3g between centres", measure.Length(other.distance), other.name, measure.Length(limit))
		}
		if limit := float64(10 * d); join.Kind == "rivet" && above(kin.distance, limit) && !math.IsInf(kin.distance, 1) {
			j.add(pitchWide, s, "", kin.distance, limit, "%.1f to its neighbour %s; usual are %#.3g to %.3g, more than %.3g lets the sheet gape",
				measure.Length(kin.distance), kin.name, measure.Length(4*d), measure.Length(8*d), measure.Length(limit))
			j.want(8 * d)
		}
	case "plug":
		if limit := float64(4 * s.point.Diameter); below(other.distance, limit) {
			j.add(plugPlace, s, "pitch", other.distance, limit, "%.2f to %s; at least %.3g between centres", measure.Length(other.distance), other.name, measure.Length(limit))
		}
	case "tack":
		lo, hi := 25.0, 40.0
		if thin >= 2 {
			lo, hi = 40, 60
		}
		if got := kin.distance; !math.IsInf(got, 1) && thin <= 3.2+tol && (below(got, lo) || above(got, hi)) {
			j.add(tackSpacing, s, "", got, nearer(got, lo, hi), "%.1f to %s; tacks on sheet of %.3g stand %#.0f to %.0f apart", measure.Length(got), kin.name, measure.Length(thin), measure.Length(lo), measure.Length(hi))
			j.want(hi) // tacks stand no farther apart than their pitch
		}
	}
}
