package cutplan

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"

	"perch/parts/drawing"
	"perch/parts/plane"
)

// words is the box of a line of text about its middle, with some air.
func words(c plane.Point, wide, size float64) plane.Box {
	x, y := float64(wide/2)+float64(0.12*size), float64(0.43*size)
	return plane.Box{Min: plane.Point{X: c.X - x, Y: c.Y - y}, Max: plane.Point{X: c.X + x, Y: c.Y + y}}
}

// free tells whether no words lie in a box.
func (s *sketch) free(b plane.Box) bool { return !meets(b, s.taken) }

func meets(b plane.Box, boxes []plane.Box) bool {
	return slices.ContainsFunc(boxes, b.Overlaps)
}

// label writes a line about a place; capitals and figures are 0.72 of size high.
func (s *sketch) label(text string, c plane.Point, size float64, t drawing.Tone, bold bool) {
	s.taken = append(s.taken, words(c, drawing.TextWidth(text, size, bold), size))
	s.page.Text(t, plane.Point{X: c.X, Y: c.Y + float64(0.36*size)}, size, true, bold, text)
}

// Sizes of blanks' numbers on the page.
const (
	numberMost  = 9.0
	numberLeast = 2.8
)

// numbers writes each blank's number on its metal, as large as there is room, or
// beside it with a line to it.
func (s *sketch) numbers() {
	parts := s.p.Sheet.Parts
	var outside []int
	for i := range parts {
		if s.p.Holds(i) && !s.number(i) {
			outside = append(outside, i)
		}
	}
	for _, i := range outside {
		s.pointAt(i)
	}
}

// number writes a number on the blank's metal; false where there is no room.
func (s *sketch) number(i int) bool {
	part := &s.p.Sheet.Parts[i]
	text := strconv.Itoa(part.Number)
	box := part.Region.Bounds()
	places := s.lattice(part.Region, box)
	narrow := min(box.Size().X, box.Size().Y) * s.scale
	for _, marks := range [...]bool{false, true} { // off the marks, or on them where it must be
		for size := min(numberMost, max(numberLeast, 0.6*narrow)); size >= numberLeast; size *= 0.85 {
			wide := drawing.TextWidth(text, size, true)
			for _, c := range places {
				b := words(s.at(c), wide, size)
				if s.onMetal(part.Region, c, b) && s.free(b) && (marks || !meets(b, s.marks)) {
					s.label(text, s.at(c), size, black, true)
					return true
				}
			}
		}
	}
	return false
}

// lattice are places on the blank's metal, from the middle outwards.
func (s *sketch) lattice(r plane.Region, box plane.Box) []plane.Point {
	const steps = 14
	mid, size := r.Centroid(), box.Size()
	var out []plane.Point
	if r.Locate(mid) == plane.Inside {
		out = append(out, mid)
	}
	for i := 1; i < steps; i++ {
		for k := 1; k < steps; k++ {
			p := plane.Point{X: box.Min.X + float64(size.X*float64(i)/steps), Y: box.Min.Y + float64(size.Y*float64(k)/steps)}
			if r.Locate(p) == plane.Inside {
				out = append(out, p)
			}
		}
	}
	sort.SliceStable(out, func(i, k int) bool { return out[i].Dist(mid) < out[k].Dist(mid)-1e-6 })
	return out
}

// onMetal tells whether a box on the page about a place lies on a blank's metal.
func (s *sketch) onMetal(r plane.Region, c plane.Point, b plane.Box) bool {
	half := b.Size().Scale(0.5 / s.scale)
	if d, _ := r.DistanceTo(c); d < half.Y {
		return false
	} else if d >= half.Len() {
		return true
	}
	d, _, _ := plane.Distance(plane.Region{plane.RectAt(c.Sub(half), c.Add(half))}, r)
	return d > 0
}

