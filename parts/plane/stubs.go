package plane

// Corner is one point of an outline as drawn.
type Corner struct {
	P       Point
	Round   float64 // radius of the fillet at P, 0 none
	Chamfer float64 // cut back along both edges, 0 none
	Arc     float64 // signed radius of the edge leaving P: minus is hollow; 0 none
	Through *Point  // a point the edge leaving P passes through: an arc
	Edge    string  // name of the edge leaving P, "" none
}

// NamedEdge tells which edges of a loop carry a name.
type NamedEdge struct {
	Name  string
	Edges []int // indices of the loop's edges, in loop order
}

// Polygon builds a counter-clockwise loop.
func Polygon(corners []Corner) (Loop, []NamedEdge, error) { panic("stub") }

// Round fillets all convex corners.
func Round(r Region, radius float64) (Region, error) { panic("stub") }

// Chamfer cuts all convex corners.
func Chamfer(r Region, c float64) (Region, error) { panic("stub") }
