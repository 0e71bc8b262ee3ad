package record_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/record"
	"perch/parts/record/bracket"
)

func ExampleCutList() {
	var out strings.Builder
	if err := record.CutList(&out, bracket.Assembly(), measure.Millimetres); err != nil {
		fmt.Println(err)
	}
	fmt.Print(strings.ReplaceAll(out.String(), "\r\n", "\n"))
	// Output:
	// blank,count,mirrored,material,thickness_mm,width_mm,height_mm,area_mm2,mass_kg,cut_length_mm,holes,drilled,in_place,folds,revision
	// angle,2,1,mild_steel,2,135.97,50,6472.693,0.102,478.6681,4,1,0,1,A
	// plate,2,1,mild_steel,2,30,40,1162.285,0.018,170.7876,2,0,0,0,A
}

func write(t testing.TB, a *panel.Assembly) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := record.Write(&out, a, record.Options{}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func schema(t testing.TB) *jsonschema.Schema { return compiled(t, record.Schema) }

func compiled(t testing.TB, text []byte) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("record.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("record.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestRecordMeetsItsSchema(t *testing.T) {
	file := write(t, bracket.Assembly())
	s := schema(t)
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(file))
	if err != nil {
		t.Fatalf("%v in\n%s", err, file)
	}
	if err := s.Validate(doc); err != nil {
		t.Fatal(err)
	}
	real, err := jsonschema.UnmarshalJSON(bytes.NewReader(write(t, stoolAssembly(t))))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(real); err != nil {
		t.Error(err)
	}
	// The schema has teeth: a record that lacks or adds something is refused.
	for _, change := range []struct{ from, to string }{
		{`"version": 1`, `"version": 2`}, {`"direction": "down"`, `"direction": "sideways"`},
		{`"root": true`, `"rood": true`}, {`"grip": 4`, `"grip": "4"`},
	} {
		bad := strings.Replace(string(file), change.from, change.to, 1)
		if bad == string(file) {
			t.Fatalf("the record lacks %s", change.from)
		}
		doc, err := jsonschema.UnmarshalJSON(strings.NewReader(bad))
		if err != nil {
			t.Fatal(err)
		}
		if s.Validate(doc) == nil {
			t.Errorf("the schema lets %s pass", change.to)
		}
	}
}

func TestRecordReadsBack(t *testing.T) {
	var f record.File
	dec := json.NewDecoder(bytes.NewReader(write(t, bracket.Assembly())))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&f); err != nil {
		t.Fatal(err)
	}
	b := f.Blanks[0]
	if f.Design != "Wandwinkel groß" || len(f.Blanks) != 2 || len(f.Copies) != 4 || len(f.Joins) != 4 || !b.Faces[0].Root || b.Faces[1].Root {
		t.Errorf("read back %+v", f)
	}
	// Area and cut length by elementary geometry; 1e-6 is the written step.
	if math.Abs(b.Area-bracket.Area) > 1e-5 || math.Abs(b.CutLength-bracket.CutLength) > 1e-5 {
		t.Errorf("area %v, cut length %v; want %v, %v", b.Area, b.CutLength, bracket.Area, bracket.CutLength)
	}
	if want := bracket.Area * bracket.Thickness * 7850e-9; math.Abs(b.MassKg-want) > 1e-8 {
		t.Errorf("mass %v, want %v", b.MassKg, want)
	}
	if math.Abs(b.Folds[0].Allowance-bracket.Allowance) > 1e-6 || b.Folds[0].Angle != 90 {
		t.Errorf("fold %+v", b.Folds[0])
	}
}

func TestNumbersAreQuantised(t *testing.T) {
	a := bracket.Assembly()
	a.Copies[0].Matrix[3] = -1e-9
	a.Copies[0].Matrix[1] = -1e-14
	a.Blanks[0].Flat.Outer[0].P.X = 1.0000000004e-3
	file := string(write(t, a))
	if strings.Contains(file, "-0,") || strings.Contains(file, "-0]") || strings.Contains(file, "e-") {
		t.Error("a −0 or an exponent was written")
	}
	if !strings.Contains(file, `"outer": [[0.001,0,0],`) || !strings.Contains(file, `"matrix": [1,0,0,0,0,1,0,0,`) {
		t.Error("numbers are not rounded to their steps")
	}
}

func TestSameBytes(t *testing.T) {
	first := write(t, bracket.Assembly())
	for range 10 {
		if !bytes.Equal(first, write(t, bracket.Assembly())) {
			t.Fatal("two writings differ")
		}
	}
}

func TestBrokenAssembliesAreRefused(t *testing.T) {
	for name, spoil := range map[string]func(*panel.Assembly){
		"NaN":         func(a *panel.Assembly) { a.Joins[0].Grip = math.NaN() },
		"infinity":    func(a *panel.Assembly) { a.Blanks[0].Flat.Inner[0][0].P.X = math.Inf(1) },
		"blank index": func(a *panel.Assembly) { a.Copies[1].Blank = 7 },
		"copy index":  func(a *panel.Assembly) { a.Joins[0].Members[1].Copy = -1 },
		"face index":  func(a *panel.Assembly) { a.Blanks[0].Flat.Folds[0].B = 2 },
		"name twice":  func(a *panel.Assembly) { a.Blanks[0].Flat.Faces[1].Name = a.Blanks[0].Flat.Faces[0].Name },
		"no flat":     func(a *panel.Assembly) { a.Blanks[1].Flat = nil },
	} {
		a := bracket.Assembly()
		spoil(a)
		var out bytes.Buffer
		if err := record.Write(&out, a, record.Options{}); err == nil || out.Len() > 0 {
			t.Errorf("%s: error %v, %d bytes written", name, err, out.Len())
		}
	}
}

// A name that a spreadsheet would compute is led by an apostrophe, and commas,
// quotes and line ends stay inside their cell.
func TestCutListCells(t *testing.T) {
	for name, want := range map[string]string{
		"=1+1": "'=1+1", "+x": "'+x", "-x": "'-x", "@x": "'@x", "\tx": "'\tx",
		"a,b": "a,b", `a"b`: `a"b`, "a\nb": "a\nb", "leg.2": "leg.2", "": "",
	} {
		a := bracket.Assembly()
		a.Blanks[0].Name = name
		var out bytes.Buffer
		if err := record.CutList(&out, a, measure.Inches); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&out).ReadAll()
		if err != nil {
			t.Fatalf("%q: %v", name, err)
		}
		if len(rows) != 3 || rows[1][0] != want {
			t.Errorf("%q: %d rows, cell %q; want %q", name, len(rows), rows[1][0], want)
		}
		if rows[1][5] != "5.353" { // 135.969 mm
			t.Errorf("width %s in", rows[1][5])
		}
	}
}

func BenchmarkWrite(b *testing.B) {
	a := stoolAssembly(b)
	b.ReportAllocs()
	for b.Loop() {
		if err := record.Write(io.Discard, a, record.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