// pointAt writes a number in a free place near a blank and draws a line to it.
func (s *sketch) pointAt(i int) {
	part := &s.p.Sheet.Parts[i]
	text := strconv.Itoa(part.Number)
	wide := drawing.TextWidth(text, numberLeast, true)
	to := s.at(part.Region.Bounds().Center())
	if places := s.lattice(part.Region, part.Region.Bounds()); len(places) > 0 {
		to = s.at(places[0])
	}
	best, least := plane.Point{}, math.Inf(1)
	for ring := 4.0; ring < 40; ring += 2 {
		for k := range 16 {
			u := compass(k)
			c := to.Add(u.Scale(ring))
			b := words(c, wide, numberLeast)
			if !s.free(b) || b.Min.X < 1 || b.Min.Y < 1 || b.Max.X > s.page.Wide-1 || b.Max.Y > s.low {
				continue
			}
			if cost := ring + float64(3*s.crossed(b)); cost < least {
				best, least = c, cost
			}
		}
	}
	if math.IsInf(least, 1) {
		s.unnumbered++
		return
	}
	b := words(best, wide, numberLeast)
	u := to.Sub(best).Unit()
	s.page.Stroke(black, 0.15, false, []plane.Point{best.Add(u.Scale(0.6 * numberLeast)), to})
	s.page.Fill(black, dot(to, 0.3))
	s.page.Fill(paper, []plane.Point{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}})
	s.label(text, best, numberLeast, black, true)
}

// compass is one of sixteen directions.
func compass(k int) plane.Point {
	const a, b, c = 0.9238795325112867, 0.7071067811865476, 0.3826834323650898
	quarter := [4]plane.Point{{X: 1}, {X: a, Y: c}, {X: b, Y: b}, {X: c, Y: a}}
	p := quarter[k%4]
	for range k / 4 {
		p = p.Perp()
	}
	return p
}

// crossed counts the pieces of lines in a box.
func (s *sketch) crossed(b plane.Box) int { return s.lines.Count(b) }

// pierces numbers the pierces where there is room: every one where they are few.
func (s *sketch) pierces() {
	const size = 2.2
	var dots []plane.Box
	s.runs(func(_ int, at plane.Point) { dots = append(dots, plane.Box{Min: at, Max: at}.Grow(pierceRadius)) })
	pierced := plane.NewPlaces(dots)
	s.runs(func(n int, at plane.Point) {
		text := strconv.Itoa(n)
		wide := drawing.TextWidth(text, size, false)
		best, least := plane.Point{}, math.Inf(1)
		for _, reach := range [...]float64{1.1, 2.2, 3.6} {
			for k := range 16 {
				u := compass(k)
				c := at.Add(plane.Point{X: float64(u.X * (reach + float64(wide/2))), Y: float64(u.Y * (reach + size/2))})
				b := words(c, wide, size)
				if !s.free(b) || b.Max.Y > s.low {
					continue
				}
				cost := float64(2*reach) + float64(s.crossed(b)+20*pierced.Count(b))
				if cost < least {
					best, least = c, cost
				}
			}
		}
		if least > 20 {
			s.unsaid++
			return
		}
		b := words(best, wide, size)
		s.page.Fill(paper, []plane.Point{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}})
		s.label(text, best, size, cutTone, false)
	})
}

// runs calls f with the number and the place, on the page, of every pierce.
func (s *sketch) runs(f func(n int, at plane.Point)) {
	n := s.p.First
	for i := range s.p.Cuts {
		for _, r := range s.p.Cuts[i].Runs {
			f(n, s.at(r[0].From))
			n++
		}
	}
}

// entries lists alike blanks with their numbers: "2-5 leg, stool:mid".
func entries(p *Plan) []string {
	var out []string
	parts := p.Sheet.Parts
	for i := 0; i < len(parts); {
		k, numbers := i, []int(nil)
		for ; k < len(parts) && parts[k].Name == parts[i].Name && parts[k].Of == parts[i].Of; k++ {
			if p.Holds(k) {
				numbers = append(numbers, parts[k].Number)
			}
		}
		if len(numbers) > 0 {
			text := Ranges(numbers) + "  " + parts[i].Name
			if parts[i].Of != "" {
				text += ", " + parts[i].Of
			}
			if parts[i].Revision != "" {
				text += ", revision " + parts[i].Revision
			}
			out = append(out, text)
		}
		i = k
	}
	return out
}

