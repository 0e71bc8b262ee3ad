package shell

// flat is a triangle in its own plane, counter-clockwise, about its middle.
type flat struct {
	x, y [3]float64
	area float64
}

// dx and dy are coordinates of corner i less those of corner j, from 1 as in the papers.
func (f *flat) dx(i, j int) float64 { return f.x[i-1] - f.x[j-1] }
func (f *flat) dy(i, j int) float64 { return f.y[i-1] - f.y[j-1] }

// planeStress is the matrix from strains (x, y, shear) to stresses.
func (m Material) planeStress() mat3 {
	c := m.E / (1 - float64(m.Nu*m.Nu))
	return mat3{c, c * m.Nu, 0, c * m.Nu, c, 0, 0, 0, c * (1 - m.Nu) / 2}
}

// Parameters of the optimal membrane triangle with drilling freedoms: exact in bending in
// its plane for rectangles of any sides, without a penalty on the drilling turns. C. A.
// Felippa, "A study of optimal membrane triangles with drilling freedoms", Computer Methods
// in Applied Mechanics and Engineering 192 (2003), OPT, but for the part of the higher
// strains: (1 − ν²)/2 instead of (1 − 4ν²)/2, with which long rectangles bend exactly for
// every ν, where the paper's are up to 8 % too soft for ν = 0.3 (TestInPlaneBending).
const lumping = 1.5

var betas = [9]float64{1, 2, 1, 0, 1, -1, -1, -1, -2}

// higherPart is the part β0 of the higher strains in the stiffness.
func higherPart(nu float64) float64 { return 0.5 * (1 - float64(nu*nu)) }

// stretchOf is the matrix by which the freedoms u, v, θ of the three corners give the mean
// strains: Lᵀ / (area · thickness) of the paper.
func (f *flat) stretchOf() (b [3][9]float64) {
	const a = lumping
	for i := 1; i <= 3; i++ {
		j, k := i%3+1, (i+1)%3+1
		c := 3 * (i - 1)
		yjk, xkj := f.dy(j, k), f.dx(k, j)
		b[0][c], b[2][c] = yjk, xkj
		b[1][c+1], b[2][c+1] = xkj, yjk
		b[0][c+2] = a / 6 * float64(yjk*(f.dy(i, k)-f.dy(j, i)))
		b[1][c+2] = a / 6 * float64(xkj*(f.dx(k, i)-f.dx(i, j)))
		b[2][c+2] = a / 3 * (float64(f.dx(k, i)*f.dy(i, k)) - float64(f.dx(i, j)*f.dy(j, i)))
	}
	for r := range b {
		for c := range b[r] {
			b[r][c] /= 2 * f.area
		}
	}
	return b
}

// membrane is the stiffness of a sheet of thickness h in its plane, over u, v, θ of the
// three corners.
func (f *flat) membrane(e mat3, nu, h float64) (k [81]float64) {
	b := f.stretchOf()
	var rows [3][]float64
	for r := range rows {
		rows[r] = b[r][:]
	}
	addProducts(k[:], rows, e, f.area*h)
	t := f.turning()
	beta := higherPart(nu)
	nat := f.natural()
	natT := nat.transposed()
	half := natT.times(&e)
	eNat := half.times(&nat)
	q := f.corners()
	for m := range 3 {
		var s [3][9]float64 // strains along the sides, at the middle of one
		for r := range 3 {
			for c := range 9 {
				for i := range 3 {
					s[r][c] += float64(0.5 * (q[m][3*r+i] + q[(m+1)%3][3*r+i]) * t[i][c])
				}
			}
		}
		for r := range rows {
			rows[r] = s[r][:]
		}
		addProducts(k[:], rows, eNat, 0.75*beta*h*f.area)
	}
	return k
}

// addProducts adds scale · bᵀ·e·b.
func addProducts(k []float64, b [3][]float64, e mat3, scale float64) {
	n := len(b[0])
	for i := range n {
		var s [3]float64
		for r := range 3 {
			s[r] = scale * (float64(e[r]*b[0][i]) + float64(e[3+r]*b[1][i]) + float64(e[6+r]*b[2][i]))
		}
		for j := range n {
			k[i*n+j] += float64(s[0]*b[0][j]) + float64(s[1]*b[1][j]) + float64(s[2]*b[2][j])
		}
	}
}

// turning gives the corners' turns less that of the triangle as a whole.
func (f *flat) turning() (t [3][9]float64) {
	for i := 1; i <= 3; i++ {
		j, k := i%3+1, (i+1)%3+1
		for r := range 3 {
			t[r][3*(i-1)] = f.dx(k, j) / (4 * f.area)
			t[r][3*(i-1)+1] = f.dy(k, j) / (4 * f.area)
		}
		t[i-1][3*(i-1)+2] = 1
	}
	return t
}

// natural takes strains along the sides 21, 32, 13 to those along x and y.
func (f *flat) natural() (t mat3) {
	s := 1 / (4 * f.area * f.area)
	for c, v := range [3][3]int{{2, 3, 1}, {3, 1, 2}, {1, 2, 3}} {
		// side (v0, v2), with the corner v1 opposite: 21 with 3, 32 with 1, 13 with 2
		i, j, k := v[0], v[1], v[2]
		l2 := f.side2(i, k)
		yjk, yik := f.dy(i, j), f.dy(k, j)
		xjk, xik := f.dx(i, j), f.dx(k, j)
		t[c] = s * float64(yjk*yik) * l2
		t[3+c] = s * float64(xjk*xik) * l2
		t[6+c] = -s * (float64(yjk*xik) + float64(xjk*yik)) * l2
	}
	return t
}

func (f *flat) side2(i, j int) float64 {
	x, y := f.dx(i, j), f.dy(i, j)
	return float64(x*x) + float64(y*y)
}

// corners are the matrices Q of the paper, from the corners' turns to the strains along the
// sides at the three corners.
func (f *flat) corners() (q [3]mat3) {
	l := [3]float64{f.side2(2, 1), f.side2(3, 2), f.side2(1, 3)}
	order := [3][9]int{
		{1, 2, 3, 4, 5, 6, 7, 8, 9},
		{9, 7, 8, 3, 1, 2, 6, 4, 5},
		{5, 6, 4, 8, 9, 7, 2, 3, 1},
	}
	for m := range q {
		for i, n := range order[m] {
			q[m][i] = 2 * f.area / 3 * betas[n-1] / l[i/3]
		}
	}
	return q
}
