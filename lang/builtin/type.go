package builtin

import (
	"fmt"
	"strings"

	"perch/lang/quantity"
	"perch/lang/value"
)

// Kind is the sort of a type.
type Kind uint8

const (
	Invalid      Kind = iota // an expression with a mistake that was reported
	Any                      // known only when values are
	Quantity                 // a number with the dimension Dim; plain number when that is None
	CountKind                // a whole number
	FlagKind                 // true or false
	TextKind                 // quoted text
	GaugeKind                // 18ga
	MaterialKind             // mild_steel
	StockKind                // a sheet
	PointKind                // (u, v), two lengths
	PlaceKind                // (x, y, z), three lengths
	PairKind                 // two values that are not both lengths; Index holds their types
	ShapeKind                // a region of a plane
	PlaneKind                // an oriented plane
	BodyKind                 // a skeleton
	SideKind                 // a side of a body; also a plane
	CornerKind               // a corner of a body
	FaceKind                 // a face of a part
	EdgeKind                 // an edge of a face
	CutKind                  // a named opening
	MarkKind                 // a named mark, or what one shows
	PartKind                 // a part made by a panel
	ListKind                 // of Elem
	FamilyKind               // of Elem, indexed by Index
	FuncKind                 // a let with parameters, to be called
	FastenerKind             // rivet(…)
	BendKind                 // bend(…)
	SeamKind                 // open(…)
	LoadKind                 // load(…)
	SupportKind              // support(…)
)

// Type is what an argument or a result of the language's own functions can be. The
// zero Type is Invalid.
type Type struct {
	Kind  Kind
	Dim   quantity.Dim
	Elem  *Type  // of a list or family
	Index []Type // of a family; of a pair, the types of the two
	Maker string // of a part: the panel that makes it; "" for any
	// Edges name the edges of a shape; no others have names when EdgesKnown.
	Edges      []string
	EdgesKnown bool
}

var (
	anything = Type{Kind: Any}
	number   = Type{Kind: Quantity}
	count    = Type{Kind: CountKind}
	length   = Type{Kind: Quantity, Dim: quantity.Length}
	area     = Type{Kind: Quantity, Dim: quantity.Area}
	angle    = Type{Kind: Quantity, Dim: quantity.Angle}
	mass     = Type{Kind: Quantity, Dim: quantity.Mass}
	force    = Type{Kind: Quantity, Dim: quantity.Force}
	density  = Type{Kind: Quantity, Dim: quantity.Dim{Mass: 1, Length: -3}}
	flag     = Type{Kind: FlagKind}
	text     = Type{Kind: TextKind}
	gauge    = Type{Kind: GaugeKind}
	material = Type{Kind: MaterialKind}
	stock    = Type{Kind: StockKind}
	point    = Type{Kind: PointKind}
	shape    = Type{Kind: ShapeKind}
	planes   = Type{Kind: PlaneKind}
	body     = Type{Kind: BodyKind}
	side     = Type{Kind: SideKind}
	corner   = Type{Kind: CornerKind}
	face     = Type{Kind: FaceKind}
	edge     = Type{Kind: EdgeKind}
	cut      = Type{Kind: CutKind}
	mark     = Type{Kind: MarkKind}
	part     = Type{Kind: PartKind}
	fastener = Type{Kind: FastenerKind}
	bendSpec = Type{Kind: BendKind}
	seamSpec = Type{Kind: SeamKind}
	loaded   = Type{Kind: LoadKind}
	support  = Type{Kind: SupportKind}
)

func list(t Type) Type { return Type{Kind: ListKind, Elem: &t} }

// edged is a shape whose edges the language gives these names, and no others.
func edged(names ...string) Type { return Type{Kind: ShapeKind, Edges: names, EdgesKnown: true} }

// IsQuantity tells whether the type is of numbers.
func (t Type) IsQuantity() bool { return t.Kind == Quantity || t.Kind == CountKind }

// Silent tells that nothing can be said of the type: it is wrong already or not known.
func (t Type) Silent() bool { return t.Kind == Invalid || t.Kind == Any }

var kindNames = map[Kind]string{
	Invalid: "nothing known", Any: "something", CountKind: "count", FlagKind: "flag", TextKind: "text",
	GaugeKind: "gauge", MaterialKind: "material", StockKind: "stock", PointKind: "point", ShapeKind: "shape",
	PlaceKind: "place in space",
	PlaneKind: "plane", BodyKind: "body", SideKind: "side", CornerKind: "corner", FaceKind: "face",
	EdgeKind: "edge", CutKind: "cut", MarkKind: "mark", PartKind: "part", FuncKind: "function",
	FastenerKind: "fastener", BendKind: "bend", SeamKind: "seam treatment", LoadKind: "load", SupportKind: "support",
}

// String names the type as a reader would, without an article.
func (t Type) String() string {
	switch t.Kind {
	case Quantity:
		return t.Dim.String()
	case ListKind:
		return "list of " + t.Elem.Plural()
	case FamilyKind:
		return "family of " + t.Elem.Plural()
	case PairKind:
		return fmt.Sprintf("pair of %s and %s", t.Index[0].Phrase(), t.Index[1].Phrase())
	case PartKind:
		if t.Maker != "" {
			return t.Maker
		}
	}
	return kindNames[t.Kind]
}

// Phrase is the name with its article: an angle, a count.
func (t Type) Phrase() string {
	if t.Silent() || t.Kind == TextKind || t.Kind == Quantity && t.Dim == quantity.Money {
		return t.String()
	}
	return value.Article(t.String())
}

// Plural is the name of several: bodies, lists of points.
func (t Type) Plural() string {
	s := t.String()
	switch t.Kind {
	case Invalid, Any:
		return "things"
	case TextKind:
		return "texts"
	case FamilyKind:
		return strings.Replace(s, "family of", "families of", 1)
	case ListKind, PairKind:
		return strings.Replace(s, " of", "s of", 1)
	case PartKind:
		if t.Maker != "" {
			return strings.TrimSuffix(s, " part") + " parts"
		}
	}
	switch {
	case strings.HasSuffix(s, "s"):
		return s + "es"
	case s == "body":
		return "bodies"
	}
	return s + "s"
}

// Alternatives writes "a length or a point".
func Alternatives(types []Type) string {
	s := make([]string, len(types))
	for i, t := range types {
		s[i] = t.Phrase()
	}
	return strings.Join(s, " or ")
}
