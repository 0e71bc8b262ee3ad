package brake

import (
	"math"

	"perch/parts/shop"
)

// swung is where a point of a leaf brake's machine, bent by an angle with the held side flat, is in a press: both
// sides have turned up by half of it about the punch's edge, and what of the strip is not bent yet lies flat on
// both sides of that.
func (m simMachine) swung(p vec, a float64, moves bool) vec {
	p = p.about(vec{0, 0, m.t + m.r}, vec{0, -1, 0}, a/2)
	flat := (m.all - a*m.per) / 2
	s, c := math.Sincos(a / 2)
	if moves {
		return vec{p[0] + flat*c, p[1], p[2] - flat*s}
	}
	return vec{p[0] + flat*c, p[1], p[2] + flat*s}
}

// pressTool tells which tool of a press a point is in, the sheet bent by an angle.
func (s *simulator) pressTool(m simMachine, p vec, a float64, pieces []Span, deep float64) string {
	if tool := s.punchTool(m, p, pieces, deep); tool != "" {
		return tool
	}
	return s.dieTool(m, p, a, deep)
}

// punchTool: the ram, and the punch where a piece of it stands.
func (s *simulator) punchTool(m simMachine, p vec, pieces []Span, deep float64) string {
	b := s.brake
	x, y, z := p[0], p[1], p[2]-m.t // over the punch's edge
	if z > b.PunchHeight+deep && math.Abs(x) < b.RamWidth/2-deep {
		return "ram"
	}
	if z < deep || z > b.PunchHeight-deep {
		return ""
	}
	for _, f := range pieces {
		if y < f.From+deep || y > f.To-deep {
			continue
		}
		if z < m.r {
			if math.Hypot(x, z-m.r) < m.r-deep {
				return "punch"
			}
			continue
		}
		// The blade's two faces touch the edge's round, whose middle lies r over the edge.
		half, tan := b.PunchWidth/2, math.Tan(b.PunchAngle/2)
		blade := m.r/math.Cos(b.PunchAngle/2) + (z-m.r)*tan
		from, to := -min(half, blade), min(half, blade)
		if m.punch == shop.PunchGooseneck {
			thick := min(half, 4)
			top := m.r + (thick-m.r/math.Cos(b.PunchAngle/2))/tan // where the blade is as thick as the neck
			lean := min(max(z-top, 0)/b.Throat, 1)
			from, to = -min(thick, blade), min(thick, blade)
			if lean > 0 {
				from, to = -thick+lean*(b.Throat-half+thick), thick+lean*(b.Throat+half-thick)
			}
		}
		if x > from+deep && x < to-deep {
			return "punch"
		}
	}
	return ""
}

// dieTool: the die's two sides and the bed, risen with the sheet's shoulders.
func (s *simulator) dieTool(m simMachine, p vec, a, deep float64) string {
	b := s.brake
	v := s.opening(m.t) / 2
	// The sheet's underside leaves its round, r + t about the punch's edge, along a line that the shoulder is on.
	h := a / 2
	out := vec{(m.r + m.t) * math.Sin(h), 0, m.t + m.r - (m.r+m.t)*math.Cos(h)}
	top := out[2] + (v-out[0])*math.Tan(h)
	x, z := math.Abs(p[0]), p[2]-top
	switch {
	case x > v+deep && x < v+b.DieWidth-deep && z < -deep && z > -b.DieHeight:
		return "die"
	case x < 150-deep && z < -b.DieHeight-deep:
		return "bed"
	}
	return ""
}

// opening is the die that is taken for a sheet.
func (s *simulator) opening(t float64) float64 {
	want := s.brake.Opening * t
	for _, v := range s.brake.Openings {
		if v >= want-1e-6 {
			return v
		}
	}
	if n := len(s.brake.Openings); n > 0 {
		return s.brake.Openings[n-1]
	}
	return want
}
