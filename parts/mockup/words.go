package mockup

import (
	"fmt"
	"math"
	"strconv"

	"perch/parts/decimal"
)

const degrees = 180 / math.Pi

// angle of a fold in whole degrees, as hands fold: 84°.
func angle(turn float64) string {
	return strconv.Itoa(int(decimal.Round(turn*degrees, 0))) + "°"
}

// foldWord is a fold's way and angle: M 84° a mountain, V 84° a valley.
func foldWord(turn float64, down bool) string {
	if down {
		return "M " + angle(turn)
	}
	return "V " + angle(turn)
}

// way of a fold in words.
func way(down bool) string {
	if down {
		return "mountain"
	}
	return "valley"
}

// rollWord tells how a strip is rolled.
func rollWord(s *Strip) string { return fmt.Sprintf("roll %s %s", way(s.Down), angle(s.Angle)) }
