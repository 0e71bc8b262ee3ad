package eval

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/join"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
)

// fixing is one fastener with the parts that it holds.
type fixing struct {
	join.Fixing
	panel.Hardware
	parts []*part // by member of the patch
	join  string  // the statement
	wish
}

// wish is what a join says, or else the shop, of when its holes are made, and of what puts
// its parts in their places.
type wish struct{ matched, located string }

func (ev *evaluator) wishOf(f value.Fastener) wish {
	w := wish{string(f.Drilled), string(f.Located)}
	if w.matched == "" {
		w.matched = ev.shop.Joining.Matched
	}
	if w.located == "" {
		w.located = ev.shop.Joining.Located
	}
	return w
}

// joins works out every join of the design: the places where its members
// touch, the fasteners there, and their points in the flats. It warns of what no join
// holds.
func (ev *evaluator) joins(parts []*part) []fixing {
	var out []fixing
	held := newTally()
	for _, d := range ev.prog.Root.Order {
		s, ok := d.Node.(*syntax.Join)
		if !ok || d.Kind != check.Join {
			continue
		}
		n := 0
		ev.Try(func() {
			ev.spread(d, &env{}, func(e *env, _ []value.Value, _ string) {
				if s.Guard != nil && !ev.flag(s.Guard, e) {
					return
				}
				before := len(out)
				out = ev.join(s, e, n, held, out)
				n += len(out) - before
			})
		})
	}
	if !ev.broken {
		ev.unheld(held)
		ev.apart(parts, held)
	}
	return out
}

// join works out one join statement in a scope, and adds its fasteners to out; made is the
// number of those that the statement has made so far.
func (ev *evaluator) join(s *syntax.Join, e *env, made int, held *tally, out []fixing) []fixing {
	members := make([][]sheet, len(s.Members))
	for i, x := range s.Members {
		var in faceSet
		eachFace(ev.eval(x, e), func(v value.Value) {
			f := ev.faceOf(v, x)
			if !in.add(f) {
				return // a list may name a face twice
			}
			members[i] = addSheets(members[i], f)
			held.named = append(held.named, naming{x, f})
		})
		if len(members[i]) == 0 {
			return out // an empty family joins nothing
		}
	}
	v := ev.eval(s.By, e)
	spec := as[value.Fastener](v, s.By, "fastener")
	f, says := ev.fastenerOf(spec, s), ev.wishOf(spec)
	places := ev.statedPlaces(s, e)
	touched := map[*face]bool{}
	met := pairingOf(members)
	var rows []row
	meet := func(stack []sheet) {
		if met.again(stack) {
			return
		}
		r := row{of: partsOf(stack)}
		if patch, ok := ev.patch(stack); ok { // why not is asked for only where nothing touches
			own, number := places.on(stack), made
			patch.Region = own.filled(patch)
			r.fixes = ev.fasten(s, patch, f, own, number)
			r.turn = func() []join.Fixing { return ev.turnedFasteners(s, patch, f, own, number) }
			ev.lonely(held, s, patch, r.fixes)
		} else if r.fixes = ev.seam(s, stack, f, spec.Back, made); len(r.fixes) == 0 {
			return
		}
		made += len(r.fixes)
		rows = append(rows, r)
		held.hold(stack)
		for _, m := range stack {
			touched[m.of] = true
		}
	}
	for i := 0; i < len(members[0]); {
		a, from := members[0][i].of, i
		for ; i < len(members[0]) && members[0][i].of == a; i++ {
			ev.stacks(members[1:], append(make([]sheet, 0, len(members)), members[0][i]), meet)
		}
		if !touched[a] {
			ev.touchesNothing(s, f, a, members[1:], members[0][from:i], ev.touching(members, touched))
		}
	}
	inner := ev.headed(rows, spec, says)
	for _, r := range rows {
		for _, x := range r.fixes {
			fix := fixingOf(x, r.of, s.Name.Name, says)
			fix.Hardware = ev.hardware(spec, x.Grip)
			fix.Inner = inner
			out = append(out, fix)
		}
	}
	return out
}

// eachFace calls do for what a member of a join names: one face, a family of them, or
// a list of either.
func eachFace(v value.Value, do func(value.Value)) {
	value.EachItem(v, func(it value.Value) {
		value.Each(it, func(m value.Value) {
			if l, ok := m.(*value.List); ok {
				eachFace(l, do)
				return
			}
			do(m)
		})
	})
}

// partsOf are the parts that sheets are of, in their order.
func partsOf(stack []sheet) []*part {
	out := make([]*part, len(stack))
	for i, m := range stack {
		out[i] = m.of.part
	}
	return out
}

