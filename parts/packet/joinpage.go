package packet

import (
	"slices"
	"strconv"

	"perch/parts/blankpage"
	"perch/parts/drawing"
	"perch/parts/joining"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/plane"
	"perch/parts/solid"
)

// joining makes the pages on putting the piece together: what is done while blanks are flat, a
// picture of each step with the parts that come drawn off what they come to, and its words.
func (p *Packet) joining(doc *paper.Document) error {
	if p.Together == nil || len(p.Together.Steps) == 0 && len(p.Together.Flat) == 0 {
		return nil
	}
	words := p.Together.Words(p.named())
	f := p.flow(doc, "Joining", "joining")
	first := true
	for _, l := range words {
		if l.Step == 0 {
			if first {
				f.Heading("Before")
				first = false
			}
			f.Item(l.Text.In(p.Paper.System), true)
		}
	}
	for i := range p.Together.Steps {
		if err := p.joinStep(f, i, words); err != nil {
			return err
		}
	}
	return nil
}

// named is the assembly with its copies and blanks called in the words of people, and fasteners
// that a step speaks of singly by their numbers in its picture.
func (p *Packet) named() *panel.Assembly {
	a := *p.Assembly
	a.Copies = slices.Clone(a.Copies)
	for i := range a.Copies {
		a.Copies[i].Name = p.Names.Copy(i)
	}
	a.Blanks = slices.Clone(a.Blanks)
	for i := range a.Blanks {
		b := *a.Blanks[i]
		b.Name = p.Names.Blank(i)
		a.Blanks[i] = &b
	}
	a.Joins = slices.Clone(a.Joins)
	for i := range p.Together.Steps {
		for _, n := range numbered(&p.Together.Steps[i]) {
			a.Joins[n.join].Name = n.text
		}
	}
	return &a
}

// joinNumber is a fastener that the words of a step speak of singly.
type joinNumber struct {
	join int
	text string
}

// numbered gives those of a step: pins as P1, P2, tacks and welds by numbers in the order in
// which they are set.
func numbered(s *joining.Step) (all []joinNumber) {
	seen := map[int]bool{}
	add := func(j int, before string, n int) bool {
		if seen[j] {
			return false
		}
		seen[j] = true
		all = append(all, joinNumber{j, before + strconv.Itoa(n)})
		return true
	}
	if len(s.Drills)+len(s.Tacks)+len(s.Welds) > 0 { // else nothing is said of pins
		n := 1
		for _, h := range s.Holds {
			for _, j := range h.Pins {
				if add(j, "P", n) {
					n++
				}
			}
		}
	}
	n := 1
	for _, j := range slices.Concat(s.TackAt, s.Tacks, s.Welds) {
		if add(j, "", n) {
			n++
		}
	}
	return all
}

const (
	joinHigh  = 130.0 // of a step's picture, at most
	joinLeast = 50.0  // … where a page is full of words
	joinSide  = 45.0  // free on each side of it, for names
	joinPad   = 8.0   // above and below it
)

// joinStep draws a step and writes what is done in it.
func (p *Packet) joinStep(f *paper.Flow, i int, words []joining.Line) error {
	s := &p.Together.Steps[i]
	points, err := p.pointPicture(s, f.Wide())
	if err != nil {
		return err
	}
	high := 14.0
	if points != nil {
		high += points.high()
	}
	for _, l := range words {
		if l.Step == i+1 {
			high += f.ItemHigh(l.Text.In(p.Paper.System))
		}
	}
	most := max(joinLeast, min(joinHigh, f.Whole()-high)) // all of it on one page
	pic, err := p.joinPicture(s, plane.Point{X: f.Wide() - 2*joinSide, Y: most})
	if err != nil {
		return err
	}
	f.Need(high + pic.high())
	f.Heading("Step " + strconv.Itoa(i+1) + " of " + strconv.Itoa(len(p.Together.Steps)))
	pic.draw(f.Page(), f.Box(pic.high()))
	if points != nil {
		points.draw(f.Page(), f.Box(points.high()))
	}
	for _, l := range words {
		if l.Step == i+1 {
			f.Item(l.Text.In(p.Paper.System), true)
		}
	}
	return nil
}

// joinPicture is a step's: what is joined, the parts that come moved off, with names beside it.
type joinPicture struct {
	surfaces []drawing.Surface
	seen     plane.Box
	most     float64 // high
	n        float64 // its scale is 1:n
	names    []paper.Named
}

// high is the height that it takes on a page.
func (j *joinPicture) high() float64 {
	names := float64(len(j.names)/2+2) * paper.Style{}.Lead() * 1.1
	return min(j.most, max(j.seen.Size().Y/j.n+joinPad, names))
}

