package cutplan_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"perch/parts/cutplan"
	"perch/parts/plane"
)

// machine is a torch on a table, written for these tests from the RS-274 words'
// meaning: it steps along every move and keeps the places where it cut.
type machine struct {
	x, y  float64
	unit  float64
	mode  int
	torch bool
	runs  [][]plane.Point
}

const stepLength = 0.25 // mm between places on a path

func (m *machine) word(t *testing.T, line string) {
	if i := strings.IndexByte(line, '('); i >= 0 {
		line = line[:i]
	}
	v := map[byte]float64{}
	for _, f := range strings.Fields(line) {
		n, err := strconv.ParseFloat(f[1:], 64)
		if err != nil {
			t.Fatalf("word %q", f)
		}
		switch {
		case f[0] == 'G' && n <= 3:
			m.mode = int(n)
		case f == "G20":
			m.unit = 25.4
		case f == "G21":
			m.unit = 1
		case f == "M3":
			m.torch = true
			m.runs = append(m.runs, []plane.Point{{X: m.x, Y: m.y}})
		case f == "M5":
			m.torch = false
		default:
			v[f[0]] = n * m.unit
		}
	}
	x, okx := v['X']
	y, oky := v['Y']
	if !okx && !oky {
		return
	}
	if !okx {
		x = m.x
	}
	if !oky {
		y = m.y
	}
	if m.torch && m.mode == 0 {
		t.Fatal("a rapid move with the torch on: " + line)
	}
	if m.mode < 2 {
		n := int(math.Hypot(x-m.x, y-m.y)/stepLength) + 1
		x0, y0 := m.x, m.y
		for k := 1; k <= n; k++ {
			m.to(x0+(x-x0)*float64(k)/float64(n), y0+(y-y0)*float64(k)/float64(n))
		}
		return
	}
	cx, cy := m.x+v['I'], m.y+v['J']
	a, b := math.Atan2(m.y-cy, m.x-cx), math.Atan2(y-cy, x-cx)
	r, q := math.Hypot(m.x-cx, m.y-cy), math.Hypot(x-cx, y-cy)
	if math.Abs(r-q) > 0.003 {
		t.Fatalf("the arc's radius changes from %g to %g: %s", r, q, line)
	}
	if m.mode == 3 && b <= a {
		b += 2 * math.Pi
	}
	if m.mode == 2 && b >= a {
		b -= 2 * math.Pi
	}
	n := int(math.Abs(b-a)*r/stepLength) + 1
	for k := 1; k <= n; k++ {
		f := float64(k) / float64(n)
		m.to(cx+(r+(q-r)*f)*math.Cos(a+(b-a)*f), cy+(r+(q-r)*f)*math.Sin(a+(b-a)*f))
	}
	m.x, m.y = x, y
}

func (m *machine) to(x, y float64) {
	m.x, m.y = x, y
	if m.torch {
		m.runs[len(m.runs)-1] = append(m.runs[len(m.runs)-1], plane.Point{X: x, Y: y})
	}
}

// replay runs a program and holds every place where it cut against the blanks.
func replay(t *testing.T, text string, s *cutplan.Sheet, opt cutplan.Options) {
	t.Helper()
	const tol = 0.01
	m := &machine{unit: 1}
	for _, line := range strings.Split(text, "\n") {
		m.word(t, strings.TrimSpace(line))
	}
	half := opt.Kerf / 2
	type contour struct{ part, loop int }
	cut := map[contour]int{}     // the last run along it
	runs := map[contour]int{}    // how many there are
	sum := map[contour]float64{} // how much of it they cut
	tabs := 1
	if opt.Tab > 0 {
		tabs = max(1, opt.Tabs)
	}
	boxes := make([]plane.Box, len(s.Parts))
	for i := range s.Parts {
		boxes[i] = s.Parts[i].Region.Bounds().Grow(half + 1)
	}
	for n, run := range m.runs {
		// On the contour it stays longest beside.
		beside := map[contour]float64{}
		whole := 0.0
		for i, p := range run {
			step := 0.0
			if i > 0 {
				step = p.Dist(run[i-1])
			}
			whole += step
			for i := range s.Parts {
				r := s.Parts[i].Region
				if !boxes[i].Holds(p) {
					continue
				}
				in := r.Locate(p) == plane.Inside
				for k, l := range r {
					d, _ := plane.Region{l}.DistanceTo(p)
					if d < half-tol || in {
						t.Fatalf("cut %d passes (%.3f, %.3f), %.4f from blank %d, in it: %v", n+1, p.X, p.Y, d, i+1, in)
					}
					if d < half+tol {
						beside[contour{i, k}] += step
					}
				}
			}
		}
		best, most := contour{-1, 0}, 0.0
		for c, k := range beside {
			if k > most {
				best, most = c, k
			}
		}
		if best.part < 0 {
			t.Fatalf("cut %d is beside no contour", n+1)
		}
		if runs[best]++; runs[best] > tabs || best.loop > 0 && runs[best] > 1 {
			t.Fatalf("cut %d is one too many along blank %d contour %d", n+1, best.part+1, best.loop)
		}
		if last, ok := cut[best]; ok && last != n-1 {
			t.Errorf("cut %d goes on with a contour that was left at cut %d", n+1, last+1)
		}
		cut[best] = n
		sum[best] += most
		leads := opt.LeadIn*math.Pi/2 + opt.LeadOut*math.Pi/2 + opt.Tab + opt.Kerf
		if off := whole - most; off > leads+2 {
			t.Errorf("cut %d leaves its kerf line for %.2f mm, leads are %.2f", n+1, off, leads)
		}
		for _, p := range [2]plane.Point{run[0], run[len(run)-1]} {
			for i := range s.Parts {
				if s.Parts[i].Region.Locate(p) != plane.Outside {
					t.Errorf("cut %d starts or ends in blank %d", n+1, i+1)
				}
			}
		}
	}
	for i := range s.Parts {
		for k, l := range s.Parts[i].Region {
			c := contour{i, k}
			if runs[c] == 0 {
				t.Errorf("blank %d contour %d is not cut", i+1, k)
			}
			least := 0.95*l.Length() - 3*opt.Kerf - 2*math.Pi*half - float64(runs[c])*opt.Tab
			if sum[c] < least {
				t.Errorf("blank %d contour %d of %.1f mm is cut along %.1f", i+1, k, l.Length(), sum[c])
			}
			// Along the contour, not on the kerf line: a tab shows as what is missing.
			if k == 0 && opt.Tab > 0 && sum[c] > l.Length()-float64(runs[c])*opt.Tab+float64(len(l))*math.Pi*half {
				t.Errorf("blank %d of %.1f mm has no tabs: %.1f are cut", i+1, l.Length(), sum[c])
			}
		}
	}
	for c, n := range cut {
		if c.loop > 0 && n > cut[contour{c.part, 0}] {
			t.Errorf("blank %d is free before its opening %d", c.part+1, c.loop)
		}
	}
}