// fixingOf is a fastener with the parts that it holds, by member, and with what
// its join says. Where it goes through one part twice, its second point there has a name of
// its own.
func fixingOf(x join.Fixing, of []*part, by string, says wish) fixing {
	for k := range x.Members {
		x.Members[k].Point.For = by
		for j := range k {
			if of[x.Members[j].Member] == of[x.Members[k].Member] {
				x.Members[k].Point.Name = fmt.Sprintf("%s.%d", x.Name, k+1)
			}
		}
	}
	return fixing{Fixing: x, parts: of, join: by, wish: says}
}

// patch is where sheets lie flat on each other.
func (ev *evaluator) patch(stack []sheet) (join.Patch, bool) {
	if !flush(stack) {
		return join.Patch{}, false
	}
	return join.Touch(joinMembers(stack), 0)
}

// sheet is a flat that a face is made of: its own, or the tab of a lapped seam in which
// it goes on behind its neighbour.
type sheet struct {
	of    *face
	piece int // of the flat's faces
}

// addSheets adds the sheets of a face to others.
func addSheets(to []sheet, f *face) []sheet {
	for i := range f.part.flattened.Pieces(f.index) {
		to = append(to, sheet{f, i})
	}
	return to
}

// faceSet holds faces, the first few without a map.
type faceSet struct {
	few  []*face
	many map[*face]bool
}

// add puts a face in and tells whether it is new.
func (s *faceSet) add(f *face) bool {
	if s.many[f] || slices.Contains(s.few, f) {
		return false
	}
	if len(s.few) < 8 {
		s.few = append(s.few, f)
		return true
	}
	if s.many == nil {
		s.many = map[*face]bool{}
	}
	s.many[f] = true
	return true
}

// frame is where the sheet's drawn side stands.
func (s sheet) frame() solid.Frame {
	if s.piece == s.of.index {
		return s.of.frame
	}
	return s.of.part.flattened.FaceFrame(s.piece)
}

// flush tells whether faces may lie on each other at all: their planes are parallel
// and no farther apart than their sheets are thick together.
func flush(stack []sheet) bool {
	p, reach := stack[0].frame().Plane(), stack[0].of.part.stock.Thickness
	for _, f := range stack[1:] {
		n := f.frame().Normal()
		if c := p.N.Dot(n); c < 1-1e-7 && c > -1+1e-7 {
			return false
		}
		reach += f.of.part.stock.Thickness
	}
	for _, f := range stack[1:] {
		if h := p.Height(f.frame().O); h > reach+1 || h < -reach-1 {
			return false
		}
	}
	return true
}

// stacks calls do for every choice of one sheet from each further member, no face
// twice in one stack. The stack is do's until it returns.
func (ev *evaluator) stacks(more [][]sheet, stack []sheet, do func([]sheet)) {
	if len(more) == 0 {
		do(stack)
		return
	}
next:
	for _, f := range more[0] {
		for _, g := range stack {
			if f.of == g.of {
				continue next
			}
		}
		ev.stacks(more[1:], append(stack, f), do)
	}
}

func joinMembers(stack []sheet) []join.Member {
	out := make([]join.Member, len(stack))
	for i, f := range stack {
		out[i] = join.Member{Flat: f.of.part.flattened, Face: f.piece}
	}
	return out
}

// notStocked warns of a size of fastener that the shop does not have, and offers the
// nearest that it has.
func (ev *evaluator) notStocked(s *syntax.Join, size float64, of string, have []float64, note any) {
	x := ev.numberIn(source{s.By, &env{}}, size, true)
	d := value.Diagnostic("P6003", x.by.Span(), ev.says("the shop stocks no %s %s", value.ShownLength(size), of), note)
	d.Severity = diag.Warning
	best, found := 0.0, false
	for _, h := range have {
		if !found || math.Abs(h-size) < math.Abs(best-size) {
			best, found = h, true
		}
	}
	if lit := ev.literal(x); lit != nil && found {
		text := quantity.Format(best, quantity.Length, ev.prog.Shown)
		d.Fix = &diag.Fix{Message: "write " + text, Edits: []diag.Edit{{Span: lit.At, Text: text}}}
		if lit.At != d.Span {
			d.Related = append(d.Related, diag.Related{Span: d.Span, Message: "used here"})
			d.Span = lit.At
		}
	}
	ev.Report(d)
}

