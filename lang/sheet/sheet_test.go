package sheet_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"perch/lang/diag"
	"perch/lang/sheet"
	"perch/parts/cutplan"
	"perch/parts/nest"
	"perch/parts/shop"
)

const plates = `design "Plates"

stock thin = sheet(mild_steel, 1.5mm)
stock thick = sheet(mild_steel, 3mm)

panel plate(w: length, h: length) {
  face board on upright(0mm) {
    outline rect(w, h)
    cut hole = circle(20mm) at [(0mm, 0mm)]
  }
}

part side of thin = plate(300mm, 200mm)
part foot of thick = plate(120mm, 100mm)
`

// plateJob orders three of each, from sheets of 1000 × 500 mm at a price of 20 and 50.
func plateJob(t *testing.T) sheet.Nesting {
	t.Helper()
	file := filepath.Join(t.TempDir(), "plates.perch")
	if err := os.WriteFile(file, []byte(plates), 0o666); err != nil {
		t.Fatal(err)
	}
	shop, err := shop.Load(`
[[sheet]]
material = "mild_steel"
thickness = 1.5
width = 500
length = 1000
price = 20
[[sheet]]
material = "mild_steel"
thickness = 3
width = 500
length = 1000
price = 50
[table]
torch_on = "M3"
torch_off = "M5"
rapid = 6000
hour = 36
pierce = 0.1
metre = 0.5
[[table.feed]]
thickness = 1.5
feed = 3000
delay = 0.5
[[table.feed]]
thickness = 3
feed = 2000
delay = 1
`)
	if err != nil {
		t.Fatal(err)
	}
	return sheet.Nesting{
		Orders: []sheet.Order{{File: file, Count: 3}}, Shop: shop, Profile: (*cutplan.Profile)(shop.Table),
		Spacing: 6, Margin: 8, Steps: 90, Effort: 0.01,
	}
}

func nested(t *testing.T, n sheet.Nesting, dir string) *sheet.JobReport {
	t.Helper()
	r, diags, err := n.Run(context.Background(), dir)
	if err != nil || diag.HasErrors(diags) {
		t.Fatal(err, diags)
	}
	return r
}

