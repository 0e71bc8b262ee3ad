package shell

// curvature is the matrix by which w, θx, θy of the three corners give the curvatures
// (−∂²w/∂x², −∂²w/∂y², −2∂²w/∂x∂y) of the discrete Kirchhoff triangle at a place of it. J.-L.
// Batoz, K.-J. Bathe, L.-W. Ho, "A study of three-node triangular plate bending elements",
// International Journal for Numerical Methods in Engineering 15 (1980), equations 28 to 31.
func (f *flat) curvature(xi, eta float64) (b [3][9]float64) {
	var p, q, r, t [7]float64 // of the sides 4 (23), 5 (31), 6 (12)
	for s, c := range [3][2]int{{2, 3}, {3, 1}, {1, 2}} {
		x, y, l2 := f.dx(c[0], c[1]), f.dy(c[0], c[1]), f.side2(c[0], c[1])
		p[s+4], t[s+4] = -6*x/l2, -6*y/l2
		q[s+4], r[s+4] = 3*float64(x*y)/l2, 3*float64(y*y)/l2
	}
	a, c := 1-float64(2*xi), 1-float64(2*eta)
	m := func(x, y float64) float64 { return float64(x * y) }
	hxXi := [9]float64{
		m(p[6], a) + m(p[5]-p[6], eta),
		m(q[6], a) - m(q[5]+q[6], eta),
		-4 + float64(6*(xi+eta)) + m(r[6], a) - m(eta, r[5]+r[6]),
		-m(p[6], a) + m(eta, p[4]+p[6]),
		m(q[6], a) - m(eta, q[6]-q[4]),
		-2 + float64(6*xi) + m(r[6], a) + m(eta, r[4]-r[6]),
		-m(eta, p[5]+p[4]),
		m(eta, q[4]-q[5]),
		-m(eta, r[5]-r[4]),
	}
	hyXi := [9]float64{
		m(t[6], a) + m(eta, t[5]-t[6]),
		1 + m(r[6], a) - m(eta, r[5]+r[6]),
		-m(q[6], a) + m(eta, q[5]+q[6]),
		-m(t[6], a) + m(eta, t[4]+t[6]),
		-1 + m(r[6], a) + m(eta, r[4]-r[6]),
		-m(q[6], a) - m(eta, q[4]-q[6]),
		-m(eta, t[4]+t[5]),
		m(eta, r[4]-r[5]),
		-m(eta, q[4]-q[5]),
	}
	hxEta := [9]float64{
		-m(p[5], c) - m(xi, p[6]-p[5]),
		m(q[5], c) - m(xi, q[5]+q[6]),
		-4 + float64(6*(xi+eta)) + m(r[5], c) - m(xi, r[5]+r[6]),
		m(xi, p[4]+p[6]),
		m(xi, q[4]-q[6]),
		-m(xi, r[6]-r[4]),
		m(p[5], c) - m(xi, p[4]+p[5]),
		m(q[5], c) + m(xi, q[4]-q[5]),
		-2 + float64(6*eta) + m(r[5], c) + m(xi, r[4]-r[5]),
	}
	hyEta := [9]float64{
		-m(t[5], c) - m(xi, t[6]-t[5]),
		1 + m(r[5], c) - m(xi, r[5]+r[6]),
		-m(q[5], c) + m(xi, q[5]+q[6]),
		m(xi, t[4]+t[6]),
		m(xi, r[4]-r[6]),
		-m(xi, q[4]-q[6]),
		m(t[5], c) - m(xi, t[4]+t[5]),
		-1 + m(r[5], c) + m(xi, r[4]-r[5]),
		-m(q[5], c) - m(xi, q[4]-q[5]),
	}
	x31, y31, x12, y12 := f.dx(3, 1), f.dy(3, 1), f.dx(1, 2), f.dy(1, 2)
	for i := range 9 {
		b[0][i] = (float64(y31*hxXi[i]) + float64(y12*hxEta[i])) / (2 * f.area)
		b[1][i] = -(float64(x31*hyXi[i]) + float64(x12*hyEta[i])) / (2 * f.area)
		b[2][i] = (float64(y31*hyXi[i]) + float64(y12*hyEta[i]) - float64(x31*hxXi[i]) - float64(x12*hxEta[i])) / (2 * f.area)
	}
	return b
}

// middles are those of the sides, where the square of the curvature integrates exactly.
var middles = [3][2]float64{{0.5, 0}, {0.5, 0.5}, {0, 0.5}}

// plate is the stiffness of a sheet of thickness h against bending, over w, θx, θy of the
// three corners.
func (f *flat) plate(e mat3, h float64) (k [81]float64) {
	for _, at := range middles {
		b := f.curvature(at[0], at[1])
		addProducts(k[:], [3][]float64{b[0][:], b[1][:], b[2][:]}, e, float64(h*h*h)/12*f.area/3)
	}
	return k
}
