package sparse

// dots sets sum to the products of up to three rows of x with up to three of y, each over
// its first n entries: nine sums at a time, so that every number read serves three.
func dots(sum *[9]float64, x []float64, nx, stepx int, y []float64, ny, stepy, n int) {
	from := 0
	if nx == 3 && ny == 3 && n >= 4 {
		from = n &^ 3
		nine(sum, x, stepx, y, stepy, from)
	} else {
		clear(sum[:])
	}
	if from == n {
		return
	}
	for r := range nx {
		xr := x[r*stepx+from : r*stepx+n]
		for c := range ny {
			yc := y[c*stepy+from : c*stepy+n]
			s := sum[3*r+c]
			for k, v := range xr {
				s += float64(v * yc[k])
			}
			sum[3*r+c] = s
		}
	}
}

// ninePlain sets sum to the products of three rows of x with three of y over n entries, a
// multiple of four. Each is summed in four lanes, by the place modulo four, which come
// together as (0 + 2) + (1 + 3): an order that wide registers follow too, so that all
// processors come to the same bits.
func ninePlain(sum *[9]float64, x []float64, stepx int, y []float64, stepy, n int) {
	for r := range 3 {
		xr := x[r*stepx : r*stepx+n]
		for c := range 3 {
			yc := y[c*stepy : c*stepy+n]
			var s0, s1, s2, s3 float64
			for len(xr) >= 4 && len(yc) >= 4 {
				s0 += float64(xr[0] * yc[0])
				s1 += float64(xr[1] * yc[1])
				s2 += float64(xr[2] * yc[2])
				s3 += float64(xr[3] * yc[3])
				xr, yc = xr[4:], yc[4:]
			}
			xr = x[r*stepx : r*stepx+n]
			sum[3*r+c] = (s0 + s2) + (s1 + s3)
		}
	}
}