func (j *joinPicture) draw(page *paper.Page, box plane.Box) {
	size := j.seen.Size().Scale(1 / j.n)
	at := box.Center().Sub(size.Scale(0.5))
	to := plane.Affine{A: 1 / j.n, D: 1 / j.n, E: at.X - j.seen.Min.X/j.n, F: at.Y - j.seen.Min.Y/j.n}
	blankpage.Show(page, j.surfaces, j.seen, at, j.n)
	names := slices.Clone(j.names)
	for i := range names {
		names[i].At = to.Apply(names[i].At)
	}
	page.Beside(plane.Box{Min: at, Max: at.Add(size)}, box, names)
	page.Text(paper.Label{Text: paper.ScaleName(j.n), At: plane.Point{X: box.Min.X, Y: box.Max.Y - 1.5}})
}

// joinPicture draws what a step joins into a room.
func (p *Packet) joinPicture(s *joining.Step, room plane.Point) (*joinPicture, error) {
	onto, a := p.drawnIn(s)
	whole, err := drawing.Metal(a)
	if err != nil {
		return nil, err
	}
	size, err := p.overAll(whole)
	if err != nil {
		return nil, err
	}
	far := float64(drawnOff * max(size.X, size.Y, size.Z))
	for k, c := range s.Parts {
		m := &a.Copies[len(onto)+k].Matrix
		off := p.apart(s, c, onto).Scale(far)
		m[3], m[7], m[11] = m[3]+off.X, m[7]+off.Y, m[11]+off.Z
	}
	facets, err := drawing.Metal(a)
	if err != nil {
		return nil, err
	}
	from, up := corners[0].from, solid.Vec{Z: 1}
	j := &joinPicture{most: room.Y}
	if j.surfaces, j.seen, err = drawing.Orthographic(facets, from, up); err != nil {
		return nil, err
	}
	j.n = paper.ScaleFor(j.seen.Size(), plane.Point{X: room.X, Y: room.Y - joinPad})
	for k, c := range slices.Concat(onto, s.Parts) {
		j.names = append(j.names, paper.Named{Text: p.Names.Copy(c), At: drawing.Seen(p.middle(a.Copies[k]), from, up), Bold: k >= len(onto)})
	}
	return j, nil
}

// drawnIn is the assembly of what a step's picture shows: what its parts come to, and behind those
// the parts.
func (p *Packet) drawnIn(s *joining.Step) (onto []int, a *panel.Assembly) {
	onto = s.Onto
	for _, c := range s.Together { // all that hangs on what they come to, of as many as are drawn
		if !slices.Contains(s.Parts, c) && !slices.Contains(onto, c) && len(s.Onto) > 0 && s.Sets <= 1 {
			onto = append(slices.Clone(onto), c)
		}
	}
	a = new(panel.Assembly)
	*a = *p.Assembly
	a.Copies = nil
	for _, c := range slices.Concat(onto, s.Parts) {
		a.Copies = append(a.Copies, p.Assembly.Copies[c])
	}
	return onto, a
}

// drawnOff is how far parts that come are drawn off, in sizes of what is drawn.
const drawnOff = 0.22

// apart is the way that a part that comes is drawn off what it comes to: away from it, along its
// fasteners where those agree, else from middle to middle; nothing where there is nothing yet.
func (p *Packet) apart(s *joining.Step, part int, onto []int) (way solid.Vec) {
	if len(onto) == 0 {
		return way
	}
	var middle solid.Vec
	for _, c := range onto {
		middle = middle.Add(p.middle(p.Assembly.Copies[c]))
	}
	middle = middle.Scale(1 / float64(len(onto)))
	d := p.middle(p.Assembly.Copies[part]).Sub(middle)
	var axis solid.Vec
	for _, f := range s.Fasteners {
		for _, j := range f.Joins {
			q := p.Assembly.Joins[j]
			if !slices.ContainsFunc(q.Members, func(m panel.JoinMember) bool { return m.Copy == part }) {
				continue
			}
			if q.Axis.Dot(d) < 0 {
				q.Axis = q.Axis.Neg()
			}
			axis = axis.Add(q.Axis)
		}
	}
	switch {
	case axis.Len() > 0.5 && axis.Unit().Dot(d) > 1:
		return axis.Unit()
	case d.Len() > 1e-6:
		return d.Unit()
	}
	return solid.Vec{Z: 1}
}

// middle is that of a copy's faces in the world.
func (p *Packet) middle(c panel.Copy) (m solid.Vec) {
	faces := p.Assembly.Blanks[c.Blank].Flat.Faces
	var biggest float64
	for _, f := range faces { // the biggest face's: a balloon points at metal
		if a := f.Loop.Area(); a > biggest {
			biggest, m = a, c.Matrix.Apply(f.Frame.At(f.Loop.Centroid()))
		}
	}
	return m
}
