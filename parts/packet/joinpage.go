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

// named is the assembly with its copies and blanks called in the words of people.
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
	return &a
}

const joinHigh = 78.0 // of a step's picture

// joinStep draws a step and writes what is done in it.
func (p *Packet) joinStep(f *paper.Flow, i int, words []joining.Line) error {
	s := &p.Together.Steps[i]
	high := joinHigh + 14.0
	for _, l := range words {
		if l.Step == i+1 {
			high += f.ItemHigh(l.Text.In(p.Paper.System))
		}
	}
	f.Need(high)
	f.Heading("Step " + strconv.Itoa(i+1) + " of " + strconv.Itoa(len(p.Together.Steps)))
	if err := p.joinPicture(f.Page(), s, f.Box(joinHigh)); err != nil {
		return err
	}
	for _, l := range words {
		if l.Step == i+1 {
			f.Item(l.Text.In(p.Paper.System), true)
		}
	}
	return nil
}

// joinPicture draws what a step joins, the parts that come moved off.
func (p *Packet) joinPicture(page *paper.Page, s *joining.Step, box plane.Box) error {
	onto := s.Onto
	for _, c := range s.Together { // all that hangs on what they come to, of as many as are drawn
		if !slices.Contains(s.Parts, c) && !slices.Contains(onto, c) && len(s.Onto) > 0 && s.Sets <= 1 {
			onto = append(slices.Clone(onto), c)
		}
	}
	a := *p.Assembly
	a.Copies = nil
	var balloons []int
	for _, c := range slices.Concat(onto, s.Parts) {
		a.Copies = append(a.Copies, p.Assembly.Copies[c])
	}
	whole, err := drawing.Metal(&a)
	if err != nil {
		return err
	}
	size, err := p.overAll(whole)
	if err != nil {
		return err
	}
	far := float64(drawnOff * max(size.X, size.Y, size.Z))
	for k, c := range s.Parts {
		m := &a.Copies[len(onto)+k].Matrix
		off := p.apart(s, c, onto).Scale(far)
		m[3], m[7], m[11] = m[3]+off.X, m[7]+off.Y, m[11]+off.Z
	}
	balloons = append(append(balloons, onto...), s.Parts...)
	facets, err := drawing.Metal(&a)
	if err != nil {
		return err
	}
	from, up := corners[0].from, solid.Vec{Z: 1}
	surfaces, seen, err := drawing.Orthographic(facets, from, up)
	if err != nil {
		return err
	}
	const side = 45.0 // free on each side, for names
	n := paper.ScaleFor(seen.Size(), plane.Point{X: box.Size().X - 2*side, Y: box.Size().Y - 4})
	at := plane.Point{X: box.Center().X - float64(seen.Size().X/n/2), Y: box.Center().Y - float64(seen.Size().Y/n/2)}
	to := plane.Affine{A: 1 / n, D: 1 / n, E: at.X - seen.Min.X/n, F: at.Y - seen.Min.Y/n}
	blankpage.Show(page, surfaces, seen, at, n)
	var names []paper.Named
	for k, c := range balloons {
		names = append(names, paper.Named{Text: p.Names.Copy(c), At: to.Apply(drawing.Seen(p.middle(a.Copies[k]), from, up)), Bold: k >= len(onto)})
	}
	page.Beside(plane.Box{Min: at, Max: at.Add(seen.Size().Scale(1 / n))}, box, names)
	page.Text(paper.Label{Text: paper.ScaleName(n), At: plane.Point{X: box.Min.X, Y: box.Max.Y - 1.5}})
	return nil
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
