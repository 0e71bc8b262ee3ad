package shop

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"perch/parts/bend"
	"perch/parts/measure"
	"perch/parts/spelling"
)

// FileError is one mistake in a shop file.
type FileError struct {
	Line, Column int    // from 1; the column in bytes
	Key          string // path of the key, such as rivet[2].hole; "" for the text itself
	Message      string
}

func (e FileError) Error() string {
	if e.Key == "" {
		return fmt.Sprintf("%d:%d: %s", e.Line, e.Column, e.Message)
	}
	return fmt.Sprintf("%d:%d: %s: %s", e.Line, e.Column, e.Key, e.Message)
}

// FileErrors are all mistakes of a shop file, in the order of their places.
type FileErrors []FileError

func (e FileErrors) Error() string {
	lines := make([]string, len(e))
	for i, one := range e {
		lines[i] = one.Error()
	}
	return strings.Join(lines, "\n")
}

// fileReader holds what is common to the tables of one shop file.
type fileReader struct {
	places map[string]place
	unit   string
	scale  float64 // mm in one unit
	errs   FileErrors
}

func (r *fileReader) fail(path, format string, args ...any) {
	p := place{1, 1}
	for at := path; at != ""; at = parentPath(at) {
		if found, ok := r.places[at]; ok {
			p = found
			break
		}
	}
	r.errs = append(r.errs, FileError{p.line, p.col, path, fmt.Sprintf(format, args...)})
}

// parentPath takes the last name or item number off a path.
func parentPath(path string) string { return path[:max(strings.LastIndexAny(path, ".["), 0)] }

func (r *fileReader) sorted() error {
	if len(r.errs) == 0 {
		return nil
	}
	sort.SliceStable(r.errs, func(i, j int) bool {
		a, b := r.errs[i], r.errs[j]
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		if a.Column != b.Column {
			return a.Column < b.Column
		}
		return a.Key < b.Key
	})
	if more := len(r.errs) - maxErrors; more > 0 {
		last := r.errs[maxErrors]
		last.Key, last.Message = "", fmt.Sprintf("%d more mistakes from here on", more)
		r.errs = append(r.errs[:maxErrors:maxErrors], last)
	}
	return r.errs
}

// fileTable reads one table; every key must be asked for, for done to be content.
type fileTable struct {
	*fileReader
	path   string
	values map[string]any
	used   map[string]bool
}

func (r *fileReader) table(path string, value any) (*fileTable, bool) {
	m, ok := value.(map[string]any)
	if !ok {
		r.fail(path, "must be a table, is %s", kindOf(value))
	}
	return &fileTable{r, path, m, map[string]bool{}}, ok
}

func (t *fileTable) pathOf(key string) string {
	if t.path == "" {
		return key
	}
	return t.path + "." + key
}

func (t *fileTable) take(key string) (any, bool) {
	t.used[key] = true
	v, ok := t.values[key]
	return v, ok
}

// has tells whether the file gives the key.
func (t *fileTable) has(key string) bool {
	_, ok := t.values[key]
	return ok
}

// need fails for each of the keys that is not there.
func (t *fileTable) need(keys ...string) {
	for _, key := range keys {
		if !t.has(key) {
			t.fail(t.path, "needs a %s", key)
		}
	}
}

// number reads a plain number between lo and hi, both included.
func (t *fileTable) number(key string, to *float64, lo, hi float64) {
	if v, ok := t.take(key); ok {
		t.within(t.pathOf(key), v, to, lo, hi, 1, "")
	}
}

// angle reads an angle in degrees into radians; lo and hi are degrees.
func (t *fileTable) angle(key string, to *float64, lo, hi float64) {
	if v, ok := t.take(key); ok {
		degrees := 0.0
		before := len(t.errs)
		if t.within(t.pathOf(key), v, &degrees, lo, hi, 1, " degrees"); len(t.errs) == before {
			*to = degrees * bend.Degree
		}
	}
}

// length reads a length in the file's unit; lo and hi are mm.
func (t *fileTable) length(key string, to *float64, lo, hi float64) {
	if v, ok := t.take(key); ok {
		t.within(t.pathOf(key), v, to, lo, hi, t.scale, " "+t.unit)
	}
}

func (r *fileReader) within(path string, v any, to *float64, lo, hi, scale float64, unit string) {
	var x float64
	switch n := v.(type) {
	case int64:
		x = float64(n)
	case float64:
		x = n
	default:
		r.fail(path, "must be a number, is %s", kindOf(v))
		return
	}
	if !(x*scale >= lo && x*scale <= hi) {
		r.fail(path, "%g%s is not in %.4g..%.4g%s", x, unit, lo/scale, hi/scale, unit)
		return
	}
	*to = x * scale
}

