package nest

import "math"

// grid fills the cells. A cell whose middle lies farther from the boundary than its
// corners do has one side only; inside, depths are interpolated between corners. A
// cell nearer to it lists the segments that can be nearest to a place in it.
func (f *nofit) grid(margin float64, cells int) {
	size := f.box.Size()
	f.h = max(size.X, size.Y, 1e-9) / float64(cells)
	f.inv = 1 / f.h
	pad := margin + float64(f.h/2)
	f.x0, f.y0 = f.box.Min.X-pad, f.box.Min.Y-pad
	f.nx = int((size.X+2*pad)*f.inv) + 1
	f.ny = int((size.Y+2*pad)*f.inv) + 1
	every := make([]int32, max(len(f.segs), len(f.pieces)))
	for i := range every {
		every[i] = int32(i)
	}
	segs, pieces := every[:len(f.segs)], every[:len(f.pieces)]
	f.nodes(segs, pieces)
	f.kind = make([]uint8, f.nx*f.ny)
	f.start = make([]int32, f.nx*f.ny+1)
	f.mid = make([]int32, f.nx*f.ny)
	half := float64(f.h * math.Sqrt2 / 2)
	dist := make([]float64, len(f.segs))
	for j := range f.ny {
		for i := range f.nx {
			c := j*f.nx + i
			x, y := f.x0+float64((float64(i)+0.5)*f.h), f.y0+float64((float64(j)+0.5)*f.h)
			least := math.Inf(1)
			for k := range f.segs {
				dist[k], _, _ = f.segs[k].near(x, y)
				least = min(least, dist[k])
			}
			f.start[c] = int32(len(f.list))
			f.mid[c] = f.start[c]
			if least > half+margin {
				if f.holds(x, y, pieces) {
					f.kind[c] = cellInside
				}
				continue
			}
			f.kind[c] = cellEdge
			for k := range f.segs {
				if dist[k] <= least+float64(2.001*half) {
					f.list = append(f.list, int32(k))
				}
			}
			f.mid[c] = int32(len(f.list))
			for k := range f.pieces {
				b := f.pieces[k].box
				if b.Min.X <= x+f.h && b.Max.X >= x-f.h && b.Min.Y <= y+f.h && b.Max.Y >= y-f.h && f.pieces[k].depth(point{X: x, Y: y}) > -1.001*half {
					f.list = append(f.list, int32(k))
				}
			}
		}
	}
	f.start[f.nx*f.ny] = int32(len(f.list))
}

func (f *nofit) nodes(segs, pieces []int32) {
	f.node = make([]float32, (f.nx+1)*(f.ny+1))
	for j := range f.ny + 1 {
		for i := range f.nx + 1 {
			x, y := f.x0+float64(float64(i)*f.h), f.y0+float64(float64(j)*f.h)
			f.node[j*(f.nx+1)+i] = float32(max(0, f.signed(x, y, segs, pieces)))
		}
	}
}

// depth is how deep the place (x, y) lies inside, plus the margin; 0 where it is
// farther outside than the margin.
func (f *nofit) depth(x, y, margin float64) float64 {
	u, v := float64((x-f.x0)*f.inv), float64((y-f.y0)*f.inv)
	if !(u >= 0 && v >= 0) {
		return 0
	}
	i, j := int(u), int(v)
	if i >= f.nx || j >= f.ny {
		return 0
	}
	c := j*f.nx + i
	switch f.kind[c] {
	case cellOutside:
		return 0
	case cellInside:
		u, v = u-float64(i), v-float64(j)
		n := j*(f.nx+1) + i
		a, b := float64(f.node[n]), float64(f.node[n+1])
		n += f.nx + 1
		p, q := float64(f.node[n]), float64(f.node[n+1])
		lo := a + float64(u*(b-a))
		hi := p + float64(u*(q-p))
		return margin + lo + float64(v*(hi-lo))
	}
	return max(0, margin+f.signed(x, y, f.list[f.start[c]:f.mid[c]], f.list[f.mid[c]:f.start[c+1]]))
}
