package eval_test

import (
	"math"
	"testing"
)

// TestReckoning asks for values whose outcome arithmetic or a picture tells.
func TestReckoning(t *testing.T) {
	r := sizeOf(t, `design "Yard" in millimetres
stock steel = sheet(mild_steel, 2mm, radius: 3mm)
param wide: length = 200mm
param deep: length = 120mm
body core = box(wide, deep, 80mm)
body tent = frustum(top: 100mm, bottom: 200mm, height: 120mm)
body tier[i in 1..3] = box(10mm * i, 20mm, 30mm)
let list = [3mm, 5mm, 8mm]
let step[i in 0..4] = 10mm * i
let grid[i in 1..2, k in 1..3] = 100mm * i + 10mm * k
let fence = [(0mm, 0mm), (40mm, 0mm) chamfer 10mm, (40mm, 30mm) round 6mm, (0mm, 30mm)]
let gate = [(0mm, 0mm) arc (20mm, -20mm), (40mm, 0mm), (40mm, 30mm), (0mm, 30mm)]
let bowed = [(0mm, 0mm) arc 20mm, (40mm, 0mm), (40mm, 30mm), (0mm, 30mm)]
let sum(a: length, b: length = 5mm, c: length = 7mm) = 100 * a + 10 * b + c
panel plate(w: length, on: plane) {
  let own = w / 2
  face web on on {
    outline rect(w, 60mm)
    cut hole[i in 1..2] = circle(8mm) at (9mm * i, 10mm * i)
  }
}
part one of steel = plate(100mm, level(0mm)) loose
part many[i in 1..3] of steel = plate(50mm * i, level(100mm * i)) loose
`)
	flag := func(s string) string { return "if " + s + " then 1 else 0" }
	for text, want := range map[string]float64{
		"1 + 2 * 3 ^ 2":                  19,
		"-2 ^ 2":                         -4,
		"(1 + 2) * 3 - 4 / 2":            7,
		"7 - 2 - 1":                      4,
		"2 ^ -1":                         0.5,
		"10mm * 3mm / 5mm":               6,
		"list[2] * 2":                    10,
		"sum(1mm)":                       157,
		"sum(1mm, c: 2mm)":               152,
		"sum(b: 1mm, a: 2mm)":            217,
		"step[3]":                        30,
		"grid[2, 3]":                     230,
		"tier[3].height":                 30,
		"count(core.sides)":              4,
		"count(list)":                    3,
		"max(list)":                      8,
		"min(list)":                      3,
		"area(fence)":                    40*30 - 50 - 36*(1-math.Pi/4),
		"area(gate)":                     40*30 + math.Pi*200,
		"area(bowed)":                    40*30 + math.Pi*200,
		"area(one)":                      100*60 - 2*16*math.Pi,
		"area(many[3])":                  150*60 - 2*16*math.Pi,
		"count(many)":                    3,
		"one.web.top.length":             100,
		"one.web.left.length":            60,
		flag("list[1] < list[2]"):        1,
		flag("list[1] >= list[2]"):       0,
		flag("3mm = list[1]"):            1,
		flag("3mm != list[1]"):           0,
		flag("4mm in list"):              0,
		flag("5mm in list"):              1,
		flag("5mm in 3mm..8mm"):          1,
		flag("3mm in 3mm..8mm"):          1,
		flag("8mm in 3mm..8mm"):          1,
		flag("9mm in 3mm..8mm"):          0,
		flag("2mm in 3mm..8mm"):          0,
		flag("not 1 < 2"):                0,
		flag("1 < 2 and 2 < 1"):          0,
		flag("1 < 2 or 2 < 1"):           1,
		flag("1 > 2 or 2 < 1"):           0,
		flag("core.front = core.front"):  1,
		flag("core.front = core.back"):   0,
		flag("core.front != core.back"):  1,
		flag("core.front in core.sides"): 1,
		flag("tent.front in core.sides"): 1, // sides are one by their number, whatever body they are of
		flag("true and not false"):       1,
		"if many[2].web.top.length > 90mm then if 1 > 2 then 1 else 2 else 3": 2,
	} {
		if got := asked(t, r, text); math.Abs(got-want) > 1e-6*max(1, math.Abs(want)) {
			t.Errorf("%s is %.9g, not %.9g", text, got, want)
		}
	}
}
