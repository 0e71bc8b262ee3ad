// Package joining plans how a piece is put together: in which order parts come to each
// other so that a tool's straight line reaches every fastener from the side, or both, that
// it is set from, what is clamped, tacked, welded, drilled and riveted at each step, and
// what is done while a blank is still flat. It never moves a part or changes a join, and
// whether a part can be brought to its place along some way is not asked.
package joining

import (
	"perch/parts/panel"
	"perch/parts/shop"
)

// Plan is how a piece is put together. Parts are indices of Assembly.Copies, fasteners of
// Assembly.Joins.
type Plan struct {
	Flat      []FlatWork // what is done before bending, by blank
	Steps     []Step
	Unreached []Unreached
	// Stopped tells that comparing tools with metal was given up as too much work: what
	// Unreached names is out of reach all the same, what it does not may be.
	Stopped bool
}

// Step is one step at the bench. What it lists is done in this order: parts are put
// together and held, tacked, welded, drilled through and fastened.
type Step struct {
	Parts     []int // those that come; of the first step of a group all
	Onto      []int // what they are fastened to, of what is together by then; none at a start
	Together  []int // all that hangs together afterwards, of every set
	Sets      int   // how many alike are made at this step, each of its own parts
	Loose     bool  // nothing fastens the parts: they lie in their places
	Holds     []Hold
	TackAt    []int // fasteners beside which parts that tacks locate are tacked before anything is drilled, in order
	Tacks     []int // in the order to set them
	Welds     []int // beads along edges and plugs, in the order to weld them
	Drills    []Drilling
	Fasteners []Fasteners
}

// Hold is what keeps two parts in their places while others are tacked or drilled.
type Hold struct {
	Parts  [2]int
	By     string // of shop.Locatings
	Clamps int
	Pins   []int // fasteners whose holes locate them
}

// Drilling is holes of one diameter that are drilled.
type Drilling struct {
	Diameter float64
	Joins    []int // whose holes they are, where they are drilled in place
	Count    int
}

// Fasteners are those of one kind and size.
type Fasteners struct {
	Kind        string // rivet or bolt
	Diameter    float64
	Closing     shop.Closing
	Countersunk bool
	Shank       shop.Shank
	Joins       []int
}

// FlatWork is what is done to a blank before it is bent.
type FlatWork struct {
	Blank  int        // of Assembly.Blanks
	Cut    int        // openings that are cut
	Drills []Drilling // marked and drilled, each Count on one piece
	Beads  int        // rolled while it is flat; the curl that they leave is bent out
	Bends  int
}

// Side is where a fastener is reached from.
type Side string

const (
	Head Side = "head" // where its head lies, or a weld's torch comes from
	Tail Side = "tail"
	Bore Side = "hole" // the drill, from the head's side
)

// Unreached is a fastener that no tool reaches, whatever comes first.
type Unreached struct {
	Join  int
	Side  Side
	By    []int // parts that are in the way
	Turns bool  // with its head on the other side it is reached
	Knot  bool  // each part alone could come later, but not all that are in each other's way
}

// New plans how an assembly is put together with the tools of a shop. The plan is the same
// for the same assembly.
func New(a *panel.Assembly, s *shop.Shop) Plan { return plan(a, s, mostWork) }

func plan(a *panel.Assembly, s *shop.Shop, work int) Plan {
	if len(a.Copies) == 0 {
		return Plan{}
	}
	b := newBench(a, s, work)
	tasks := make([]task, len(a.Joins))
	var p Plan
	for i := range a.Joins {
		t, lost := b.task(i)
		if lost != nil {
			p.Unreached = append(p.Unreached, *lost)
		}
		tasks[i] = t
	}
	o := order{tasks: tasks, work: work, in: make([]int, len(a.Copies))}
	all := make([]int, len(a.Copies))
	for i := range all {
		all[i] = i
	}
	tree := o.part(all)
	for _, i := range o.lost {
		u := b.unreached(i, tasks[i].options)
		u.Knot = true
		p.Unreached = append(p.Unreached, u)
	}
	p.Stopped = b.work <= 0 || o.work <= 0
	w := writer{a: a, bench: b, tasks: tasks}
	p.Steps = w.steps(tree)
	p.Flat = flatWork(a)
	return p
}
