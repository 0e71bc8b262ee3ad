// Package shopcheck asks whether a part can be cut, bent, reached and fastened in
// a shop: it holds flats and joins to the rules of the trade and tells what
// misses them, with the numbers and what would satisfy the rule. It changes
// nothing and stops nothing.
package shopcheck

import (
	"fmt"

	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
)

// Finding is one rule that a part misses.
type Finding struct {
	Code       string       // of Codes
	Part       string       // panel or blank
	Place      string       // face, fold, cut, mark or point: "fold web to lip", "hole head.1"
	On         Subject      // what Place says, for who looks for it in the text
	Of         Measure      // what of it misses the rule
	Rule       measure.Text // one line with its source
	Got, Limit float64
	Want       float64      // what would satisfy the rule, where that is not Limit; 0 where it is
	Message    measure.Text // plain words: the numbers, and what would satisfy the rule
}

// Subject is what of a part a finding is about.
type Subject struct {
	Kind Kind
	Name string // of the fold, cut, mark, face or point; of a whole blank none
	Face string // that a cut or mark is in, or of a fold's two the one that it is about
}

// Kind tells subjects apart.
type Kind uint8

const (
	Blank Kind = iota
	Fold
	Face
	Cut
	Bead
	Hole  // of a join
	Point // of a join
	Text
)

var kinds = [...]string{"blank", "fold ", "face ", "cut ", "bead ", "hole ", "point ", "text "}

func (s Subject) String() string { return kinds[s.Kind] + s.Name }

func (s Subject) with(face string) Subject { s.Face = face; return s }

// tol is how far, in mm, a length may miss a limit and still be at it.
const tol = 1e-6

// Numbers of the rules that no shop changes; their sources stand in Codes.
const (
	minFlange       = 5.0 // mm
	minHem          = 8.0
	largeHole       = 25.0
	maxDeviation    = 0.5
	minCircleRelief = 3.0
	minNotchRelief  = 1.5
)

// Check holds one flat to the rules for cutting and bending. The findings come in
// the order of folds, cuts and marks. A flat without a panel has none. Join rules
// need the whole assembly: see CheckAssembly.
func Check(flat *panel.Flat, shop *shop.Shop) []Finding {
	if flat == nil || flat.Panel == nil || shop == nil {
		return nil
	}
	c := &checker{flat: flat, shop: shop, t: flat.Panel.Stock.Thickness, part: flat.Panel.Name}
	c.blank()
	for i := range flat.Folds {
		c.fold(&flat.Folds[i], c.reliefOf(i))
	}
	open := c.openings()
	c.holes(open)
	c.webs(open)
	c.corners()
	c.beads()
	c.texts()
	return c.found
}

// checker gathers the findings of one flat.
type checker struct {
	flat  *panel.Flat
	shop  *shop.Shop
	t     float64 // thickness
	part  string
	found []Finding
}

func (c *checker) add(rule Code, on Subject, got, limit float64, format string, args ...any) {
	c.found = append(c.found, Finding{
		Code: rule.Code, Part: c.part, Place: on.String(), On: on, Of: rule.Of, Rule: rule.Rule, Got: got, Limit: limit,
		Message: measure.Say("%s, %s: %s", c.part, on, measure.Say(format, args...)),
	})
}

// below tells whether a length misses a least one by more than tol.
func below(got, limit float64) bool { return got < limit-tol }

// above tells whether a length passes a largest one by more than tol.
func above(got, limit float64) bool { return got > limit+tol }

func (c *checker) faceName(i int) string {
	if i < 0 || i >= len(c.flat.Faces) {
		return "?"
	}
	return c.flat.Faces[i].Name
}

func (c *checker) foldPlace(f *panel.FlatFold) Subject {
	if f.Name != "" {
		return Subject{Kind: Fold, Name: f.Name}
	}
	return Subject{Kind: Fold, Name: fmt.Sprintf("%s to %s", c.faceName(f.A), c.faceName(f.B))}
}

// reliefOf is the treatment that the panel states for fold i.
func (c *checker) reliefOf(i int) panel.Fold {
	if i < len(c.flat.Panel.Folds) {
		return c.flat.Panel.Folds[i]
	}
	return panel.Fold{}
}

// tangents are the tangent lines of all folds that touch a face.
func (c *checker) tangents(face int) []tangent {
	var all []tangent
	for i := range c.flat.Folds {
		f := &c.flat.Folds[i]
		if f.A == face {
			all = append(all, tangent{plane.Edge{From: f.TangentA[0], To: f.TangentA[1]}, f})
		}
		if f.B == face {
			all = append(all, tangent{plane.Edge{From: f.TangentB[0], To: f.TangentB[1]}, f})
		}
	}
	return all
}

type tangent struct {
	edge plane.Edge
	fold *panel.FlatFold
}

// distance is from a point to the tangent line's span.
func (t tangent) distance(p plane.Point) float64 { return t.edge.Nearest(p).Dist(p) }

// blank holds the blank to the cutter's thickness and bed, turned either way.
func (c *checker) blank() {
	cut := c.shop.Cutter
	if above(c.t, cut.MaxThickness) {
		c.add(cutterRange, Subject{}, c.t, cut.MaxThickness, "%.4g sheet; the %s cuts up to %.4g", measure.Length(c.t), cut.Kind, measure.Length(cut.MaxThickness))
	}
	w, h := c.flat.Size()
	long, wide := max(w, h), min(w, h)
	bedLong, bedWide := max(cut.Width, cut.Length), min(cut.Width, cut.Length)
	if above(long, bedLong) || above(wide, bedWide) {
		c.add(cutterRange, Subject{}, long, bedLong, "the blank is %#.1f × %.1f; the %s's bed is %#.0f × %.0f: make it of two parts",
			measure.Length(long), measure.Length(wide), cut.Kind, measure.Length(bedLong), measure.Length(bedWide))
	}
}
