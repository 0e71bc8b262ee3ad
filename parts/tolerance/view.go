package tolerance

import (
	"math"
	"slices"

	"perch/parts/bend"
	"perch/parts/joining"
	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/solid"
)

// View is a Report for people and programs: mm, N, degrees; what is told of a join or a
// fastener is what 95 in 100 stay within.
type View struct {
	Size      string     `json:"size"`
	Unknown   string     `json:"unknown,omitempty"` // why nothing is worked out; "" where it is
	PlusMinus PlusMinus  `json:"plus_minus"`
	Joins     []JoinView `json:"joins"`
	Holes     []HoleView `json:"holes"`
	Tacks     []Tack     `json:"tacks"` // in the order in which they are set
	First     []First    `json:"drill_first"`
	Together  float64    `json:"together"` // at least so many builds, of one, go together
	Feet      *Feet      `json:"feet"`
}

// PlusMinus is how far the shop's bends, holes and cuts are off, in 95 of 100.
type PlusMinus struct {
	Angle   float64 `json:"angle_deg"`
	Line    float64 `json:"line_mm"`
	Drilled float64 `json:"drilled_mm"`
	Cut     float64 `json:"cut_mm"`
	Table   float64 `json:"table_mm"`
}

// None tells that nothing is off.
func (p PlusMinus) None() bool { return p.Angle == 0 && p.Line == 0 && p.Drilled == 0 && p.Cut == 0 }

// JoinView is what is off at the inner sheets of a join's fasteners, at the worst.
type JoinView struct {
	Join    string  `json:"join"`
	Kind    string  `json:"kind"`
	Matched string  `json:"matched"` // as the join or the shop wishes it
	Located string  `json:"located"`
	Before  int     `json:"before"` // inner holes made in the flat
	Locate  int     `json:"locate"`
	InPlace int     `json:"in_place"`
	Misfit  float64 `json:"misfit_mm"`
	Room    float64 `json:"room_mm"` // the least, of holes made in the flat
	Force   float64 `json:"force_n"` // on a locating pin
	Lands   float64 `json:"lands_mm"`
}

// HoleView is an inner sheet's hole of one fastener.
type HoleView struct {
	Join    string     `json:"join"`
	Outer   string     `json:"outer"` // copies
	Inner   string     `json:"inner"`
	Blank   string     `json:"blank"` // of the inner one, and what it calls the hole
	Point   string     `json:"point"`
	When    panel.When `json:"when"`
	Misfit  float64    `json:"misfit_mm"`
	Room    float64    `json:"room_mm"`
	Force   float64    `json:"force_n"`
	Misses  float64    `json:"misses"`
	Landing float64    `json:"lands_mm"`
}

// First is the hole of two parts that is drilled first in place: the farthest from what
// locates them, or where nothing does the nearest to the middle of what joins them (common
// practice). Pairs that are alike are told once.
type First struct {
	Outer string `json:"outer"` // blanks
	Inner string `json:"inner"`
	Point string `json:"point"` // of the inner one
}

// NewView works out what is off of a size.
func NewView(a *panel.Assembly, s *shop.Shop) View {
	t := s.Tolerance
	v := View{
		Size: a.Size, Joins: []JoinView{}, Holes: []HoleView{}, Tacks: []Tack{}, First: []First{},
		PlusMinus: PlusMinus{math.Round(t.Angle/bend.Degree*1e9) / 1e9, t.Line, t.Drilled, s.Cutter.Tolerance, t.Table},
	}
	r, err := New(a, s).Analyse()
	if err != nil {
		v.Unknown = err.Error()
		return v
	}
	v.Together, v.Feet = math.Round((1-r.Misses)*1e6)/1e6, r.Feet
	if v.Feet != nil {
		v.Feet.Rock, v.Feet.Levelled = math.Round(v.Feet.Rock*1e4)/1e4, math.Round(v.Feet.Levelled*1e4)/1e4
	}
	for _, f := range r.Fits {
		v.add(a, f)
	}
	v.First, v.Tacks = append(v.First, first(a)...), append(v.Tacks, tacks(a)...)
	return v
}