// fastenerOf fills a fastener with the shop's facts.
func (ev *evaluator) fastenerOf(f value.Fastener, s *syntax.Join) join.Fastener {
	out := join.Fastener{
		Kind: f.Kind, Diameter: f.Size, Pitch: f.Pitch, Count: f.Count, Edge: f.Edge, Along: join.Along(f.Along),
		Round: ev.shop.Cutter.RoundHole, Inner: f.Head == "inner",
	}
	if f.Countersunk && f.Edge == 0 {
		out.Edge = 2.5 * f.Size // NAVEDTRA 14018
	}
	switch {
	case f.Closing.Solid():
		if r, ok := ev.shop.SolidRivet(f.Size); ok {
			out.Hole = r.Hole
			break
		}
		ev.notStocked(s, f.Size, "solid rivet", ev.shop.RivetSizes(f.Closing), measure.Say("its hole is taken %v larger", measure.Length(0.2)))
		out.Hole = f.Size + 0.2
	case f.Kind == join.Rivet:
		if r, ok := ev.shop.Rivet(f.Size); ok {
			out.Hole = r.Hole
			break
		}
		var have []float64
		for _, r := range ev.shop.Rivets {
			have = append(have, r.Diameter)
		}
		ev.notStocked(s, f.Size, "rivet", have, measure.Say("its hole is taken %v larger", measure.Length(0.1)))
		out.Hole = f.Size + 0.1
	case f.Kind == join.Bolt:
		if b, ok := ev.shop.Bolt(f.Size); ok {
			out.Hole = b.Hole
			break
		}
		var have []float64
		for _, b := range ev.shop.Bolts {
			have = append(have, b.Diameter)
		}
		ev.notStocked(s, f.Size, "bolt", have, "its hole is taken a tenth larger")
		out.Hole = f.Size * 1.1
	}
	return out
}

func (ev *evaluator) warn(code string, at diag.Span, summary string, notes ...any) {
	d := value.Diagnostic(code, at, summary, notes...)
	d.Severity = diag.Warning
	ev.Report(d)
}

// fasten sets the fasteners of one patch.
func (ev *evaluator) fasten(s *syntax.Join, p join.Patch, f join.Fastener, own stated, made int) []join.Fixing {
	var places []join.Place
	var err error
	if own == nil {
		places, err = ev.pattern(s, p, f)
	} else {
		places, err = join.Stated(p, f, own.at(p.Frame))
	}
	var fixes []join.Fixing
	if err == nil {
		fixes, err = join.Fix(s.Name.Name, made+1, p, f, places)
	}
	if err != nil {
		var fix *diag.Fix
		if own == nil {
			fix = otherWay(s, p, f)
		}
		ev.noPlace(s, err, p.Members, fix)
	}
	return fixes
}

// noPlace reports that fasteners find no place where members meet.
func (ev *evaluator) noPlace(s *syntax.Join, err error, of []join.Member, fix *diag.Fix) {
	m := value.Mistake{D: value.DiagnosticSaid("P5002", s.By.Span(), measure.Of(err), fmt.Sprintf("where %s meets %s", of[0].Name(), of[len(of)-1].Name()))}
	var short *join.PatternError
	if errors.As(err, &short) && short.Need > short.Got {
		m.Cause = Shortfall{s, *short}
		m.D.Fix = fix
	}
	panic(m)
}

// otherWay proposes to lay a row the other way, where it finds its places so.
func otherWay(s *syntax.Join, p join.Patch, f join.Fastener) *diag.Fix {
	call, ok := s.By.(*syntax.Call)
	other := f
	other.Along = f.Along.On(p).Across()
	if !ok || other.Along == f.Along {
		return nil
	}
	if _, err := join.Pattern(p, other); err != nil {
		return nil
	}
	edit := diag.Edit{Span: call.At, Text: ", along: " + string(other.Along)}
	edit.Span.Start, edit.Span.End = call.At.End-1, call.At.End-1
	for _, a := range call.Args {
		if a.Label != nil && a.Label.Name == "along" {
			edit = diag.Edit{Span: a.Value.Span(), Text: string(other.Along)}
		}
	}
	return &diag.Fix{Message: fmt.Sprintf("write `along: %s`: the other way there is room", other.Along), Edits: []diag.Edit{edit}}
}

// pattern is where a join's fasteners go on a patch.
type pattern struct {
	of     *syntax.Join
	region plane.Region
	thick  float64 // of the stack
	places []join.Place
}

// pattern lays the fasteners of a join on a patch; the same patch elsewhere has
// its places already.
func (ev *evaluator) pattern(s *syntax.Join, p join.Patch, f join.Fastener) ([]join.Place, error) {
	for _, k := range ev.patterns {
		if k.of == s && k.thick == p.Grip && sameRegion(k.region, p.Region) {
			return k.places, nil
		}
	}
	places, err := join.Pattern(p, f)
	if err == nil && f.Kind != join.Tack && f.Kind != join.Weld && len(ev.patterns) < maxPatterns { // tacks look at whose edge is whose
		ev.patterns = append(ev.patterns, pattern{s, p.Region, p.Grip, places})
	}
	return places, err
}

// maxPatterns is how many patches are kept to be compared with.
const maxPatterns = 32

// sameRegion tells whether two regions are drawn with the same numbers, rounding aside.
func sameRegion(a, b plane.Region) bool {
	const tol = 1e-10 // mm
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if len(a[i]) != len(b[i]) {
			return false
		}
		for j, v := range a[i] {
			if w := b[i][j]; !v.P.Near(w.P, tol) || v.Bulge-w.Bulge > tol || w.Bulge-v.Bulge > tol {
				return false
			}
		}
	}
	return true
}
