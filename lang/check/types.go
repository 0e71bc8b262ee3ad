package check

import (
	"slices"

	"perch/lang/builtin"
	"perch/lang/quantity"
)

// Kind is the sort of a type; the table of the language lists them.
type Kind = builtin.Kind

const (
	Invalid      = builtin.Invalid
	Any          = builtin.Any
	Quantity     = builtin.Quantity
	CountKind    = builtin.CountKind
	FlagKind     = builtin.FlagKind
	TextKind     = builtin.TextKind
	GaugeKind    = builtin.GaugeKind
	MaterialKind = builtin.MaterialKind
	StockKind    = builtin.StockKind
	PointKind    = builtin.PointKind
	PlaceKind    = builtin.PlaceKind
	PairKind     = builtin.PairKind
	ShapeKind    = builtin.ShapeKind
	PlaneKind    = builtin.PlaneKind
	BodyKind     = builtin.BodyKind
	SideKind     = builtin.SideKind
	CornerKind   = builtin.CornerKind
	FaceKind     = builtin.FaceKind
	EdgeKind     = builtin.EdgeKind
	CutKind      = builtin.CutKind
	MarkKind     = builtin.MarkKind
	PartKind     = builtin.PartKind
	ListKind     = builtin.ListKind
	FamilyKind   = builtin.FamilyKind
	FuncKind     = builtin.FuncKind
	FastenerKind = builtin.FastenerKind
	BendKind     = builtin.BendKind
	SeamKind     = builtin.SeamKind
	LoadKind     = builtin.LoadKind
	SupportKind  = builtin.SupportKind
)

// Type is what an expression can be. The zero Type is Invalid.
type Type struct {
	Kind  Kind
	Dim   quantity.Dim
	Elem  *Type
	Index []Type
	Decl  *Decl
	edges *shapeEdges // of a shape; nil: nothing is known of them
}

var (
	invalid  = Type{}
	anything = Type{Kind: Any}
	number   = Type{Kind: Quantity}
	count    = Type{Kind: CountKind}
	length   = Type{Kind: Quantity, Dim: quantity.Length}
	area     = Type{Kind: Quantity, Dim: quantity.Area}
	angle    = Type{Kind: Quantity, Dim: quantity.Angle}
	mass     = Type{Kind: Quantity, Dim: quantity.Mass}
	force    = Type{Kind: Quantity, Dim: quantity.Force}
	time     = Type{Kind: Quantity, Dim: quantity.Time}
	money    = Type{Kind: Quantity, Dim: quantity.Money}
	density  = Type{Kind: Quantity, Dim: quantity.Dim{Mass: 1, Length: -3}}
	flag     = Type{Kind: FlagKind}
	text     = Type{Kind: TextKind}
	gauge    = Type{Kind: GaugeKind}
	material = Type{Kind: MaterialKind}
	stock    = Type{Kind: StockKind}
	point    = Type{Kind: PointKind}
	inSpace  = Type{Kind: PlaceKind}
	shape    = Type{Kind: ShapeKind}
	plane    = Type{Kind: PlaneKind}
	body     = Type{Kind: BodyKind}
	side     = Type{Kind: SideKind}
	corner   = Type{Kind: CornerKind}
	face     = Type{Kind: FaceKind}
	edge     = Type{Kind: EdgeKind}
	cut      = Type{Kind: CutKind, edges: noneNamed} // as a shape, it has none with a name
	mark     = Type{Kind: MarkKind}
	part     = Type{Kind: PartKind}
	fastener = Type{Kind: FastenerKind}
	bendSpec = Type{Kind: BendKind}
	seamSpec = Type{Kind: SeamKind}
)

// TypeWord is a word that a declaration may give as a type.
type TypeWord struct {
	Word string
	Type Type
	Doc  string
}

// TypeWords are the types the language knows by name; a panel's name is one as well.
var TypeWords = []TypeWord{
	{"length", length, "a distance: 320mm, 1-1/2in"},
	{"angle", angle, "an angle: 84deg, 0.5rad"},
	{"count", count, "a whole number"},
	{"number", number, "a number without a unit"},
	{"area", area, "a surface: 2m^2"},
	{"mass", mass, "a mass: 110kg"},
	{"force", force, "a force: 500N"},
	{"money", money, "a sum in the shop's currency"},
	{"time", time, "a time: 5min"},
	{"text", text, "quoted text"},
	{"flag", flag, "true or false"},
	{"gauge", gauge, "a sheet gauge: 18ga"},
	{"material", material, "what a sheet is of: mild_steel"},
	{"stock", stock, "a sheet metal"},
	{"point", point, "two lengths: (10mm, 20mm)"},
	{"shape", shape, "a region of a face's plane"},
	{"plane", plane, "a plane with a drawn side"},
	{"body", body, "a skeleton of planes, edges and corners"},
	{"side", side, "a side of a body"},
	{"corner", corner, "a corner of a body"},
	{"face", face, "a face of a part"},
	{"edge", edge, "an edge of a face"},
	{"load", Type{Kind: LoadKind}, "a force on a face"},
}