// add takes in what is off at one inner sheet.
func (v *View) add(a *panel.Assembly, f Fit) {
	for _, x := range []*float64{&f.Misfit, &f.Room, &f.Force, &f.Misses, &f.Landing} {
		*x = math.Round(*x*1e4) / 1e4
	}
	j := &a.Joins[f.Join]
	outer, inner := j.Members[0], j.Members[f.Member]
	v.Holes = append(v.Holes, HoleView{
		Join: j.Join, Outer: a.Copies[outer.Copy].Name, Inner: a.Copies[inner.Copy].Name, Blank: a.Blanks[a.Copies[inner.Copy].Blank].Name, Point: inner.Point,
		When: f.When, Misfit: f.Misfit, Room: f.Room, Force: f.Force, Misses: f.Misses, Landing: f.Landing,
	})
	i := slices.IndexFunc(v.Joins, func(o JoinView) bool { return o.Join == j.Join })
	if i < 0 {
		i = len(v.Joins)
		v.Joins = append(v.Joins, JoinView{Join: j.Join, Kind: j.Kind, Matched: j.Matched, Located: j.Located})
	}
	o := &v.Joins[i]
	switch f.When {
	case panel.InPlace:
		o.InPlace++
	case panel.Locate:
		o.Locate++
		o.Force = max(o.Force, f.Force)
	default:
		o.Before++
	}
	if made := o.Before + o.Locate; f.When != panel.InPlace && (made == 1 || f.Room < o.Room) {
		o.Room = f.Room
	}
	o.Misfit, o.Lands = max(o.Misfit, f.Misfit), max(o.Lands, f.Landing)
}

// first finds the holes that are drilled first.
func first(a *panel.Assembly) []First {
	l := newLocators(a)
	type found struct {
		at     solid.Vec
		middle solid.Vec
		n      float64
		drills []int
		pinned bool
	}
	pairs := map[pair]*found{}
	var order []pair
	for i := range a.Joins {
		inPlace := slices.ContainsFunc(a.Joins[i].Members, func(m panel.JoinMember) bool {
			p, ok := l.place(m)
			return ok && l.at(p).Made() == panel.InPlace
		})
		for _, p := range l.pairsOf(i) {
			if pairs[p] == nil {
				pairs[p] = &found{}
				order = append(order, p)
			}
			f := pairs[p]
			f.middle, f.n = f.middle.Add(a.Joins[i].At), f.n+1
			if inPlace {
				f.drills = append(f.drills, i)
			} else if m, ok := l.place(a.Joins[i].Members[0]); ok && !l.at(m).Marked() {
				f.at, f.pinned = a.Joins[i].At, true
			}
		}
	}
	var out []First
	for _, p := range order {
		f := pairs[p]
		best, far := -1, 0.0
		for _, i := range f.drills {
			d := a.Joins[i].At.Sub(f.at).Len()
			if !f.pinned {
				d = -a.Joins[i].At.Sub(f.middle.Scale(1 / f.n)).Len()
			}
			if best < 0 || d > far+nearer {
				best, far = i, d
			}
		}
		if best < 0 {
			continue
		}
		m := a.Joins[best].Members
		inner := m[len(m)-1]
		one := First{a.Blanks[a.Copies[m[0].Copy].Blank].Name, a.Blanks[a.Copies[inner.Copy].Blank].Name, inner.Point}
		if !slices.Contains(out, one) {
			out = append(out, one)
		}
	}
	return out
}

// Tack is where two parts that tacks locate are tacked before their holes are drilled:
// beside the two fasteners that lie farthest apart, of one alone beside it (common practice).
type Tack struct {
	Outer  string   `json:"outer"` // blanks
	Inner  string   `json:"inner"`
	Beside []string `json:"beside"` // points of the inner one
}

// tacks says where parts are tacked, pairs that are alike once, in the order of the joins.
func tacks(a *panel.Assembly) []Tack {
	all := make([]int, len(a.Joins))
	for i := range all {
		all[i] = i
	}
	var out []Tack
	for _, p := range joining.TackedPairs(a, all) {
		t := Tack{Outer: a.Blanks[a.Copies[p.Parts[0]].Blank].Name, Inner: a.Blanks[a.Copies[p.Parts[1]].Blank].Name}
		for _, i := range p.Beside {
			m := a.Joins[i].Members
			t.Beside = append(t.Beside, m[len(m)-1].Point)
		}
		slices.Sort(t.Beside)
		if !slices.ContainsFunc(out, func(o Tack) bool { return o.Outer == t.Outer && o.Inner == t.Inner && slices.Equal(o.Beside, t.Beside) }) {
			out = append(out, t)
		}
	}
	return out
}
