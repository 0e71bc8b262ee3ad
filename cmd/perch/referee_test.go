package main

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// ask runs one of testdata's Python scripts over files and reads its answer.
func ask(t *testing.T, script string, files []string, answer any) {
	t.Helper()
	cmd := exec.Command(python, append([]string{script}, files...)...)
	var errs strings.Builder
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s", script, err, errs.String())
	}
	if err := json.Unmarshal(out, answer); err != nil {
		t.Fatalf("%s: %v in %s", script, err, out)
	}
}

// drawing is what an independent reader finds in a DXF file.
type drawing struct {
	Errors, Fixes          []string
	Units, Holes, Outlines int
	Area, Length           float64
	Layers                 map[string]int
	Twice                  int
}

// An independent DXF library opens every drawing of every example and size, its
// audit finds nothing to report or repair, and what it measures is what record
// and cut list say. Nicks are left out, which record and cut list do not count: lang/sheet
// holds those to the same reader.
func TestDrawingsByAnotherReader(t *testing.T) {
	require(t, "python3-ezdxf", python, "-c", "import ezdxf")
	const tol = 1e-6 // relative
	var files []string
	for _, dir := range builtUnmarked(t) {
		f, err := filepath.Glob(dir + "/*.dxf")
		if err != nil || len(f) == 0 {
			t.Fatalf("no drawings in %s: %v", dir, err)
		}
		files = append(files, f...)
	}
	var found []drawing
	ask(t, "testdata/measure_dxf.py", files, &found)
	if len(found) != len(files) {
		t.Fatalf("%d answers on %d drawings", len(found), len(files))
	}
	const millimetres = 4 // of $INSUNITS
	worst := 0.0
	records := map[string]*outsideRecord{}
	for i, d := range found {
		dir, name := filepath.Dir(files[i]), strings.TrimSuffix(filepath.Base(files[i]), ".dxf")
		where := sizeName(dir) + " " + name
		if len(d.Errors)+len(d.Fixes) != 0 {
			t.Errorf("%s: errors %q, repairs %q", where, d.Errors, d.Fixes)
		}
		if d.Units != millimetres || d.Outlines != 1 || d.Twice != 0 {
			t.Errorf("%s: units %d, %d outlines, %d things drawn twice", where, d.Units, d.Outlines, d.Twice)
		}
		if records[dir] == nil {
			records[dir] = readRecord(t, dir)
		}
		b := records[dir].blank(name)
		if b == nil {
			t.Errorf("%s: the record has no such blank", where)
			continue
		}
		worst = max(worst, math.Abs(d.Area/b.Area-1), math.Abs(d.Length/b.Cut-1))
		if math.Abs(d.Area/b.Area-1) > tol || math.Abs(d.Length/b.Cut-1) > tol || d.Holes != len(b.Inner) {
			t.Errorf("%s: area %v, cuts %v, %d holes; the record has %v, %v, %d", where, d.Area, d.Length, d.Holes, b.Area, b.Cut, len(b.Inner))
		}
		row := cutListRow(t, dir, name)
		want := map[string]float64{"area_mm2": d.Area, "cut_length_mm": d.Length}
		if _, inches := row["area_in2"]; inches {
			want = map[string]float64{"area_in2": d.Area / 25.4 / 25.4, "cut_length_in": d.Length / 25.4}
		}
		for column, got := range want {
			text := row[column]
			want, err := strconv.ParseFloat(text, 64)
			if err != nil || math.Abs(got-want) > max(lastDigit(text)/2, tol*want)*(1+1e-9) {
				t.Errorf("%s: %s is %v, the cut list has %s", where, column, got, text)
			}
		}
		if row["holes"] != strconv.Itoa(d.Holes) || row["folds"] != strconv.Itoa(d.Layers["FOLD_UP"]+d.Layers["FOLD_DOWN"]) {
			t.Errorf("%s: %d holes, layers %v; the cut list has %s holes and %s folds", where, d.Holes, d.Layers, row["holes"], row["folds"])
		}
	}
	t.Logf("%d drawings, area and cuts at most %.2g off (relative)", len(files), worst)
}

