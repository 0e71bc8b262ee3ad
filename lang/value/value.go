// Package value holds what the expressions of a design come to: numbers with their
// dimension, points, lists, families of copies, shapes still to be drawn, and what
// describes fasteners, bends, seams and marks. It works nothing out that needs a
// design: what stands for a part, a face or an edge is known by the room that
// evaluates them, and met here by what Reference asks of it.
package value

import (
	"fmt"
	"iter"
	"slices"
	"strconv"
	"strings"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// Value is what an expression comes to: one of the types below.
type Value any

type (
	// Reference is what stands for a thing that only an evaluation knows: a part, a
	// face, an edge, a cut, a function of the design.
	Reference interface {
		Kind() string    // as a maker calls it
		Key() any        // comparable: equal where they stand for the same thing
		KeyName() string // in the name of a copy that it indexes; "" for none
	}
	// Drawable is what can be taken for a shape.
	Drawable interface{ Draw(c *Canvas) Drawn }
	// Number is a quantity in internal units. whole marks counts.
	Number struct {
		V     float64
		Dim   quantity.Dim
		Whole bool
	}
	// Gauge is a sheet gauge before a material gives it a thickness.
	Gauge struct{ N int }
	// Pair is a point, or an entry of a table.
	Pair struct{ X, Y Number }
	// Triple is a place in space.
	Triple struct{ X, Y, Z Number }
	// Word is one of the fixed words that an argument may be: round, square, u, v.
	Word string
	// Material is a material of the shop, by name.
	Material string
	// Placed is a plane with the coordinates drawn on it: On takes u and v to the
	// frame's x and y, and its zero value is u = x, v = y.
	Placed struct {
		Frame solid.Frame
		On    plane.Affine
	}
	// Stock is a sheet metal of the design.
	Stock struct{ *shop.Stock }
	// List is a list as written; its items keep their corner clauses so that it can
	// be drawn as a polygon.
	List struct {
		Items []Item
	}
	// Item is one of them; At is nil in lists that the language makes.
	Item struct {
		At             *syntax.Item
		V              Value
		Round, Chamfer float64
		Arc            float64
		Through        *Pair
		Edges          []EdgeName // of the edge that leaves the point
	}
	// Fastener, bendSpec, seamSpec and markSpec are what rivet(…), bend(…),
	// open(…) and bead(…) stand for.
	Fastener struct {
		Kind        string
		Size        float64
		Pitch, Edge float64
		Count       int
		Along       Word
		Back        bool         // a bead on the back of its sheet
		Closing     shop.Closing // of a rivet
		Countersunk bool         // a solid rivet's tail
		Head        Word         // the sheet that its head lies on, outer or inner; "" for what is reached
		Drilled     Word         // which holes are made when; "" as the shop does
		Located     Word         // what puts the parts in their places; "" as the shop does
	}
	BendSpec struct {
		Radius, K, Size float64
		HasRadius       bool
		Relief          Word
	}
	SeamSpec struct {
		Kind     string
		Gap, Lap float64
	}
	MarkSpec struct {
		Kind          panel.MarkKind
		Shape         *Shape
		Points        *List
		Text          string
		Width, Height float64
		Middle        bool          // of text: its middle, not the start of its baseline, is put at a place
		At            []plane.Point // where it is put; nil for the origin
	}
	// Support is what holds a piece that hangs: rims of cuts, by screws or hooks in a wall.
	Support struct {
		By []Value // the cuts
	}
	// Load is a force on a face.
	Load struct {
		Force  solid.Vec    // N
		Across float64      // N, level, out over whatever the piece tips over
		On     Value        // the face
		Frame  solid.Frame  // of the face's plane; where Area is empty, at the middle of the load
		Area   plane.Region // in Frame's plane, of the places of which the worst counts
		Spread float64      // diameter of the disc that carries it, mm
		Stops  bool         // the feet of the piece stand against stops while it acts
	}
)

// Span is where the item is written; items of built-in lists have no place.
func (it Item) Span() diag.Span {
	if it.At == nil {
		return diag.Span{}
	}
	return it.At.At
}

// Family holds the copies of an indexed statement, in order; every key has one
// value for each index of the statement.
type Family struct {
	Keys    [][]Value
	Members []Value

	byNumber map[float64][]int // the first so many members whose first index is a number
	numbered int
}

// manyMembers is from how many members on those of a number are looked up.
const manyMembers = 32

// starting are the members whose keys may begin with index values: all, but for large
// families and numbers.
func (f *Family) starting(index []Value) iter.Seq[int] {
	var x Number
	known := len(index) > 0 && len(f.Keys) >= manyMembers
	if known {
		x, known = index[0].(Number)
	}
	if !known {
		return func(yield func(int) bool) {
			for i := range f.Keys {
				if !yield(i) {
					return
				}
			}
		}
	}
	if f.byNumber == nil {
		f.byNumber = map[float64][]int{}
	}
	for ; f.numbered < len(f.Keys); f.numbered++ {
		if k := f.Keys[f.numbered]; len(k) > 0 {
			if n, ok := k[0].(Number); ok {
				f.byNumber[n.V] = append(f.byNumber[n.V], f.numbered)
			}
		}
	}
	return slices.Values(f.byNumber[x.V])
}

// SameKey tells whether two index values name the same copy. Sides and corners
// are the same across layers when their numbers are.
func SameKey(a, b Value) bool { return keyOf(a) == keyOf(b) }

func keyOf(v Value) any {
	switch v := v.(type) {
	case Number:
		return v.V
	case solid.Side:
		return [2]any{"side", v.Number()}
	case solid.Corner:
		return [2]any{"corner", v.Number()}
	case Reference:
		return v.Key()
	case Pair:
		return [2]float64{v.X.V, v.Y.V}
	case *List, *Family:
		return fmt.Sprintf("%p", v)
	}
	return v
}

// Identity is comparable, and equal for values that are one: for sides and corners of one
// body, not only of one number.
func Identity(v Value) any {
	switch v := v.(type) {
	case solid.Side:
		return v
	case solid.Corner:
		return v
	}
	return keyOf(v)
}

// KeyName is the word that stands for an index value in the name of a copy: counts by
// themselves, sides and corners by number, edges and faces by name, the rest by position.
func KeyName(v Value, position int) string {
	switch v := v.(type) {
	case Number:
		if v.Whole && v.V >= 0 {
			return strconv.FormatFloat(v.V, 'f', -1, 64)
		}
	case solid.Side:
		return strconv.Itoa(v.Number())
	case solid.Corner:
		return strconv.Itoa(v.Number())
	case Reference:
		if name := v.KeyName(); name != "" {
			return name
		}
	}
	return strconv.Itoa(position)
}

// Pick returns the members of f whose keys begin with the given index values: a family of
// what is left to index, or the one member. Where several have such keys, for sides and
// corners are known by their numbers, those are meant whose keys are the very values; n is
// how many members there are for a whole key, more than one where it is not told which.
func (f *Family) Pick(index []Value) (v Value, n int) {
	var alike, very []int
	for i := range f.starting(index) {
		k := f.Keys[i]
		if len(index) > len(k) {
			return nil, 0
		}
		same, one := true, true
		for j, x := range index {
			same = same && SameKey(x, k[j])
			one = one && Identity(x) == Identity(k[j])
		}
		if same {
			alike = append(alike, i)
		}
		if one {
			very = append(very, i)
		}
	}
	if very != nil {
		alike = very
	}
	if alike == nil {
		return nil, 0
	}
	if len(index) == len(f.Keys[alike[0]]) {
		return f.Members[alike[0]], len(alike)
	}
	out := &Family{}
	for _, i := range alike {
		out.Keys = append(out.Keys, f.Keys[i][len(index):])
		out.Members = append(out.Members, f.Members[i])
	}
	return out, 1
}

// Each calls do for every member that is not a family itself, in order, with
// the path of its keys.
func Each(v Value, do func(Value)) {
	if f, ok := v.(*Family); ok {
		for _, m := range f.Members {
			Each(m, do)
		}
		return
	}
	do(v)
}

// KindOf names a value's type as a maker would.
func KindOf(v Value) string {
	switch v := v.(type) {
	case Number:
		return v.Dim.String()
	case bool:
		return "flag"
	case string:
		return "text"
	case Gauge:
		return "gauge"
	case Pair:
		return "point"
	case Triple:
		return "place in space"
	case *Shape:
		return "shape"
	case *solid.Body:
		return "body"
	case solid.Side:
		return "side"
	case solid.Corner:
		return "corner"
	case Placed:
		return "plane"
	case Stock:
		return "stock"
	case *Family:
		return "family"
	case *List:
		return "list"
	case Material:
		return "material"
	case Fastener:
		return "fastener"
	case BendSpec:
		return "bend"
	case SeamSpec:
		return "seam treatment"
	case MarkSpec:
		return "mark"
	case *Load:
		return "load"
	case *Support:
		return "support"
	case Word:
		return "word"
	case Reference:
		return v.Kind()
	}
	return fmt.Sprintf("%T", v)
}

// Article puts the article before a word for a value.
func Article(word string) string {
	if word != "" && strings.IndexByte("aeiou", word[0]) >= 0 {
		return "an " + word
	}
	return "a " + word
}

// ListFrom takes a family for the list of its members; anything else is what it is.
func ListFrom(v Value) Value {
	f, ok := v.(*Family)
	if !ok {
		return v
	}
	l := &List{}
	Each(f, func(m Value) { l.Items = append(l.Items, Item{V: m}) })
	return l
}

// OfPoints tells whether a family is of points, and not empty.
func (f *Family) OfPoints() bool {
	for _, m := range f.Members {
		if _, ok := m.(Pair); !ok {
			return false
		}
	}
	return len(f.Members) > 0
}

// OfPoints tells whether a list can be taken for an outline: its items are points.
func (l *List) OfPoints() bool {
	for _, it := range l.Items {
		if _, ok := it.V.(Pair); !ok {
			return false
		}
	}
	return true
}

// EachItem calls do for the items of a list, for the members of a family, for the items
// of those that are lists, or for a value that is neither.
func EachItem(v Value, do func(Value)) {
	if l, ok := v.(*List); ok {
		for _, it := range l.Items {
			do(it.V)
		}
		return
	}
	Each(v, func(m Value) {
		if l, ok := m.(*List); ok {
			EachItem(l, do)
			return
		}
		do(m)
	})
}

// Length is a number of millimetres.
func Length(v float64) Value { return Number{V: v, Dim: quantity.Length} }

// PointAt is a point by its coordinates in mm.
func PointAt(x, y float64) Value {
	return Pair{Number{V: x, Dim: quantity.Length}, Number{V: y, Dim: quantity.Length}}
}

// Count is a whole number.
func Count(n int) Value { return Number{V: float64(n), Whole: true} }

// ListOf is a list that the language makes.
func ListOf[T any](vs ...T) Value {
	l := &List{}
	for _, v := range vs {
		l.Items = append(l.Items, Item{V: v})
	}
	return l
}

// Shown is a number as a maker writes it, in the units of whoever reads it.
type Shown Number

// In writes the number in a system.
func (n Shown) In(s quantity.System) string { return quantity.Format(n.V, n.Dim, s) }

// String writes the number in millimetres.
func (n Shown) String() string { return n.In(quantity.Millimetres) }

// ShownLength is a length of mm as a maker writes it.
func ShownLength(mm float64) Shown { return Shown{V: mm, Dim: quantity.Length} }