// lengths reads a list of lengths; count 0 takes any number of them up to maxList.
func (r *fileReader) lengths(path string, v any, count int, lo, hi float64) ([]float64, bool) {
	list, ok := v.([]any)
	if !ok || count > 0 && len(list) != count || len(list) > maxList {
		r.fail(path, "must be a list of %s", listWord(count))
		return nil, false
	}
	out := make([]float64, len(list))
	before := len(r.errs)
	for i, item := range list {
		r.within(fmt.Sprintf("%s[%d]", path, i+1), item, &out[i], lo, hi, r.scale, " "+r.unit)
	}
	return out, len(r.errs) == before
}

func listWord(count int) string {
	if count == 0 {
		return fmt.Sprintf("up to %d numbers", maxList)
	}
	return fmt.Sprintf("%d numbers", count)
}

// maxErrors is how many mistakes of one file are told, before their number alone is.
const maxErrors = 100

// maxList is the most items a list of a shop file may have.
const maxList = 1000

// text reads a text of up to 200 bytes without control characters.
func (t *fileTable) text(key string, to *string) {
	v, ok := t.take(key)
	if !ok {
		return
	}
	if s, ok := t.line(t.pathOf(key), v); ok {
		*to = s
	}
}

// line takes a value for one line of text; it fails, and is false, when it is none.
func (r *fileReader) line(path string, v any) (string, bool) {
	s, ok := v.(string)
	if !ok {
		r.fail(path, "must be a text, is %s", kindOf(v))
		return "", false
	}
	if len(s) > 200 || strings.ContainsFunc(s, func(r rune) bool { return r < ' ' || r == 0x7f }) {
		r.fail(path, "must be one line of at most 200 bytes")
		return "", false
	}
	return s, true
}

// choice reads one of several words.
func (t *fileTable) choice(key string, to *string, words ...string) {
	var s string
	before := len(t.errs)
	if t.text(key, &s); !t.has(key) || len(t.errs) > before {
		return
	}
	if !slices.Contains(words, s) {
		t.fail(t.pathOf(key), "%q is not one of %s", s, strings.Join(words, ", "))
		return
	}
	*to = s
}

// shown writes a length of mm in the file's unit.
func (r *fileReader) shown(mm float64) string { return fmt.Sprintf("%.4g %s", mm/r.scale, r.unit) }

// ruler reads a ruler's division with its unit.
func (t *fileTable) ruler(key string, to *measure.Ruler) {
	var s string
	before := len(t.errs)
	if t.text(key, &s); !t.has(key) || len(t.errs) > before {
		return
	}
	r, err := measure.ParseRuler(s)
	if err != nil {
		t.fail(t.pathOf(key), "%v", err)
		return
	}
	*to = r
}

func (t *fileTable) flag(key string, to *bool) {
	v, ok := t.take(key)
	if !ok {
		return
	}
	b, ok := v.(bool)
	if !ok {
		t.fail(t.pathOf(key), "must be true or false, is %s", kindOf(v))
		return
	}
	*to = b
}

// sub reads the table of that name, if there is one, with read, and looks for
// keys that nobody asked for.
func (t *fileTable) sub(key string, read func(*fileTable)) {
	v, ok := t.take(key)
	if !ok {
		return
	}
	if table, ok := t.table(t.pathOf(key), v); ok {
		read(table)
		table.done()
	}
}

// each reads the array of tables of that name; it is false when there is none.
func (t *fileTable) each(key string, read func(*fileTable)) bool {
	v, ok := t.take(key)
	if !ok {
		return false
	}
	var items []any
	switch list := v.(type) {
	case []map[string]any:
		for _, m := range list {
			items = append(items, m)
		}
	case []any:
		items = list
	default:
		t.fail(t.pathOf(key), "must be tables headed [[%s]], is %s", key, kindOf(v))
		return false
	}
	if len(items) > maxList {
		t.fail(t.pathOf(key), "has %d items; at most %d are read", len(items), maxList)
		return false
	}
	for i, item := range items {
		if table, ok := t.table(fmt.Sprintf("%s[%d]", t.pathOf(key), i+1), item); ok {
			read(table)
			table.done()
		}
	}
	return true
}

// done fails for every key that was not asked for.
func (t *fileTable) done() {
	var unknown []string
	for key := range t.values {
		if !t.used[key] {
			unknown = append(unknown, key)
		}
	}
	slices.Sort(unknown)
	for _, key := range unknown {
		meant := ""
		if best := spelling.Nearest(key, t.known()); best != "" {
			meant = "did you mean " + best + "? "
		}
		t.fail(t.pathOf(key), "no such key here; %sthere are %s", meant, strings.Join(t.known(), ", "))
	}
}

func (t *fileTable) known() []string {
	keys := make([]string, 0, len(t.used))
	for key := range t.used {
		keys = append(keys, key)
	}
	slices.Sort(keys)
	return keys
}

func kindOf(v any) string {
	switch v.(type) {
	case string:
		return "a text"
	case bool:
		return "true or false"
	case int64, float64:
		return "a number"
	case []any, []map[string]any:
		return "a list"
	case map[string]any:
		return "a table"
	}
	return "a date or time"
}