func about(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

// The job's record says in its own words where every blank lies: the plates' origin is
// their middle, which is where the list of labels has them.
func TestRecordTellsWhereBlanksLie(t *testing.T) {
	dir := t.TempDir()
	r := nested(t, plateJob(t), dir)
	text, err := os.ReadFile(filepath.Join(dir, "job.json"))
	if err != nil {
		t.Fatal(err)
	}
	for _, word := range []string{"layout", "placed", "rotation", "density"} {
		if strings.Contains(string(text), `"`+word+`"`) {
			t.Errorf("the record has a field %s", word)
		}
	}
	var record struct {
		Sheets []struct {
			Name   string
			Used   float64
			Count  int
			Blanks []struct {
				Name   string
				Turned *float64 `json:"turned_deg"`
				X      float64  `json:"x_mm"`
				Y      float64  `json:"y_mm"`
			}
		}
	}
	if err := json.Unmarshal(text, &record); err != nil {
		t.Fatal(err)
	}
	if len(record.Sheets) != 2 {
		t.Fatalf("%d sheets", len(record.Sheets))
	}
	for i, s := range record.Sheets {
		labels, err := os.ReadFile(filepath.Join(dir, s.Name, "labels.csv"))
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(strings.NewReader(string(labels))).ReadAll()
		if err != nil || len(rows) != 1+len(s.Blanks) || s.Count != 3 || len(s.Blanks) != 3 || s.Used != r.Sheets[i].Used || s.Used == 0 {
			t.Fatalf("%v: %d rows for %+v", err, len(rows), s)
		}
		for k, b := range s.Blanks {
			x, err1 := strconv.ParseFloat(rows[k+1][4], 64)
			y, err2 := strconv.ParseFloat(rows[k+1][5], 64)
			if errors.Join(err1, err2) != nil || rows[k+1][1] != b.Name || b.Turned == nil || !about(x, b.X, 1e-3) || !about(y, b.Y, 1e-3) {
				t.Errorf("%v is listed as %v", b, rows[k+1])
			}
		}
	}
}

func TestCostsAddUp(t *testing.T) {
	n := plateJob(t)
	n.Whole = true
	dir := t.TempDir()
	r := nested(t, n, dir)
	if len(r.Lines) != 2 || len(r.Sheets) != 2 {
		t.Fatalf("%d lines, %d sheets", len(r.Lines), len(r.Sheets))
	}
	// Whole sheets: 20 and 50, each blank's share a third of its sheet.
	for i, want := range []float64{20, 50} {
		if l := r.Lines[i]; !about(l.SheetShare, want, 1e-3) || !about(l.CostEach, l.Cost/3, 1e-3) || l.Count != 3 || l.Pierces != 6 {
			t.Errorf("%+v, want a sheet of %g", l, want)
		}
	}
	// From the profile: time at 36 an hour is 0.01 a second; 0.1 a pierce, 0.5 a metre.
	for _, l := range r.Lines {
		if !about(l.Machine, 0.01*l.Seconds, 1e-3) || !about(l.Wear, 0.1*float64(l.Pierces)+0.5*l.Cut/1000, 1e-3) || !about(l.Cost, l.Machine+l.Wear+l.SheetShare, 1e-3) {
			t.Errorf("%+v does not add up", l)
		}
	}
	// Three outlines of 1000 mm, three holes of 20 mm, half a kerf off, and leads.
	least := 3 * (1000 + 18.5*math.Pi)
	if l := r.Lines[0]; l.Cut < least || l.Cut > least+3*(2*math.Pi*0.75+2*7) {
		t.Errorf("cut %.1f mm, the contours alone are %.1f", l.Cut, least)
	}
	text, err := os.ReadFile(filepath.Join(dir, "job.csv"))
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	if err != nil || len(rows) != 4 || rows[3][0] != "total" {
		t.Fatalf("%v %v", err, rows)
	}
	for col, name := range rows[0] {
		if name == "cost_each" {
			continue
		}
		var sum [2]float64
		for i, row := range rows[1:] {
			v, err := strconv.ParseFloat(row[col], 64)
			if err != nil {
				break // a word
			}
			sum[i/2] += v
		}
		if name != "thickness_mm" && !about(sum[0], sum[1], 0.15) {
			t.Errorf("%s: the lines add up to %g, the total says %g", name, sum[0], sum[1])
		}
	}
}

// What is used up is charged, then the remnant by what is used of it: two jobs of
// which the second takes the first's remnant pay for their metal once.
func TestMetalIsPaidOnce(t *testing.T) {
	n := plateJob(t)
	dir := t.TempDir()
	first := nested(t, n, dir)
	if p := first.Total.SheetShare; !(p > 0 && p < 70) {
		t.Fatalf("sheets cost %g", p)
	}
	thin := filepath.Join(dir, "sheet-1", "remnant.dxf")
	n.Remnants = []sheet.Remnant{{File: thin}}
	second := nested(t, n, t.TempDir())
	if !strings.Contains(second.Sheets[0].Stock, "remnant") {
		t.Fatalf("the remnant is not used: %+v", second.Sheets[0])
	}
	if both := first.Lines[0].SheetShare + second.Lines[0].SheetShare; both > 20 {
		t.Errorf("two jobs pay %g for a sheet of 20", both)
	}
	n.Whole = true
	if third := nested(t, n, t.TempDir()); third.Lines[0].SheetShare != 0 || third.Lines[1].SheetShare != 50 {
		t.Errorf("a remnant of a sheet that is paid costs %g", third.Lines[0].SheetShare)
	}
}

func TestStopping(t *testing.T) {
	n := plateJob(t)
	dir := filepath.Join(t.TempDir(), "sheets")
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, _, err := n.Run(ctx, dir); !errors.Is(err, sheet.ErrStopped) {
		t.Errorf("stopped at once: %v", err)
	}
	if _, err := os.Stat(dir); err == nil {
		t.Error("stopped at once, it left a folder")
	}
	// Stopped at the first layout of everything, it keeps that.
	ctx, stop = context.WithCancel(context.Background())
	n.Effort = 100
	n.Progress = func(p nest.Progress) {
		if p.Placed == p.Blanks {
			stop()
		}
	}
	r, diags, err := n.Run(ctx, dir)
	if err != nil || diag.HasErrors(diags) {
		t.Fatal(err, diags)
	}
	if r.Total.Count != 6 || r.Sheets[0].Said != "3 of 3 blanks, 3 of 3 inside cuts, each once" {
		t.Errorf("%+v", r)
	}
}

// Stopped once every blank has its place, it writes nothing; a limit that is over by then
// stops nothing more, and sheets are the same, however many are worked on at once.
func TestStoppedBehindTheSearch(t *testing.T) {
	many := func() sheet.Nesting {
		n := plateJob(t)
		n.Orders[0].Count = 200
		return n
	}
	for _, phase := range []string{"planning the cuts", "writing"} {
		n := many()
		dir := filepath.Join(t.TempDir(), "sheets")
		ctx, stop := context.WithCancel(context.Background())
		sheets := 0
		n.Stage = func(doing string, done, of int) {
			if doing == phase {
				sheets = of
				stop()
			}
		}
		_, _, err := n.Run(ctx, dir)
		if sheets < 4 {
			t.Fatalf("%d sheets are too few to stop among", sheets)
		}
		if !errors.Is(err, sheet.ErrEnded) {
			t.Errorf("stopped %s: %v", phase, err)
		}
		if left, _ := os.ReadDir(filepath.Dir(dir)); len(left) > 0 {
			t.Errorf("stopped %s, it left %v", phase, left)
		}
	}
	n := many()
	n.Limit = 1 << 60
	dir, same := t.TempDir(), t.TempDir()
	r := nested(t, n, dir)
	before := runtime.GOMAXPROCS(1)
	alone := nested(t, n, same)
	runtime.GOMAXPROCS(before)
	if !reflect.DeepEqual(r, alone) || len(r.Sheets) < 4 {
		t.Errorf("%d sheets on one core, %d on several", len(alone.Sheets), len(r.Sheets))
	}
	for _, s := range r.Sheets {
		name := filepath.Join(s.Name, s.Name+".dxf")
		a, errA := os.ReadFile(filepath.Join(dir, name))
		b, errB := os.ReadFile(filepath.Join(same, name))
		if errA != nil || errB != nil || !bytes.Equal(a, b) {
			t.Errorf("%s differs: %v %v", name, errA, errB)
		}
	}
}

// Stopped behind a search that its limit ended with some blanks placed, it does not say that
// the sheets that were found are written.
func TestNothingWrittenIsSaidToBe(t *testing.T) {
	n := plateJob(t)
	n.Orders[0].Count = 200
	n.Limit = 2 * time.Second
	waited := false
	n.Progress = func(p nest.Progress) {
		if p.Placed > 0 && !waited {
			waited = true
			time.Sleep(n.Limit)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	n.Stage = func(doing string, done, of int) { stop() }
	_, diags, err := n.Run(ctx, filepath.Join(t.TempDir(), "sheets"))
	if errors.Is(err, sheet.ErrStopped) {
		t.Skip("the limit was over before a blank had its place")
	}
	if !errors.Is(err, sheet.ErrEnded) || slices.ContainsFunc(diags, func(d diag.Diagnostic) bool { return d.Code == "P8013" }) {
		t.Errorf("%v, and told %v", err, diags)
	}
}

// Stopped when some sheets are full and others are not, it writes what it has, and says what
// it has not.
func TestStoppedWithSomePlaced(t *testing.T) {
	n := plateJob(t)
	n.Orders[0].Count = 200
	ctx, stop := context.WithCancel(context.Background())
	n.Progress = func(p nest.Progress) {
		if p.Placed > 0 {
			stop()
		}
	}
	var stages []string
	n.Stage = func(doing string, done, of int) { stages = append(stages, fmt.Sprintf("%s %d of %d", doing, done, of)) }
	dir := t.TempDir()
	r, diags, err := n.Run(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	if d := diags[len(diags)-1]; d.Code != "P8013" || diag.HasErrors(diags) || len(d.Notes) != 2 {
		t.Fatalf("told: %v", diags)
	}
	all := r.Total.Count
	for _, u := range r.Unplaced {
		all += u.Count
	}
	if r.Total.Count == 0 || len(r.Unplaced) == 0 || all != 400 {
		t.Errorf("%d blanks on %d sheets, %+v not", r.Total.Count, len(r.Sheets), r.Unplaced)
	}
	for i, s := range r.Sheets {
		want := fmt.Sprintf("%d of %d blanks", s.Count, s.Count)
		if !strings.HasPrefix(s.Said, want) {
			t.Errorf("sheet %d: %q", i+1, s.Said)
		}
	}
	last := fmt.Sprintf("writing %d of %d", len(r.Sheets), len(r.Sheets))
	if len(stages) != 1+len(r.Sheets) || stages[0] != "planning the cuts 1 of 1" || stages[len(stages)-1] != last { // of one like all others
		t.Errorf("told of %v", stages)
	}
	// The same blanks in the same places are cut the same way.
	if a, b := r.Sheets[0], r.Sheets[1]; a.Travel != b.Travel || a.Pierces != b.Pierces {
		t.Errorf("sheets alike: %+v and %+v", a, b)
	}
}

// Some blanks cut again, and cutting resumed, write the very lines of the whole
// program.
func TestSecondChancesCutWhereItWasNested(t *testing.T) {
	n := plateJob(t)
	dir := t.TempDir()
	nested(t, n, dir)
	read := func() string {
		b, err := os.ReadFile(filepath.Join(dir, "sheet-1", "sheet-1.nc"))
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	whole := read()
	n.Start = sheet.Start{Sheet: 1, Pierce: 4}
	n.Effort = 5 // another search would find another layout
	nested(t, n, dir)
	from := strings.Index(whole, "(Pierce 4:")
	if got := read(); from < 0 || !strings.HasSuffix(got, whole[from:]) || strings.Contains(got, "(Pierce 3:") {
		t.Error("the resumed program is not the end of the whole one")
	}
	n.Start, n.Only = sheet.Start{}, []string{"2"}
	nested(t, n, dir)
	moves := 0
	for _, line := range strings.Split(read(), "\n") {
		if strings.HasPrefix(line, "G1") || strings.HasPrefix(line, "G2 ") || strings.HasPrefix(line, "G3") {
			moves++
			if !strings.Contains(whole, line+"\n") {
				t.Errorf("%q is not in the whole program", line)
			}
		}
	}
	if moves < 8 {
		t.Errorf("%d moves for a blank with a hole", moves)
	}
}

// A stock that states its sheet is cut from that, also where the shop has none of its
// metal or only others; a stock beside it that states none is cut from the shop's.
func TestStatedSheets(t *testing.T) {
	n := plateJob(t)
	text := strings.Replace(plates, "sheet(mild_steel, 1.5mm)", "sheet(mild_steel, 1.5mm, size: (900mm, 450mm))", 1)
	text = strings.Replace(text, "sheet(mild_steel, 3mm)", "sheet(brass, 4mm, size: (600mm, 300mm))", 1)
	if err := os.WriteFile(n.Orders[0].File, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	n.Profile = nil
	var got []string
	for _, s := range nested(t, n, t.TempDir()).Sheets {
		got = append(got, s.Stock)
	}
	if want := "mild_steel 1.5 mm, 900 × 450 mm; brass 4 mm, 600 × 300 mm"; strings.Join(got, "; ") != want {
		t.Errorf("cut from %q, want %s", got, want)
	}
	text = strings.Replace(plates, "sheet(mild_steel, 1.5mm)", "sheet(mild_steel, 1.5mm, size: (900mm, 450mm))", 1)
	if err := os.WriteFile(n.Orders[0].File, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	if r := nested(t, n, t.TempDir()); r.Sheets[0].Stock != "mild_steel 1.5 mm, 900 × 450 mm" || r.Sheets[1].Stock != "mild_steel 3 mm, 1000 × 500 mm" {
		t.Errorf("%+v", r.Sheets)
	}
}
