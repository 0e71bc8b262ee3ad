package compare

import (
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// The README names every field that JSON has, with italics where it may be left out, and
// no other.
func TestReadmeNamesEveryField(t *testing.T) {
	b, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, tables, found := strings.Cut(string(b), "\n## JSON\n")
	if !found {
		t.Fatal("README.md has no part on JSON")
	}
	told := map[string][]string{} // by table: its fields, a * before those that may be left out
	name := ""
	for _, line := range strings.Split(tables, "\n") {
		if strings.HasSuffix(line, ":") {
			name = line
		}
		if !strings.HasPrefix(line, "| `") && !strings.HasPrefix(line, "| *`") {
			continue
		}
		cells := strings.Split(line, " | ")
		field := regexp.MustCompile("(\\*?)`([a-z_0-9]+)`")
		for _, m := range field.FindAllStringSubmatch(cells[0], -1) {
			told[name] = append(told[name], m[1]+m[2])
		}
	}
	for _, x := range []struct {
		table string
		of    any
	}{
		{"The whole:", Difference{}},
		{"A side, `old` or `new`:", Named{}},
		{"A statement, of `statements`:", Statement{}},
		{"A size, of `sizes`:", Size{}},
		{"A value, of `values`:", Value{}},
		{"What the piece comes to, `old` and `new` of a size:", Total{}},
		{"A join, of `joins`:", Join{}},
		{"A metal, of `metals`:", Metal{}},
		{"A part, of `parts`:", Part{}},
		{"A flat, `flat` of a part:", Flat{}},
		{"A hole, of `holes`:", Hole{}},
		{"A cut, of `cuts`:", Cut{}},
		{"A fold, of `folds`:", Fold{}},
		{"A mark, of `marks`:", Mark{}},
	} {
		var want []string
		for i := range reflect.TypeOf(x.of).NumField() {
			tag, empty, _ := strings.Cut(reflect.TypeOf(x.of).Field(i).Tag.Get("json"), ",")
			if tag == "" {
				continue
			}
			if empty == "omitempty" {
				tag = "*" + tag
			}
			want = append(want, tag)
		}
		got := told[x.table]
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("%s\n  told %v\n  has  %v", x.table, got, want)
		}
	}
	for _, of := range []any{Sheet{}, Need{}, Extent{}} { // told within a row
		for i := range reflect.TypeOf(of).NumField() {
			tag, _, _ := strings.Cut(reflect.TypeOf(of).Field(i).Tag.Get("json"), ",")
			if !strings.Contains(tables, "`"+tag+"`") {
				t.Errorf("%T: README.md does not name %s", of, tag)
			}
		}
	}
}
