//go:build !amd64

package sparse

// nine is ninePlain: there is no quicker way here.
func nine(sum *[9]float64, x []float64, stepx int, y []float64, stepy, n int) {
	ninePlain(sum, x, stepx, y, stepy, n)
}