// Ranges writes rising numbers as 1-4 7 9-10.
func Ranges(n []int) string {
	s := ""
	for i := 0; i < len(n); {
		k := i
		for k+1 < len(n) && n[k+1] == n[k]+1 {
			k++
		}
		if s != "" {
			s += " "
		}
		if s += strconv.Itoa(n[i]); k > i {
			s += "-" + strconv.Itoa(n[k])
		}
		i = k + 1
	}
	return s
}

// legend writes the list of blanks and what the lines mean.
func (s *sketch) legend() {
	columns := max(1, int((s.page.Wide-2*pageEdge)/legendWide))
	rows := min(legendMost, (len(s.entries)+columns-1)/columns)
	for i, e := range s.entries {
		if i == rows*columns-1 && len(s.entries) > rows*columns {
			e = fmt.Sprintf("and %d more: see labels.csv", len(s.entries)-i)
		}
		if i >= rows*columns {
			break
		}
		for drawing.TextWidth(e, legendSize, false) > legendWide-3 {
			r := []rune(e)
			e = string(r[:len(r)-2]) + "…"
		}
		at := plane.Point{X: pageEdge + float64(float64(i/rows)*legendWide), Y: s.low + float64(float64(i%rows+1)*legendStep)}
		s.page.Text(black, at, legendSize, false, false, e)
	}
	y := s.page.High - pageEdge - legendStep
	x := pageEdge
	next := func(text string, draw func(x, y float64)) {
		draw(x, y-float64(0.32*legendSize))
		s.page.Text(black, plane.Point{X: x + 10, Y: y}, legendSize, false, false, text)
		x += 10 + drawing.TextWidth(text, legendSize, false) + 8
	}
	next("pierce, with its number", func(x, y float64) { s.page.Fill(cutTone, dot(plane.Point{X: x + 4, Y: y}, 0.8)) })
	next("cut", func(x, y float64) {
		s.page.Stroke(cutTone, cutWide, false, []plane.Point{{X: x, Y: y}, {X: x + 8, Y: y}})
		s.arrow(cutTone, plane.Point{X: x + 5, Y: y}, plane.Point{X: 1})
	})
	next("travel, from the lower left corner", func(x, y float64) { s.travel(plane.Point{X: x, Y: y}, plane.Point{X: x + 8, Y: y}) })
	next("left over, saved", func(x, y float64) {
		r := []plane.Point{{X: x + 1, Y: y - 1.3}, {X: x + 7, Y: y - 1.3}, {X: x + 7, Y: y + 1.3}, {X: x + 1, Y: y + 1.3}}
		s.page.Fill(leftTone, r)
		s.page.Stroke(leftEdge, 0.2, true, r)
	})
	x, y = pageEdge, y+legendStep
	seen := s.seen()
	if seen[Scribed] || seen[Lettered] {
		next("marked", func(x, y float64) {
			s.page.Stroke(dimTone, markWide, false, []plane.Point{{X: x, Y: y}, {X: x + 8, Y: y}})
		})
	}
	if seen[FoldUp] {
		next("bend up", func(x, y float64) { s.fold(plane.Point{X: x, Y: y}, plane.Point{X: x + 8, Y: y}, false) })
	}
	if seen[FoldDown] {
		next("bend down", func(x, y float64) { s.fold(plane.Point{X: x, Y: y}, plane.Point{X: x + 8, Y: y}, true) })
	}
	next("Dry run first. Mind eyes, fumes and fire. Never leave the table alone.", func(float64, float64) {})
}

// seen are the kinds of marks that the plan's blanks have.
func (s *sketch) seen() map[MarkKind]bool {
	out := map[MarkKind]bool{}
	for i := range s.p.Sheet.Parts {
		for _, m := range s.p.marks(i) {
			out[m.Kind] = true
		}
	}
	return out
}
