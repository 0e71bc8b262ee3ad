package live

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"slices"
	"strings"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/display"
	"perch/lang/family"
	"perch/lang/quantity"
	"perch/lang/reason"
	"perch/lang/syntax"
	"perch/parts/measure"
	"perch/parts/page"
	"perch/parts/panel"
)

const (
	mostAsked = 1 << 16 // bytes of a request
	mostTried = 200     // values
	stops     = 400     // of a slider at most
)

// answer is what the page is sent.
type answer struct {
	File   json.RawMessage `json:"file,omitempty"`
	Only   bool            `json:"only,omitempty"`   // of one size, with values that are tried
	Sheets *string         `json:"sheets,omitempty"` // what stands beside the picture
	Fields []field         `json:"fields,omitempty"`
	Wrong  string          `json:"wrong"`
	Stale  bool            `json:"stale"` // what is shown is older than what is wrong
	Row    string          `json:"row"`   // the tried values as a line of the design
}

// field is a param that can be tried: in the reader's units, over its range where it has one.
type field struct {
	Name  string  `json:"name"`
	Doc   string  `json:"doc,omitempty"`
	Value string  `json:"value"` // as it is written
	Low   string  `json:"low,omitempty"`
	High  string  `json:"high,omitempty"`
	Unit  string  `json:"unit"`
	At    float64 `json:"at"`
	From  float64 `json:"from"`
	To    float64 `json:"to"`
	Step  float64 `json:"step"`
}

// asked is what the page asks to try.
type asked struct {
	Size   string            `json:"size"`
	Values map[string]string `json:"values"`
}

func send(w http.ResponseWriter, a answer) {
	text, err := json.Marshal(a)
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	_, _ = w.Write(text) // who asked may be gone
}

// scene sends all sizes as they were built last, or what is wrong.
func (s *Server) scene(w http.ResponseWriter) {
	s.mu.Lock()
	defer s.mu.Unlock()
	a := answer{Wrong: s.wrong, Stale: s.wrong != "" && s.doc != nil}
	if s.doc != nil {
		if err := a.show(s.doc); err != nil {
			http.Error(w, err.Error(), http.StatusInternalServerError)
			return
		}
		a.Fields = fieldsOf(s.job, s.results[0])
	}
	send(w, a)
}

// show puts a page's scene and sheets into an answer.
func (a *answer) show(doc *page.Document) error {
	var file, sheets bytes.Buffer
	if err := doc.JSON(&file); err != nil {
		return err
	}
	if err := doc.Sheets(&sheets); err != nil {
		return err
	}
	text := sheets.String()
	a.File, a.Sheets = file.Bytes(), &text
	return nil
}

// try builds one size with values and sends it, or what they break. Nothing is written.
func (s *Server) try(w http.ResponseWriter, r *http.Request) {
	var ask asked
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, mostAsked))
	if err := d.Decode(&ask); err != nil || len(ask.Values) > mostTried {
		http.Error(w, "not understood", http.StatusBadRequest)
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.doc == nil {
		send(w, answer{Wrong: s.wrong})
		return
	}
	send(w, s.tried(ask))
}

// tried is what a size comes to with values.
func (s *Server) tried(ask asked) answer {
	var texts []string
	for name, v := range ask.Values {
		if strings.ContainsAny(name+v, "\n\r;") || strings.Contains(v, "//") {
			return answer{Wrong: fmt.Sprintf("%q is no value for %q", v, name), Stale: true}
		}
		texts = append(texts, name+" = "+v)
	}
	slices.Sort(texts)
	settings, diags := family.Settings(s.job.Program, texts)
	if diag.HasErrors(diags) {
		return answer{Wrong: told(diags), Stale: true}
	}
	job := s.job
	job.Settings = append(slices.Clone(s.job.Settings), settings...)
	at := slices.IndexFunc(s.results, func(r *build.Result) bool { return r.Size == ask.Size })
	if at < 0 {
		return answer{Wrong: fmt.Sprintf("the design has no size %q", ask.Size), Stale: true}
	}
	result, more := build.Size(job.Program, ask.Size, job.Shop, job.Settings)
	row := rowOf(job, ask.Size, texts)
	if result.Assembly == nil || diag.HasErrors(more) {
		return answer{Wrong: told(more), Stale: true, Row: row}
	}
	z, err := display.Size(job, result, more)
	if err != nil {
		return answer{Wrong: err.Error(), Stale: true, Row: row}
	}
	a := answer{Only: true, Row: row, Wrong: s.wrong, Fields: fieldsOf(job, result)}
	doc := *s.doc
	doc.Sizes = []page.Size{z}
	var file bytes.Buffer
	if err := doc.JSON(&file); err != nil {
		return answer{Wrong: err.Error(), Stale: true, Row: row}
	}
	doc.Sizes = slices.Clone(s.doc.Sizes)
	doc.Sizes[at] = z
	var sheets bytes.Buffer
	if err := doc.Sheets(&sheets); err != nil {
		return answer{Wrong: err.Error(), Stale: true, Row: row}
	}
	text := sheets.String()
	a.File, a.Sheets = file.Bytes(), &text
	return a
}

// rowOf writes what is tried as a size of the design: what the size states that it was tried at,
// and the tried values in place of its own.
func rowOf(job family.Job, size string, texts []string) string {
	if len(texts) == 0 {
		return ""
	}
	name, taken := "tried", build.Sizes(job.Program)
	for k := 2; slices.Contains(taken, name); k++ {
		name = fmt.Sprintf("tried%d", k)
	}
	var states []string
	for _, st := range job.Program.Root.File.Stmts {
		z, ok := st.(*syntax.Size)
		if !ok || z.Name.Name != size {
			continue
		}
		for _, own := range z.States {
			if !slices.ContainsFunc(texts, func(t string) bool { return strings.HasPrefix(t, own.Name.Name+" = ") }) {
				states = append(states, own.At.Text())
			}
		}
	}
	return "size " + name + ": " + strings.Join(append(states, texts...), ", ")
}

// fieldsOf are the params of a size that can be tried.
func fieldsOf(job family.Job, r *build.Result) []field {
	in := job.Program.Shown
	docs := map[string]string{}
	for _, d := range build.Params(job.Program) {
		if d.Param.Doc != nil {
			docs[d.Name] = d.Param.Doc.Value
		}
	}
	var out []field
	for _, g := range r.Ranges() {
		i := slices.IndexFunc(r.Values, func(v panel.Value) bool { return v.Name == g.Name })
		if i < 0 {
			continue
		}
		v := r.Values[i]
		f := field{Name: g.Name, Doc: docs[g.Name], Value: reason.Reading(v.Value, v.Unit, in)}
		f.At, f.Unit = quantity.FromRecord(v.Value, v.Unit, in)
		if lo, hi := g.Low.V, g.High.V; !math.IsInf(lo, 0) && !math.IsInf(hi, 0) && hi > lo {
			f.From, f.Low = reading(g.Low, in)
			f.To, f.High = reading(g.High, in)
			f.Step = step(f.To-f.From, g.Whole)
		}
		out = append(out, f)
	}
	return out
}

func reading(q build.Quantity, in measure.System) (float64, string) {
	v, unit := q.Recorded()
	x, _ := quantity.FromRecord(v, unit, in)
	return x, reason.Reading(v, unit, in)
}

// step is the step of a slider over a range: one, or a round part of it.
func step(over float64, whole bool) float64 {
	if whole {
		return 1
	}
	for _, s := range []float64{0.01, 0.05, 0.1, 0.25, 0.5, 1, 5, 10, 50, 100} {
		if over/s <= stops {
			return s
		}
	}
	return over / stops
}
