package plane

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
)

// path reads a region from SVG path data with the commands M L A Z (absolute;
// A as 'A r r 0 large sweep x y', sweep 1 counter-clockwise with y up).
func path(t testing.TB, s string) Region {
	t.Helper()
	var out Region
	var l Loop
	f := strings.Fields(strings.ReplaceAll(s, ",", " "))
	num := func(i int) float64 {
		v, err := strconv.ParseFloat(f[i], 64)
		if err != nil {
			t.Fatalf("path %q: %v", s, err)
		}
		return v
	}
	for i := 0; i < len(f); {
		switch f[i] {
		case "M", "L":
			l = append(l, Vertex{P: Point{num(i + 1), num(i + 2)}})
			i += 3
		case "A":
			r, large, sweep := num(i+1), num(i+4) != 0, num(i+5) != 0
			to := Point{num(i + 6), num(i + 7)}
			last := &l[len(l)-1]
			h := last.P.Dist(to) / 2
			b := h / (r + math.Sqrt(math.Max(0, r*r-h*h)))
			if large {
				b = 1 / b
			}
			if !sweep {
				b = -b
			}
			last.Bulge = b
			l = append(l, Vertex{P: to})
			i += 8
		case "Z":
			if n := len(l); n > 1 && l[0].P.Near(l[n-1].P, 1e-9) {
				l = l[:n-1]
			}
			out = append(out, l)
			l = nil
			i++
		default:
			t.Fatalf("path %q: %q", s, f[i])
		}
	}
	return out
}

// format writes a region as path data, coordinates to 1e-4.
func format(r Region) string {
	var w strings.Builder
	q := func(x float64) string {
		return strconv.FormatFloat(math.Round(x*1e4)/1e4+0, 'f', -1, 64)
	}
	for _, l := range r {
		if w.Len() > 0 {
			w.WriteByte(' ')
		}
		fmt.Fprintf(&w, "M %s %s", q(l[0].P.X), q(l[0].P.Y))
		for _, e := range l.Edges() {
			if e.Bulge == 0 {
				fmt.Fprintf(&w, " L %s %s", q(e.To.X), q(e.To.Y))
				continue
			}
			sweep := 0
			if e.Bulge > 0 {
				sweep = 1
			}
			fmt.Fprintf(&w, " A %s %s 0 0 %d %s %s", q(e.Radius()), q(e.Radius()), sweep, q(e.To.X), q(e.To.Y))
		}
		w.WriteString(" Z")
	}
	return w.String()
}