func (r *outsideRecord) blank(name string) *blank {
	for i := range r.Blanks {
		if r.Blanks[i].Name == name {
			return &r.Blanks[i]
		}
	}
	return nil
}

// cutListRow is a blank's row by column name.
func cutListRow(t *testing.T, dir, blank string) map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join(dir, "cutlist.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows[1:] {
		if r[0] != blank {
			continue
		}
		row := map[string]string{}
		for i, name := range rows[0] {
			row[name] = r[i]
		}
		return row
	}
	t.Fatalf("%s: the cut list has no %s", dir, blank)
	return nil
}

// lastDigit is the worth of a number's last written digit.
func lastDigit(text string) float64 {
	_, after, _ := strings.Cut(text, ".")
	return math.Pow(10, -float64(len(after)))
}

// OpenCASCADE builds every blank's bent part from build.json: faces and bends
// make one solid, whose volume is what the flat's area gives, but for what a bend
// that is longer in the middle of the sheet than the flat allows for adds:
// angle·(r + t/2)·t for every allowance·t, along the fold.
func TestVolumesByAnotherKernel(t *testing.T) {
	require(t, "python3-gmsh", python, "-c", "import gmsh")
	const (
		faceTol = 1e-6 // relative
		// a strip whose ends are cut round is built in slices
		bendTol = 1e-4
		fuseTol = 0.01 // mm³: what faces and bends claim both
	)
	dirs := built(t)
	answers := make([][]folded, 2)
	t.Run("kernel", func(t *testing.T) {
		for half := range answers {
			var files []string
			for i := half; i < len(dirs); i += len(answers) {
				files = append(files, filepath.Join(dirs[i], "build.json"))
			}
			t.Run(strconv.Itoa(half), func(t *testing.T) {
				t.Parallel()
				ask(t, "testdata/fold_solid.py", files, &answers[half])
			})
		}
	})
	n, worst, worstFace := 0, 0.0, 0.0
	for _, half := range answers {
		for _, f := range half {
			n++
			where := sizeName(filepath.Dir(f.File)) + " " + f.Blank
			flat := f.Area * f.Thickness
			want := (f.Area-f.Strips)*f.Thickness + f.Explained
			worst = max(worst, math.Abs(f.Whole/want-1))
			worstFace = max(worstFace, math.Abs(f.Faces/(flat-f.Strips*f.Thickness)-1))
			if f.Solids != 1 || f.Homeless != 0 {
				t.Errorf("%s: %d solids, %d openings on no face", where, f.Solids, f.Homeless)
			}
			if math.Abs(f.Faces/(flat-f.Strips*f.Thickness)-1) > faceTol {
				t.Errorf("%s: faces of %g mm³, the flat has %g", where, f.Faces, flat-f.Strips*f.Thickness)
			}
			if math.Abs(f.Bends-f.Explained) > bendTol*f.Explained {
				t.Errorf("%s: bends of %g mm³, %g explained", where, f.Bends, f.Explained)
			}
			if math.Abs(f.Faces+f.Bends-f.Whole) > fuseTol {
				t.Errorf("%s: faces and bends make %g mm³, together %g", where, f.Faces+f.Bends, f.Whole)
			}
		}
	}
	if n < 50 {
		t.Errorf("only %d parts were built", n)
	}
	t.Logf("%d parts; the whole at most %.2g off, faces alone %.2g (relative)", n, worst, worstFace)
}

// folded is a blank's bent part as the kernel measures it: mm², mm³.
type folded struct {
	File, Blank         string
	Thickness, Area     float64
	Strips, Explained   float64
	Faces, Bends, Whole float64
	Homeless, Solids    int
}
