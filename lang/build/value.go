package build

import (
	"fmt"
	"strconv"
	"strings"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/parts/bend"
	"perch/parts/solid"
)

// value is what an expression comes to: one of the types below.
type value any

type (
	// number is a quantity in internal units. whole marks counts.
	number struct {
		v     float64
		dim   quantity.Dim
		whole bool
	}
	// gauge is a sheet gauge before a material gives it a thickness.
	gauge struct{ n int }
	// pair is a point, or an entry of a table.
	pair struct{ x, y number }
	// word is one of the fixed words that an argument may be: round, square, u, v.
	word string
	// material is a material of the shop, by name.
	material string
	// placed is a plane with the coordinates drawn on it. A side of a body is placed
	// on itself.
	placed struct{ frame solid.Frame }
	// stock is a sheet metal of the design.
	stock struct{ *bend.Stock }
	// list is a list as written; its items keep their corner clauses so that it can
	// be drawn as a polygon.
	list struct {
		items []item
	}
	item struct {
		at             *syntax.Item
		v              value
		round, chamfer float64
		arc            float64
		through        *pair
		edge           string
	}
	// edge is a straight edge of a face's outline, the metal to its left.
	edge struct {
		of   *face
		name string
		a, b solid.Vec
	}
	// function is a let with parameters, or a panel, to be called.
	function struct {
		let *syntax.Let
		env *env
	}
	panelRef struct {
		def *syntax.Panel
		env *env
	}
	// builtin is a function of the language, called by its own name.
	builtin string
	// fastener, bendSpec, seamSpec and markSpec are what rivet(…), bend(…),
	// open(…) and bead(…) stand for.
	fastener struct {
		kind        string
		size        float64
		pitch, edge float64
		count       int
		alongV      bool
	}
	bendSpec struct {
		radius, k, size float64
		hasRadius       bool
		relief          word
	}
	seamSpec struct {
		kind     string
		gap, lap float64
	}
	markSpec struct {
		kind          string // bead, line, text
		shape         *shape
		points        *list
		text          string
		width, height float64
		at            *pair
	}
)

// Span is where the item is written; items of built-in lists have no place.
func (it item) Span() diag.Span {
	if it.at == nil {
		return diag.Span{}
	}
	return it.at.At
}

// family holds the copies of an indexed statement, in order; every key has one
// value for each index of the statement.
type family struct {
	keys    [][]value
	members []value
}

// sameKey tells whether two index values name the same copy. Sides and corners
// are the same across layers when their numbers are.
func sameKey(a, b value) bool { return keyOf(a) == keyOf(b) }

func keyOf(v value) any {
	switch v := v.(type) {
	case number:
		return v.v
	case solid.Side:
		return [2]any{"side", v.Number()}
	case solid.Corner:
		return [2]any{"corner", v.Number()}
	case edge:
		return [3]any{"edge", v.of, v.name}
	case pair:
		return [2]float64{v.x.v, v.y.v}
	case *list, *family:
		return fmt.Sprintf("%p", v)
	}
	return v
}

// keyName is the word that stands for an index value in the name of a copy:
// sides and corners by number, edges and faces by name, the rest by position.
func keyName(v value, position int) string {
	switch v := v.(type) {
	case solid.Side:
		return strconv.Itoa(v.Number())
	case solid.Corner:
		return strconv.Itoa(v.Number())
	case edge:
		return v.name
	case *face:
		return v.name
	}
	return strconv.Itoa(position)
}

// pick returns the members of f whose keys begin with the given index values:
// a family of what is left to index, or the one member.
func (f *family) pick(index []value) (value, bool) {
	var keys [][]value
	var members []value
	for i, k := range f.keys {
		if len(index) > len(k) {
			return nil, false
		}
		same := true
		for j, x := range index {
			same = same && sameKey(x, k[j])
		}
		if same {
			if len(index) == len(k) {
				return f.members[i], true
			}
			keys = append(keys, k[len(index):])
			members = append(members, f.members[i])
		}
	}
	if keys == nil {
		return nil, false
	}
	return &family{keys, members}, true
}

// each calls do for every member that is not a family itself, in order, with
// the path of its keys.
func each(v value, do func(value)) {
	if f, ok := v.(*family); ok {
		for _, m := range f.members {
			each(m, do)
		}
		return
	}
	do(v)
}

// kind names a value's type as a maker would.
func kind(v value) string {
	switch v := v.(type) {
	case number:
		return v.dim.String()
	case bool:
		return "flag"
	case string:
		return "text"
	case gauge:
		return "gauge"
	case pair:
		return "point"
	case *shape:
		return "shape"
	case *solid.Body:
		return "body"
	case solid.Side:
		return "side"
	case solid.Corner:
		return "corner"
	case placed:
		return "plane"
	case *face:
		return "face"
	case edge:
		return "edge"
	case cutRef:
		return "cut"
	case stock:
		return "stock"
	case *part:
		return "part"
	case *family:
		return "family"
	case *list:
		return "list"
	case material:
		return "material"
	}
	return fmt.Sprintf("%T", v)
}

// one puts the article before a word for a value.
func one(word string) string {
	if word != "" && strings.IndexByte("aeiou", word[0]) >= 0 {
		return "an " + word
	}
	return "a " + word
}