func isTypeWord(word string) bool {
	return slices.ContainsFunc(TypeWords, func(w TypeWord) bool { return w.Word == word })
}

func list(t Type) Type { return Type{Kind: ListKind, Elem: &t} }

// family is t indexed by index; a family of families has the indices of both.
func family(index []Type, t Type) Type {
	if len(index) == 0 || t.Kind == Invalid || t.Kind == Any {
		return t
	}
	if t.Kind == FamilyKind {
		joined := append(append([]Type{}, index...), t.Index...)
		return Type{Kind: FamilyKind, Index: joined, Elem: t.Elem}
	}
	f := Type{Kind: FamilyKind, Index: index, Elem: &t}
	if t.Kind == PointKind {
		f.edges = noneNamed
	}
	return f
}

func (t Type) quantity() bool { return t.Kind == Quantity || t.Kind == CountKind }

// silent says that nothing can be said of the type: it is wrong already or not known.
func (t Type) silent() bool { return t.Kind == Invalid || t.Kind == Any }

// String names the type as a reader would, without an article.
func (t Type) String() string { return t.plain().String() }

// phrase is the name with its article: an angle, a count.
func (t Type) phrase() string { return t.plain().Phrase() }

func (t Type) plural() string { return t.plain().Plural() }

// assignable says whether a value of type from may stand where to is wanted.
func assignable(to, from Type) bool {
	if from.silent() || to.silent() {
		return true
	}
	switch to.Kind {
	case Quantity:
		return from.quantity() && from.Dim == to.Dim
	case PlaneKind:
		return from.Kind == PlaneKind || from.Kind == SideKind || from.Kind == FaceKind
	case ShapeKind:
		return from.Kind == ShapeKind || from.Kind == CutKind ||
			(from.Kind == ListKind || from.Kind == FamilyKind) && assignable(point, *from.Elem)
	case ListKind:
		return (from.Kind == ListKind || from.Kind == FamilyKind) && assignable(*to.Elem, *from.Elem)
	case PartKind:
		return from.Kind == PartKind && (to.Decl == nil || from.Decl == nil || to.Decl == from.Decl)
	case FamilyKind:
		if from.Kind != FamilyKind || len(to.Index) != len(from.Index) || !assignable(*to.Elem, *from.Elem) {
			return false
		}
		for i := range to.Index {
			if !assignable(to.Index[i], from.Index[i]) {
				return false
			}
		}
		return true
	case PairKind:
		return from.Kind == PairKind && assignable(to.Index[0], from.Index[0]) && assignable(to.Index[1], from.Index[1])
	case FuncKind:
		return from.Kind == FuncKind && to.Decl == from.Decl
	}
	return to.Kind == from.Kind
}

// Fits says whether something of the type is known to be one of the types wanted, or a
// family of it.
func (t Type) Fits(wanted ...Type) bool {
	if t.Kind == FamilyKind {
		t = *t.Elem
	}
	if t.silent() {
		return false
	}
	for _, w := range wanted {
		if !w.silent() && assignable(w, t) {
			return true
		}
	}
	return false
}

// unify is the narrowest type that holds values of both; ok is false where there is none.
func unify(a, b Type) (t Type, ok bool) {
	switch {
	case a.Kind == Invalid || b.Kind == Invalid:
		return invalid, true
	case a.Kind == Any || b.Kind == Any:
		return anything, true
	case a.Kind == ListKind && b.Kind == ListKind:
		e, ok := unify(*a.Elem, *b.Elem)
		if !ok {
			return invalid, false
		}
		t = list(e)
	case a.Kind == PairKind && b.Kind == PairKind:
		x, okx := unify(a.Index[0], b.Index[0])
		y, oky := unify(a.Index[1], b.Index[1])
		return Type{Kind: PairKind, Index: []Type{x, y}}, okx && oky
	case assignable(a, b):
		t = a
	case assignable(b, a):
		t = b
	case assignable(plane, a) && assignable(plane, b):
		t = plane
	case a.Kind == PartKind && b.Kind == PartKind:
		return part, true
	default:
		return invalid, false
	}
	if a.Decl != b.Decl {
		t.Decl = nil
	}
	return t.withEdges(joinEdges(a, b)), true
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}
