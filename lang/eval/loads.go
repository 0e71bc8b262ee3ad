package eval

import (
	"perch/lang/check"
	"perch/lang/syntax"
	"perch/lang/value"
)

// Loaded is a load that a design names, or several that act together, and what they are on.
type Loaded struct {
	Name  string
	Loads []*value.Load
	On    []int // by load: the copy that it is on, an index of Assembly.Copies
}

// Loads are the loads that the design's own lets name, in order; one that is on a face of no
// part that is made is left out.
func (m *Made) Loads() (all []Loaded) {
	of := map[*part]int{}
	for i, p := range m.parts {
		of[p] = i
	}
	for _, d := range m.ev.prog.Root.Order {
		l, isLet := d.Node.(*syntax.Let)
		if d.Kind != check.Let || !isLet || l.IsFunc {
			continue
		}
		one := Loaded{Name: d.Name}
		whole := true
		m.ev.Try(func() {
			value.EachItem(m.ev.declared(d, d.At), func(v value.Value) {
				load, ok := v.(*value.Load)
				if !ok {
					whole = false
					return
				}
				i, made := of[load.On.(*face).part]
				if !made {
					whole = false
					return
				}
				one.Loads, one.On = append(one.Loads, load), append(one.On, i)
			})
		})
		if whole && len(one.Loads) > 0 {
			all = append(all, one)
		}
	}
	return all
}
